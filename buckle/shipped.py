"""Where the case files are that come with the package: beside it in a source tree, within it when it is installed."""

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent
CASES = next((folder for folder in (_PACKAGE / "cases", _PACKAGE.parent / "cases") if folder.is_dir()), None)
"""The folder; None where neither is there."""
BENCHMARKS = "benchmarks"
"""The part of it that is for rerunning; the rest is for copying and changing."""
