"""Torispherical and ellipsoidal heads."""
