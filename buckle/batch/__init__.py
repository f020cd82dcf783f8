"""Batches: a study file names a base case and what varies; thousands of designs run, resumable, into one table."""
