"""Symmetric and general bands: where element entries go, and the LAPACK routines that work on them."""
