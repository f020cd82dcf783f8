"""Where the files of the repository are, for tests."""

from pathlib import Path

ROOT = Path(__file__).parents[2]
CONTAINER = ROOT / "cases" / "demo" / "container.toml"
"""The demonstration's container; all other files of its folder are cases."""
