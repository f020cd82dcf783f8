"""Circular and annular plates."""
