"""Three domed bases and three ends: every junction, arc centre and length, from the two families' own keys.

Where the dimensions come from. Base A "unreformed 66": dome radius, dome corner and gauge within the claims of
US 7,395,686 B2 (2008), nose radius inside >= 1.52 mm as WO 99/62765 A1 (1999), depth within JP 2025-13263 A (2025).
Base B "reformed 66": outside diameter, depth and thickness within JP 2025-13263 A, reform like WO 2023/126141 A1.
Base C "slim reformed": body, stand, thickness, dome height, reform height and diameter of WO 2023/126141 A1 (2023).
End E1: CMI Voluntary Can and End Dimension Reference Manual, 202 sample page. E2: within US 6,761,280 B2 (2004).
E3: 200 size within US 12,629,744 B2. All dimensions not given there were chosen so that the sets close.

The tables of junctions, areas and solved values were computed for this project: chain of tangent arcs built outward and
inward from the nose, closed numerically; the families under test close it analytically from the apex outward.
Tolerances are half the last printed digit and a little round-off.
"""

from math import cos, degrees, hypot, radians, sin

import numpy as np
import pytest

from buckle.meridian import Meridian
from buckle.shapes import domed_base, recessed_end

BASES = {
    "A": {
        "stand_diameter": 48.26,
        "nose_radius": 1.66,
        "inner_leg_angle": radians(6),
        "dome_corner_radius": 2.30,
        "dome_radius": 45.70,
        "dome_depth": 10.40,
        "outer_leg_angle": radians(28),
        "outer_leg_length": 1.20,
        "chime_radius": 3.0,
        "chime_angle": radians(58),
        "heel_radius": 5.0,
        "wall_radius": 33.00,
        "gauge": 0.270,
        "wall_gauge": 0.105,
    },
    "B": {
        "stand_diameter": 47.0,
        "nose_inner_radius": 1.20,
        "nose_outer_radius": 1.50,
        "inner_leg_angle": radians(-20),
        "undercut_length": 0.30,
        "reform_radius": 1.10,
        "upper_leg_angle": radians(10),
        "dome_corner_radius": 1.80,
        "dome_radius": 43.00,
        "dome_depth": 10.60,
        "outer_leg_angle": radians(27),
        "outer_leg_length": 1.50,
        "chime_radius": 3.0,
        "chime_angle": radians(60),
        "heel_radius": 5.0,
        "wall_radius": 33.00,
        "gauge": 0.235,
        "wall_gauge": 0.097,
    },
    "C": {
        "stand_diameter": 45.7,
        "nose_inner_radius": 1.00,
        "nose_outer_radius": 1.40,
        "inner_leg_angle": radians(-40),
        "undercut_length": 0.30,
        "reform_radius": 0.80,
        "upper_leg_angle": radians(10),
        "dome_corner_radius": 1.30,
        "dome_radius": 45.00,
        "dome_depth": 9.40,
        "outer_leg_angle": radians(25),
        "outer_leg_length": 1.20,
        "chime_radius": 2.5,
        "chime_angle": radians(52),
        "heel_radius": 4.5,
        "wall_radius": 29.20,
        "gauge": 0.230,
        "wall_gauge": 0.097,
    },
}

ENDS = {
    "E1": {
        "panel_diameter": 45.34,
        "panel_radius": 0.50,
        "panel_depth": 2.286,
        "countersink_radius": 0.62,
        "chuck_wall_angle": radians(12),
        "chuck_wall_length": 3.8,
        "gauge": 0.2235,
    },
    "E2": {
        "panel_diameter": 44.40,
        "panel_radius": 0.45,
        "panel_depth": 1.65,
        "countersink_radius": 0.484,
        "chuck_wall_angle": 0.0,
        "chuck_wall_length": 0.75,
        "chuck_bend_radius": 1.0,
        "upper_chuck_wall_angle": radians(27),
        "upper_chuck_wall_length": 2.2,
        "gauge": 0.208,
    },
    "E3": {
        "panel_diameter": 43.80,
        "panel_radius": 0.42,
        "panel_depth": 2.54,
        "countersink_radius": 0.484,
        "chuck_wall_angle": 0.0,
        "chuck_wall_length": 1.40,
        "chuck_bend_radius": 1.2,
        "upper_chuck_wall_angle": radians(25),
        "upper_chuck_wall_length": 2.0,
        "gauge": 0.208,
    },
}

# segment | radius | start r, z | end r, z | arc centre r, z | length
TABLES = {
    "A": """
dome | 45.700 | 0.0000, 10.4000 | 21.0427, 5.2672 | 0.0000, -35.3000 | 21.8677
dome corner | 2.300 | 21.0427, 5.2672 | 22.2710, 3.4659 | 19.9836, 3.2255 | 2.2714
inner leg | - | 22.2710, 3.4659 | 22.4791, 1.4865 | - | 1.9903
nose inner | 1.660 | 22.4791, 1.4865 | 24.1300, 0.0000 | 24.1300, 1.6600 | 2.4337
nose outer | 1.660 | 24.1300, 0.0000 | 25.5957, 0.8807 | 24.1300, 1.6600 | 1.7963
outer nose wall | - | 25.5957, 0.8807 | 26.1591, 1.9402 | - | 1.2000
chime concave | 3.000 | 26.1591, 1.9402 | 27.2181, 3.0759 | 28.8079, 0.5318 | 1.5708
chime cone | - | 27.2181, 3.0759 | 30.6496, 5.2202 | - | 4.0463
heel | 5.000 | 30.6496, 5.2202 | 33.0000, 9.4604 | 28.0000, 9.4604 | 5.0615
""",
    "B": """
dome | 43.000 | 0.0000, 10.6000 | 21.4444, 4.8711 | 0.0000, -32.4000 | 22.4506
dome corner | 1.800 | 21.4444, 4.8711 | 22.3194, 3.6235 | 20.5467, 3.3110 | 1.5735
upper leg | - | 22.3194, 3.6235 | 22.5246, 2.4596 | - | 1.1819
reform groove | 1.100 | 22.5246, 2.4596 | 22.4750, 1.8923 | 21.4413, 2.2686 | 0.5760
undercut leg | - | 22.4750, 1.8923 | 22.3724, 1.6104 | - | 0.3000
nose inner | 1.200 | 22.3724, 1.6104 | 23.5000, 0.0000 | 23.5000, 1.2000 | 2.3038
nose outer | 1.500 | 23.5000, 0.0000 | 24.8365, 0.8190 | 23.5000, 1.5000 | 1.6493
outer nose wall | - | 24.8365, 0.8190 | 25.5175, 2.1555 | - | 1.5000
chime concave | 3.000 | 25.5175, 2.1555 | 26.6905, 3.3916 | 28.1905, 0.7936 | 1.7279
chime cone | - | 26.6905, 3.3916 | 30.5000, 5.5910 | - | 4.3988
heel | 5.000 | 30.5000, 5.5910 | 33.0000, 9.9212 | 28.0000, 9.9212 | 5.2360
""",
    "C": """
dome | 45.000 | 0.0000, 9.4000 | 21.7352, 3.8028 | 0.0000, -35.6000 | 22.6837
dome corner | 1.300 | 21.7352, 3.8028 | 22.3875, 2.8903 | 21.1073, 2.6645 | 1.1598
upper leg | - | 22.3875, 2.8903 | 22.4518, 2.5257 | - | 0.3701
reform groove | 0.800 | 22.4518, 2.5257 | 22.2768, 1.8726 | 21.6640, 2.3868 | 0.6981
undercut leg | - | 22.2768, 1.8726 | 22.0840, 1.6428 | - | 0.3000
nose inner | 1.000 | 22.0840, 1.6428 | 22.8500, 0.0000 | 22.8500, 1.0000 | 2.2689
nose outer | 1.400 | 22.8500, 0.0000 | 24.1188, 0.8083 | 22.8500, 1.4000 | 1.5882
outer nose wall | - | 24.1188, 0.8083 | 24.6260, 1.8959 | - | 1.2000
chime concave | 2.500 | 24.6260, 1.8959 | 25.3526, 2.8094 | 26.8917, 0.8394 | 1.1781
chime cone | - | 25.3526, 2.8094 | 27.4705, 4.4641 | - | 2.6876
heel | 4.500 | 27.4705, 4.4641 | 29.2000, 8.0101 | 24.7000, 8.0101 | 4.0841
""",
    "E1": """
centre panel | - | 0.0000, 0.0000 | 22.6700, 0.0000 | - | 22.6700
panel radius | 0.500 | 22.6700, 0.0000 | 23.1700, -0.5000 | 22.6700, -0.5000 | 0.7854
panel wall | - | 23.1700, -0.5000 | 23.1700, -1.6660 | - | 1.1660
countersink | 0.620 | 23.1700, -1.6660 | 24.3965, -1.7949 | 23.7900, -1.6660 | 1.8179
chuck wall lower | - | 24.3965, -1.7949 | 25.1865, 1.9221 | - | 3.8000
""",
    "E2": """
centre panel | - | 0.0000, 0.0000 | 22.2000, 0.0000 | - | 22.2000
panel radius | 0.450 | 22.2000, 0.0000 | 22.6500, -0.4500 | 22.2000, -0.4500 | 0.7069
panel wall | - | 22.6500, -0.4500 | 22.6500, -1.1660 | - | 0.7160
countersink | 0.484 | 22.6500, -1.1660 | 23.6180, -1.1660 | 23.1340, -1.1660 | 1.5205
chuck wall lower | - | 23.6180, -1.1660 | 23.6180, -0.4160 | - | 0.7500
chuck bend | 1.000 | 23.6180, -0.4160 | 23.7270, 0.0380 | 24.6180, -0.4160 | 0.4712
chuck wall upper | - | 23.7270, 0.0380 | 24.7258, 1.9982 | - | 2.2000
""",
    "E3": """
centre panel | - | 0.0000, 0.0000 | 21.9000, 0.0000 | - | 21.9000
panel radius | 0.420 | 21.9000, 0.0000 | 22.3200, -0.4200 | 21.9000, -0.4200 | 0.6597
panel wall | - | 22.3200, -0.4200 | 22.3200, -2.0560 | - | 1.6360
countersink | 0.484 | 22.3200, -2.0560 | 23.2880, -2.0560 | 22.8040, -2.0560 | 1.5205
chuck wall lower | - | 23.2880, -2.0560 | 23.2880, -0.6560 | - | 1.4000
chuck bend | 1.200 | 23.2880, -0.6560 | 23.4004, -0.1489 | 24.4880, -0.6560 | 0.5236
chuck wall upper | - | 23.4004, -0.1489 | 24.2457, 1.6638 | - | 2.0000
""",
}


def built(name: str) -> Meridian:
    return domed_base(**BASES[name], wall_height=25.0) if name in BASES else recessed_end(**ENDS[name])


def numbers(cell: str) -> list[float]:
    return [] if cell == "-" else [float(part) for part in cell.split(",")]


def rows(name: str) -> list[tuple[str, list[float], list[float], list[float], list[float], float]]:
    cells = [[cell.strip() for cell in line.split("|")] for line in TABLES[name].strip().splitlines()]
    return [(c[0], numbers(c[1]), numbers(c[2]), numbers(c[3]), numbers(c[4]), float(c[5])) for c in cells]


@pytest.mark.parametrize("name", TABLES)
def test_junctions_centres_and_lengths(name):
    body = built(name)
    for i, (segment, radius, start, end, centre, length) in enumerate(rows(name)):
        piece, first, last = body.pieces[i], body.at(i, 0.0), body.at(i, body.pieces[i].length)
        assert [first.r, first.z] == pytest.approx(start, abs=6e-5), segment
        assert [last.r, last.z] == pytest.approx(end, abs=6e-5), segment
        assert piece.length == pytest.approx(length, abs=6e-5), segment
        assert (piece.curvature != 0.0) == bool(radius), segment
        if radius:
            assert 1.0 / abs(piece.curvature) == pytest.approx(radius[0], abs=6e-5), segment
            lever = 1.0 / piece.curvature
            found = [first.r - lever * sin(first.heading), first.z + lever * cos(first.heading)]
            assert found == pytest.approx(centre, abs=6e-5), segment


@pytest.mark.parametrize("name", TABLES)
def test_every_junction_is_tangent_and_the_lowest_point_is_where_it_should_be(name):
    body = built(name)
    for i in range(len(body.pieces) - 1):
        before, after = body.at(i, body.pieces[i].length), body.at(i + 1, 0.0)
        assert abs(before.heading - after.heading) < 1e-12
        assert hypot(before.r - after.r, before.z - after.z) < 1e-9
    lowest = body.at_s(body.points["stand" if name in BASES else "countersink"])
    depth = 0.0 if name in BASES else -ENDS[name]["panel_depth"]
    assert float(lowest.z) == pytest.approx(depth, abs=1e-9)
    assert np.min(body.at_s(np.linspace(0.0, body.length, 4001)).z) >= depth - 1e-12
    assert body.closed_at_start


@pytest.mark.parametrize(
    ("name", "last_leg", "half_angle", "cone", "area", "mass_per_micron"),
    [
        ("A", 1.9903, 27.4163, 4.0463, 4917.0, 0.0134),
        ("B", 1.1819, 29.9145, 4.3988, 5002.0, 0.0136),
        ("C", 0.3701, 28.8818, 2.6876, 4035.0, 0.0110),
    ],
)
def test_solved_values_and_area(name, last_leg, half_angle, cone, area, mass_per_micron):
    """Half a unit of the last printed digit each; mass per micron of the area at 2.72 g/cm3."""
    body = built(name)
    by_name = {piece.name: piece for piece in body.pieces}
    assert by_name["inner leg" if name == "A" else "upper leg"].length == pytest.approx(last_leg, abs=6e-5)
    dome = by_name["dome"]
    assert degrees(dome.length * abs(dome.curvature)) == pytest.approx(half_angle, abs=6e-5)
    assert by_name["chime cone"].length == pytest.approx(cone, abs=6e-5)
    to_heel = tuple(piece for piece in body.pieces if not piece.name.startswith("wall"))
    base = Meridian(body.start, body.heading, body.inside, to_heel)
    assert base.surface_area == pytest.approx(area, abs=0.6)
    assert base.surface_area * 1e-3 * 2.72e-3 == pytest.approx(mass_per_micron, abs=6e-5)


@pytest.mark.parametrize(("name", "diameter", "height"), [("B", 45.08, 2.27), ("C", 44.93, 2.39)])
def test_reform_diameter_and_height(name, diameter, height):
    """The reform groove's outermost mid-surface point: where its heading is vertical."""
    body = built(name)
    index = [piece.name for piece in body.pieces].index("reform groove")
    at = body.at(index, np.linspace(0.0, body.pieces[index].length, 2001))
    widest = int(np.argmax(at.r))
    assert 2 * at.r[widest] == pytest.approx(diameter, abs=6e-3)
    assert at.z[widest] == pytest.approx(height, abs=6e-3)


def test_product_side_dimensions_make_the_same_base():
    """The nose radius inside 1.525 mm is 1.66 mid-surface; the dome radius inside is half a gauge more."""
    inside = {k: v for k, v in BASES["A"].items() if k not in ("nose_radius", "dome_radius", "wall_radius")}
    other = domed_base(
        **inside,
        nose_radius_inside=1.525,
        dome_radius_inside=45.835,
        body_outside_diameter=66.105,
        wall_height=25.0,
    )
    mid = built("A")
    np.testing.assert_allclose(other.at_s(other.breaks).r, mid.at_s(mid.breaks).r, atol=1e-12)


def test_trade_dimensions_of_the_classic_end():
    """CMI 202: countersink radius 0.508 on the public side; E1 rounds its mid-surface 0.61975 to 0.62."""
    given = {k: v for k, v in ENDS["E1"].items() if k != "countersink_radius"}
    other, mid = recessed_end(**given, countersink_radius_outside=0.508), built("E1")
    np.testing.assert_allclose(other.at_s(other.breaks).r, mid.at_s(mid.breaks).r, atol=1e-3)
    assert 2 * float(built("E3").at_s(built("E3").breaks[3]).r) == pytest.approx(44.64)  # inner countersink diameter
