"""Cylinders: buckling of the wall, and design forms."""
