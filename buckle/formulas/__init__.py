"""Hand calculations by body, each with its source, its range and what it ignores; no finite elements."""
