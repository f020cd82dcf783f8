"""Buckling of the domed bases and the ends of thin-walled metal containers."""
