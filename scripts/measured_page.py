"""A page of docs with a part that a study writes, between two marks."""

CLOSING = "<!-- end of measured -->"


def with_measured(page: str, study: str, text: str) -> str:
    """The page with the part replaced that the script `study` writes."""
    opening = f"<!-- measured: written by scripts/{study} -->"
    before, rest = page.split(opening)
    _, after = rest.split(CLOSING, 1)
    return f"{before}{opening}\n\n{text}\n\n{CLOSING}{after}"
