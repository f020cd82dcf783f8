"""docs/validation.md tells what scripts/validation_table finds."""

import re
from pathlib import Path

import pytest

from scripts.validation_page import document

NUMBER = re.compile(r"\d+(?:\.\d+)?")
PAGE = Path(__file__).parents[2] / "docs" / "validation.md"


@pytest.mark.slow
def test_the_page_is_fresh() -> None:
    """The same words; numbers within 2 %, whole ones within 2, as far as plastic onsets scatter between machines."""
    kept, found = (" ".join(text.split()) for text in (PAGE.read_text(encoding="utf-8"), document()))
    assert NUMBER.sub("#", kept) == NUMBER.sub("#", found)
    for old, new in zip(NUMBER.findall(kept), NUMBER.findall(found), strict=True):
        allowed = 0.02 * float(old) if "." in old or float(old) > 100 else 2.0
        assert float(new) == pytest.approx(float(old), abs=allowed)
