"""The margin sheet and what changed between two."""
