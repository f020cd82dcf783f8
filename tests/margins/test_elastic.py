"""What the reasons of elastic formulas take a body for."""

import pytest

from buckle.case import Case, case_from_dict
from buckle.margins.elastic import plain_dome, yields_in_stand
from buckle.margins.hand import hand_calculations
from buckle.margins.pair import Pair
from buckle.results import BIFURCATION, Event, Outcome, Status
from tests.helpers.bodies import BASE, CAP


def beside(shape: dict, side: str, yielded_at: str = "") -> Pair:
    case: Case = case_from_dict(
        {
            "material": {"youngs_modulus_GPa": 69.0, "poissons_ratio": 0.33},
            "shape": shape,
            "supports": {"outer_edge": "clamped"},
            "loads": {"pressure_side": side},
            "analyses": {"run": ["LBA"], "wave_numbers": [0, 20]},
        }
    )
    event = Event(BIFURCATION, 1.0, 9)
    outcome = Outcome("LBA", Status.SOLVED, critical=(event,), yielded_at=yielded_at)
    return Pair(case, "LBA", event, hand_calculations(case)["LBA"][0], {"LBA": outcome})


@pytest.mark.parametrize(("shape", "side"), [(BASE, "inside"), (CAP, "outside")], ids=["base", "cap"])
def test_a_dome_that_a_table_of_thickness_cuts_is_not_plain(shape: dict, side: str) -> None:
    """Its first part alone would pass for the whole dome, a cap of a smaller half angle."""
    thickness = shape.get("gauge_mm") or shape["thickness_mm"]
    cut = shape | {"thickness_at_mm": [[3.0, thickness], [6.0, thickness], [9.0, 1.2 * thickness]]}
    assert plain_dome(beside(shape, side))
    assert not plain_dome(beside(cut, side))


def test_only_what_stands_yields_in_its_stand() -> None:
    assert yields_in_stand(beside(BASE, "inside", "nose inner"))
    assert not yields_in_stand(beside(BASE, "inside", "dome corner"))
    assert not yields_in_stand(beside(CAP, "outside", "cap"))
