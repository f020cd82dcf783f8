"""Pictures of a run."""
