"""Where the files of the repository are, for tests."""

from pathlib import Path

ROOT = Path(__file__).parents[2]
