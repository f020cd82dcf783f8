"""docs/validation.md tells what scripts/pages finds."""

import re
from types import SimpleNamespace

import numpy as np
import pytest

from scripts.tables.validation_page import document
from scripts.tables.validation_rows import pressure_at_twice_the_slope
from tests.helpers.paths import ROOT

NUMBER = re.compile(r"\d+(?:\.\d+)?")
PAGE = ROOT / "docs" / "validation.md"


def section(title: str) -> str:
    return next(each for each in PAGE.read_text(encoding="utf-8").split("\n## ") if each.startswith(title))


def test_the_page_says_first_that_no_base_and_no_end_was_tested() -> None:
    assert "**No test of a base or of an end is here.**" in PAGE.read_text(encoding="utf-8").split("\n## ")[0]


@pytest.mark.parametrize("title", ["Near-perfect clamped hemispheres", "An end with one dimension changed"])
def test_computations_are_not_shown_as_measurements(title: str) -> None:
    assert "\n\nNot a measurement" in section(title)
    assert "Measured" not in section(title)


def test_vessels_that_ended_at_welds_give_no_statistics_of_heads() -> None:
    text = section("Torispherical heads under internal pressure: two tests")
    assert "ended at welds and not in a head" in text
    assert "mean" not in text.split()
    assert {"190", "240"} <= set(NUMBER.findall(text))


def test_the_pressure_at_twice_the_slope() -> None:
    """Travel 2 p up to p = 1 and 2 p + 6 (p - 1) beyond: it is 4 p at p = 1.5."""
    pressure = np.array([0.0, 0.5, 1.0, 2.0])
    growth = np.array([0.0, 1.0, 2.0, 10.0])
    found = SimpleNamespace(path=SimpleNamespace(pressure=pressure, growth=growth))
    assert pressure_at_twice_the_slope(found) == pytest.approx(1.5)


@pytest.mark.slow
def test_the_page_is_fresh() -> None:
    """The same words; numbers within 2 %, whole ones within 2, as far as plastic onsets scatter between machines."""
    kept, found = (" ".join(text.split()) for text in (PAGE.read_text(encoding="utf-8"), document()))
    assert NUMBER.sub("#", kept) == NUMBER.sub("#", found)
    for old, new in zip(NUMBER.findall(kept), NUMBER.findall(found), strict=True):
        allowed = 0.02 * float(old) if "." in old or float(old) > 100 else 2.0
        assert float(new) == pytest.approx(float(old), abs=allowed)
