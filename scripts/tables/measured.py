"""A page of docs with a part that a study writes, between two marks."""

from pathlib import Path

CLOSING = "<!-- end of measured -->"


def with_measured(page: str, study: str, text: str) -> str:
    """The page with the part replaced that `python -m scripts.study.STUDY` writes."""
    opening = f"<!-- measured: written by python -m scripts.study.{study} -->"
    before, rest = page.split(opening)
    _, after = rest.split(CLOSING, 1)
    return f"{before}{opening}\n\n{text}\n\n{CLOSING}{after}"


def write_measured(page: Path, study: str, text: str) -> None:
    page.write_text(with_measured(page.read_text(encoding="utf-8"), study, text), encoding="utf-8")
