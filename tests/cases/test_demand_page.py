"""docs/demand.md tells what scripts/pages finds."""

import re

import pytest

from scripts.tables.demand_page import document
from tests.helpers.paths import ROOT

NUMBER = re.compile(r"\d+(?:\.\d+)?")


def test_the_page_is_fresh() -> None:
    """The same words, and the same numbers but for one unit of the last digit: a half may be rounded either way."""
    kept, found = (ROOT / "docs" / "demand.md").read_text(encoding="utf-8"), document()
    assert NUMBER.sub("#", kept) == NUMBER.sub("#", found)
    for old, new in zip(NUMBER.findall(kept), NUMBER.findall(found), strict=True):
        unit = 10.0 ** -len(old.partition(".")[2])
        assert float(new) == pytest.approx(float(old), abs=1.01 * unit if "." in old else 0.0)
