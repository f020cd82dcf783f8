"""Equilibrium, path following and stability."""
