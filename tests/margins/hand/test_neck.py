"""Which formulas stand beside which analysis of a neck, and that they are given its own numbers."""

import numpy as np
import pytest

from buckle.case import Case
from tests.margins.hand.test_calculations import body, given, names, one

NECK = {
    "family": "neck",
    "wall_radius_mm": 29.0,
    "neck_radius_mm": 26.0,
    "shoulder_radius_mm": 5.0,
    "throat_radius_mm": 4.0,
    "wall_height_mm": 15.0,
    "edge_height_mm": 2.0,
    "thickness_mm": 0.15,
}


def pushed_neck(pressure: float = 0.0, side: str = "inside", **sizes: float) -> Case:
    """The neck as an axial force increases under a pressure [MPa] that stays."""
    along = {"increases": "axial_force", "axial_force_N": -1.0, "pressure_MPa": pressure}
    return body(NECK | sizes, side, "sleeve", loads=along, supports={"start_edge": "clamped"})


@pytest.mark.parametrize(
    ("cone", "turn"),
    [({"cone_angle_deg": 30.0}, np.radians(30.0)), ({}, np.arccos(1.0 - 3.0 / 9.0))],  # of an ogee: two arcs, 3 mm wide
    ids=["cone", "ogee"],
)
def test_neck_gives_its_own_dimensions_to_its_crush(cone: dict[str, float], turn: float) -> None:
    for pressure in (0.0, 0.2):
        for kind in ("MNA", "GMNA"):
            found = given(one(pushed_neck(pressure, **cone), kind, "crush.neck"))
            assert found == pytest.approx(
                {"yield_stress": 250.0, "wall_radius": 29.0, "neck_radius": 26.0, "wall_height": 15.0}
                | {"shoulder_radius": 5.0, "throat_radius": 4.0, "cone_angle": turn, "edge_height": 2.0}
                | {"thickness": 0.15, "pressure": pressure}
            )


def test_neck_has_forces_of_its_cone_without_pressure_and_its_crush_closed() -> None:
    """Under an outside pressure, or under a pressure that increases, no formula is there; of an ogee none of a cone."""
    cone, bound, crush = "cone.axial_force", "cone.axial_force_lower_bound", "crush.neck"
    angle = {"cone_angle_deg": 30.0}
    assert names(pushed_neck(**angle)) == {"LBA": [cone], "GNA": [cone, bound], "MNA": [crush], "GMNA": [crush, bound]}
    assert names(pushed_neck()) == names(pushed_neck(0.2, **angle)) == {"MNA": [crush], "GMNA": [crush]}
    assert names(pushed_neck(0.004, "outside", **angle)) == {}
    assert given(one(pushed_neck(**angle), "GNA", bound)) == pytest.approx(
        {"youngs_modulus": 210e3, "poissons_ratio": 0.3, "thickness": 0.15, "wall_radius": 29.0}
        | {"cone_angle": np.radians(30.0)}
    )
