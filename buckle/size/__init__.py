"""Sizing: which value of a dimension just passes, and the lightest shape that does; all limit states count at once."""
