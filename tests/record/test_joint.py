"""What a record holds of a container as one shell follows from its file and from the loads in it."""

import json
from collections.abc import Callable
from typing import Any

import pytest

from buckle.analysis.joint import InWhole, Joint
from buckle.container.reader import read_input
from buckle.record.joint import joint_disagreements, joint_fields
from buckle.results import BIFURCATION, LIMIT_POINT, Event
from tests.helpers.paths import ROOT

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
