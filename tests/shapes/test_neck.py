"""Necks against their geometry; tolerances are round-off."""

import math

import pytest

from buckle.errors import ShapeError
from buckle.shapes import neck

NECK = {
    "wall_radius": 29.0,
    "neck_radius": 26.0,
    "shoulder_radius": 5.0,
    "throat_radius": 4.0,
    "wall_height": 15.0,
    "edge_height": 2.0,
    "thickness": 0.15,
}


def test_a_neck_ends_upright_at_its_radius() -> None:
    """Height: 15 of wall, (5 + 4) sin 30 of arcs, (3 - 9 (1 - cos 30)) / tan 30 of cone, 2 of edge."""
    body = neck(**NECK, cone_angle=math.pi / 6.0)
    edge = body.at_s(body.length)
    step = 3.0 - 9.0 * (1.0 - math.cos(math.pi / 6.0))
    height = 15.0 + 4.5 + step / math.tan(math.pi / 6.0) + 2.0
    assert [float(edge.r), float(edge.z)] == pytest.approx([26.0, height], abs=1e-12)
    assert float(edge.heading) == pytest.approx(0.5 * math.pi, abs=1e-12)
    assert [piece.name for piece in body.pieces] == ["wall", "shoulder", "cone", "throat", "neck edge"]
    assert body.inside == "left"


def test_an_ogee_has_no_cone() -> None:
    """Two arcs that meet turn by acos(1 - 3 / 9), so that both steps add up to 3."""
    body = neck(**NECK)
    edge = body.at_s(body.length)
    turn = math.acos(1.0 - 3.0 / 9.0)
    assert [float(edge.r), float(edge.z)] == pytest.approx([26.0, 15.0 + 9.0 * math.sin(turn) + 2.0], abs=1e-12)
    assert [piece.name for piece in body.pieces] == ["wall", "shoulder", "throat", "neck edge"]


@pytest.mark.parametrize(
    ("size", "key"),
    [
        ({"neck_radius": 29.0}, "neck_radius"),
        ({"cone_angle": 0.0}, "cone_angle"),
        ({"cone_angle": 1.6}, "cone_angle"),
        (
            {"cone_angle": 1.0},
            "neck_radius",
        ),  # the smallest change that closes it: its arcs alone are 4.1 wide, 3 are there
        ({"neck_radius": 19.0}, "shoulder_radius"),  # arcs of 5 and 4 turn upright after a step of 9
    ],
)
def test_necks_that_cannot_be(size: dict[str, float], key: str) -> None:
    with pytest.raises(ShapeError) as refused:
        neck(**NECK | size)
    assert refused.value.fault.key == key
