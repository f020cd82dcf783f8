"""A sized design as a case file that can be run: the text of the original with the values put in."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from buckle.case import Case, read_case, read_text
from buckle.case.rewrite import rewritten_case
from buckle.errors import CaseError


def write_design(case: Case, values: Mapping[str, Any], path: Path, words: str) -> Case:
    """Write the file of a case with values under keys, and return the case read back from it.

    `words` stand in a comment at its head. Raises CaseError if it cannot be written, or does not read as it should.
    """
    assert case.path is not None
    is_json = case.path.endswith(".json")
    text = rewritten_case(read_text(case.path), values, is_json=is_json)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text if is_json else _headed(text, words), encoding="utf-8", newline="\n")
    except OSError as error:
        raise CaseError(f"{path}: cannot be written: {error.strerror or error}") from error
    return read_case(path)


def _headed(text: str, words: str) -> str:
    """Put a comment at the head of a file, in the place of the schema that stood where the original is."""
    first, _, rest = text.partition("\n")
    return f"# {words}\n{rest if first.startswith('#:schema') else text}"
