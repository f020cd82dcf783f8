"""What is said of a family holds for its bodies: the parts it names are there, and words are not left out by halves."""

import pytest

from buckle.case import Case, read_case
from buckle.shapes import FAMILIES, described
from tests.helpers.paths import ROOT

CASES = [read_case(path) for path in sorted((ROOT / "cases/benchmarks").glob("*/*.toml"))]


def bodies(name: str) -> list[Case]:
    return [case for case in CASES if case.family == name]


@pytest.mark.parametrize("name", FAMILIES)
def test_parts_that_a_family_names_are_there(name: str) -> None:
    family = FAMILIES[name]
    assert bodies(name)
    for case in bodies(name):
        names = [piece.name for piece in case.meridian.pieces]
        assert not family.dome or family.dome in names
        assert not family.stand or any(each.startswith(family.stand) for each in names)
        assert not family.panel or family.panel in case.meridian.points


@pytest.mark.parametrize("name", FAMILIES)
def test_a_dome_is_part_of_a_sphere_and_held_where_it_does_not_end_the_body(name: str) -> None:
    family = FAMILIES[name]
    for case in bodies(name):
        pieces = case.meridian.pieces
        dome = next((piece for piece in pieces if family.dome and piece.name == family.dome), None)
        if dome is not None:
            assert dome.sharpest > 0.0
            assert bool(family.dome_held_by) == (dome is not pieces[-1])


def test_names_are_those_of_the_functions_and_the_words_those_of_the_trade() -> None:
    """The limit states of base and end as the requirements and sheets of this project call them."""
    assert all(name == family.make.__name__ for name, family in FAMILIES.items())
    base, end, head = (FAMILIES[name] for name in ("domed_base", "recessed_end", "torispherical_head"))
    assert (base.collapse, base.growth_limit) == ("dome reversal", "roll-out of the stand")
    assert (end.collapse, end.growth_limit) == ("collapse of the end", "roll-out of the countersink")
    assert (head.collapse, head.growth_limit) == ("collapse", "movement up to its ceiling")
    assert [name for name, family in FAMILIES.items() if family.any_body] == ["meridian"]
    assert [name for name, family in FAMILIES.items() if family.from_below] == ["domed_base"]


def test_a_family_that_is_not_known_is_any_meridian() -> None:
    assert described("no such family") is FAMILIES["meridian"]
    assert described("domed_base") is FAMILIES["domed_base"]
