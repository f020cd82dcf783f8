"""The same body as an axisymmetric solid: a cross-check that shares no mechanics with the shell."""
