"""The body as a solid of revolution, elastic or elastic-plastic: a cross-check sharing no mechanics with the shell."""
