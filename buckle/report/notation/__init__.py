"""Formulas as people write them."""
