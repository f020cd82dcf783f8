"""The record of parts as one shell, of numbers made up by hand."""

import json
from collections.abc import Callable
from typing import Any

import pytest

from buckle.analysis.joint import InWhole, Joint
from buckle.container.reader import read_input
from buckle.record.joint import joint_disagreements, joint_fields
from buckle.results import BIFURCATION, LIMIT_POINT, Event
from tests.helpers.paths import ROOT

END = InWhole("end", Event(BIFURCATION, 0.8, 12), 0.82, "clamped", {"clamped": 0.82, "pinned": 0.6, "sleeve": 0.808})
WALL = InWhole("wall", Event(LIMIT_POINT, 0.5), 0.5, "sleeve", {"sleeve": 0.5, "pinned": 0.4995}, "dome")


def test_a_part_in_the_whole_beside_itself_alone() -> None:
    """Bar of MPa; the sleeve is 1 % off, the end's own clamped edge 2.5 %; the wall's own edge meets it exactly."""
    recorded = joint_fields(Joint(Event(BIFURCATION, 0.75, 9), (END, WALL), ("the end: a note",)), 40.0)
    assert recorded["joint.seam_rotational_stiffness_N"] == 40.0
    assert recorded["joint.GMNA.governing_pressure_bar"] == pytest.approx(7.5)
    assert recorded["joint.GMNA.governing_event"] == BIFURCATION
    assert recorded["joint.GMNA.bifurcation_wave_number"] == 9
    end, wall = recorded["joint.parts"]
    assert (end["part"], end["event"], end["edge"], end["nearest_edge"]) == (
        "end",
        "bifurcation, n = 12",
        "clamped",
        "sleeve",
    )
    assert (end["joint_pressure_bar"], end["alone_pressure_bar"]) == pytest.approx((8.0, 8.2))
    assert (end["alone_over_joint"], end["nearest_over_joint"]) == pytest.approx((1.025, 1.01))
    assert end["by_edge_bar"] == pytest.approx({"clamped": 8.2, "pinned": 6.0, "sleeve": 8.08})
    assert (wall["event"], wall["nearest_edge"], wall["nearest_over_joint"]) == ("limit point", "sleeve", 1.0)
    assert recorded["joint.notes"] == [
        "the end: a note",
        "wall: in the whole waves begin in the dome, of another part that stays elastic",
    ]


def test_what_was_not_found_or_said_is_not_there() -> None:
    silent = joint_fields(Joint(None, (END,), ()), 0.0)
    assert silent.keys() == {"joint.seam_rotational_stiffness_N", "joint.parts"}
    collapse = joint_fields(Joint(Event(LIMIT_POINT, 0.75), (), ()), 0.0)
    assert "joint.GMNA.bifurcation_wave_number" not in collapse


# Read back ------------------------------------------------------------------------------------------------------------

CONTAINER = read_input(ROOT / "cases/demo/container.toml")
EDGES = {"clamped": 0.74, "pinned": 0.71, "sleeve": 1.08}
PARTS = (
    InWhole("base", Event(LIMIT_POINT, 0.743), 0.74, "clamped", EDGES),
    InWhole("wall.pasteuriser", Event(BIFURCATION, 1.079, 5), 1.08, "sleeve", EDGES),
)
WHOLE = Event(LIMIT_POINT, 0.72)
STIFFNESS = CONTAINER.seam.rotational_stiffness
Change = Callable[[dict[str, Any]], object]


def made(notes: tuple[str, ...] = ("end: it stalled",), whole: Event | None = WHOLE) -> dict[str, Any]:
    return json.loads(json.dumps(joint_fields(Joint(whole, PARTS, notes), STIFFNESS)))


def test_what_was_found_is_believed() -> None:
    assert list(joint_disagreements(CONTAINER, made())) == []
    assert list(joint_disagreements(CONTAINER, made(("end: it stalled", "the whole: it stalled"), None))) == []


@pytest.mark.parametrize(
    ("change", "named"),
    [
        (lambda found: found["joint.parts"][0].update(alone_over_joint=1.1), "joint.parts (base).alone_over_joint"),
        (lambda found: found["joint.parts"][0].update(alone_pressure_bar=8.0), "joint.parts (base).alone_pressure_bar"),
        (lambda found: found["joint.parts"][0].update(joint_pressure_bar=8.0), "joint.parts (base).alone_over_joint"),
        (lambda found: found["joint.parts"][1].update(nearest_edge="pinned"), "(wall.pasteuriser).nearest_edge"),
        (lambda found: found["joint.parts"][1].update(part="neck"), "parts that are not asked for a pressure"),
        (lambda found: found["joint.parts"].pop(0), "joint.parts: has no base, and joint.notes no reason"),
        (lambda found: found.pop("joint.notes"), "joint.parts: has no end, and joint.notes no reason"),
        (lambda found: found.pop("joint.GMNA.governing_pressure_bar"), "is missing, and joint.notes give no reason"),
        (lambda found: found.update({"joint.seam_rotational_stiffness_N": 1.0}), "joint.seam_rotational_stiffness_N"),
        (lambda found: found["joint.parts"][0].update(by_edge_bar={}), "joint.parts (base)"),
    ],
)
def test_what_does_not_follow_is_named(change: Change, named: str) -> None:
    found = made()
    change(found)
    assert any(named in each for each in joint_disagreements(CONTAINER, found))
