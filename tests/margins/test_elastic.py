"""What the reasons of elastic formulas take a body for."""

import math

import pytest

from buckle.case import Case, case_from_dict
from buckle.margins import elastic
from buckle.margins.again import HEAD_ALONE, HELD_ROUND
from buckle.margins.elastic import of_linear_formula, of_nonlinear_formula, plain_dome, yields_in_stand
from buckle.margins.hand import hand_calculations
from buckle.margins.pair import Pair
from buckle.results import BIFURCATION, WIDEN, Event, Outcome, Status
from tests.helpers.bodies import BASE, CAP, TORISPHERE, TUBE


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


# What is undone of a body, one after the other, until a formula knows it all ------------------------------------------

HEAD = TORISPHERE | {"thickness_mm": 3.0}
BOTH = {"start_edge": "clamped", "outer_edge": "clamped"}


def linear_pair(shape: dict, side: str, name: str, *, edges: dict, force: float = 0.0, notes: tuple = ()) -> Pair:
    """A linear bifurcation at half of what a formula says."""
    case = case_from_dict(
        {
            "material": {"youngs_modulus_GPa": 200.0, "poissons_ratio": 0.3},
            "shape": shape,
            "supports": edges,
            "loads": {"pressure_side": side, "axial_force_N": force},
            "analyses": {"run": ["LBA"], "wave_numbers": [0, 20]},
        }
    )
    formula = next(each for each in hand_calculations(case)["LBA"] if each.name == name)
    assert formula.value is not None
    event = Event(BIFURCATION, 0.5 * formula.value, 9)
    outcome = Outcome("LBA", Status.SOLVED, critical=(event,), notes=notes)
    return Pair(case, "LBA", event, formula, {"LBA": outcome})


CLAMPED = {"outer_edge": "clamped"}
CROWN = {
    "shape": {
        "family": "spherical_cap",
        "radius_mm": pytest.approx(1000.0, rel=1e-12),
        "half_angle_rad": pytest.approx(math.asin((500.0 - 100.0) / (1000.0 - 100.0)), rel=1e-12),  # to the knuckle
        "thickness_mm": 3.0,
    },
    "supports": CLAMPED,
    "loads": {"pressure_side": "outside"},
}
CYLINDER, SPHERE = "cylinder.hydrostatic_pressure", "sphere.classical_pressure"
MORE = ("waves beyond n = 20, which were not examined", {"analyses.wave_numbers": [0, 60]})
NO_FORCE = ("the axial force of -1500 N", {"loads.axial_force_N": 0.0})


@pytest.mark.parametrize(
    ("made", "steps", "left"),
    [
        (linear_pair(CAP, "outside", SPHERE, edges=CLAMPED), [], "an edge, which a complete sphere has not"),
        (
            linear_pair(CAP, "outside", SPHERE, edges=CLAMPED, notes=(f"{WIDEN} it",)),
            [MORE],
            "an edge, which a complete sphere has not",
        ),
        (linear_pair(CAP, "outside", SPHERE, edges={"outer_edge": "free"}, force=-1500.0), [NO_FORCE], None),
        (
            linear_pair(HEAD, "outside", SPHERE, edges=CLAMPED),
            [
                ("the cylinder behind the head, instead of a clamp", HEAD_ALONE),
                ("the knuckle that holds the crown, instead of a clamp", CROWN),
            ],
            None,
        ),
        (
            linear_pair(TUBE, "outside", CYLINDER, edges=BOTH),
            [("ends that do not turn and warp freely", HELD_ROUND)],
            None,
        ),
        (
            linear_pair(TUBE, "outside", CYLINDER, edges={"start_edge": "diaphragm", "outer_edge": "diaphragm"}),
            [],
            None,
        ),
    ],
    ids=["cap", "cap cut off", "cap pushed", "head", "tube", "tube as the formula has it"],
)
def test_what_is_undone_of_a_body(made: Pair, steps: list, left: str | None, monkeypatch: pytest.MonkeyPatch) -> None:
    """The analyses that would be made again are not made here: each finds a tenth of what the formula says."""
    seen: list[object] = []
    monkeypatch.setattr(elastic, "changed", lambda case, changes: seen.append(changes) or case)
    monkeypatch.setattr(elastic, "pressure", lambda case, kind: 0.1 * made.hand if kind == "LBA" else None)
    words = [each.words for each in of_linear_formula(made)]
    assert words == [step for step, _ in steps] + ([left] if left else [])
    assert seen == [changes for _, changes in steps]


@pytest.mark.parametrize(("share", "words"), [(0.9, "above"), (0.2, "below")])
def test_what_a_dome_stands_on_is_set_beside_an_immovable_hinge(share: float, words: str) -> None:
    """The hinged cap of the tables lies at 0.870 of the clamped one there."""
    case = case_from_dict(
        {
            "material": {"youngs_modulus_GPa": 69.0, "poissons_ratio": 0.33},
            "shape": BASE,
            "supports": CLAMPED,
            "loads": {"pressure_side": "inside"},
            "analyses": {"run": ["GNA"]},
        }
    )
    formula = next(each for each in hand_calculations(case)["GNA"] if each.name == "cap.clamped_bifurcation")
    assert formula.value is not None
    event = Event(BIFURCATION, share * formula.value, 9)
    made = Pair(case, "GNA", event, formula, {"GNA": Outcome("GNA", Status.SOLVED, bifurcation=event)})
    (reason,) = of_nonlinear_formula(made)
    hinged = f"({words} an immovable hinge, [17.0082 bar])"
    assert reason.words == f"what the dome stands on, instead of a clamp {hinged}"
    assert (reason.without, reason.having) == (formula.value, event.load)
