"""Complete spheres, perfect and imperfect."""
