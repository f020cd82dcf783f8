"""Where the files of the repository are, for scripts."""

from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
CASES = ROOT / "cases"
DOCS = ROOT / "docs"
