"""The invented tea container as one: base and end of the demonstration with a wall and a neck, by the parts' masses."""

import math
from dataclasses import dataclass
from functools import cache

from scipy.optimize import brentq

from buckle.case import Case, read_case
from buckle.container.metal import Metal, Sheet, metal_of
from buckle.container.parts import Part, joined, parts_of, without_stub
from buckle.container.stack import Between, Stack, State, filled_mass, stacked
from buckle.container.volume import Headspace, brim_volume, closed_volume, headspace
from buckle.demand.balance import balance
from buckle.demand.drinks import DRINKS
from buckle.demand.filling import Body, carbonated
from buckle.formulas import blank, packing
from buckle.formulas.base import Formula
from buckle.formulas.cylinder import axial, buckling
from buckle.meridian import AnyPiece, Meridian, Piece, arc, line
from buckle.shapes import FAMILIES
from scripts.paths import CASES

HELD = 350e3  # mm3 that the closed container holds: 330 ml and 20 ml of headspace
LIQUID, LIQUID_DENSITY = 330e3, 1030.0  # mm3, kg/m3: chosen here
COLD = 4.0  # degC: the least pressure of a cold store
THIN, THICK = 0.1, 0.15  # mm: ironed wall, and below and in the neck
RAMP, NECK_RADIUS, NECK_ANGLE, FLANGE = 4.0, 8.0, math.radians(30.0), 3.0  # mm, rad: chosen here
TRIM, EARING = 5.0, 2.0  # mm of height at the rim: chosen here
CURL = 8.0  # mm of ring beyond the end's edge for curl and hook: chosen here
PRICES = {"price": 3.0, "scrap_price": 1.5}  # money/kg, invented
ROWS, WEB = 10.0, 1.0  # of discs on the strip, and mm between: chosen here
GAP = 0.4  # mm between containers on the pallet
PALLET = {"pallet_length": 1200.0, "pallet_width": 1000.0}  # mm
SHEET = Between(sheet_mass=1.5, sheet_thickness=0.6, pallet_height=144.0)  # g for each container, mm: chosen here
FACTOR = 1.5  # dynamic factor of transport: chosen here
MEASURED_EMPTY = (
    600.0  # N: least of three empty containers of 66 mm, crushed beside wall and neck (an engineering firm)
)


@dataclass(frozen=True)
class Container:
    """The parts of the container, its end among them, and the body as one walk."""

    body: Meridian
    end: Meridian
    parts: tuple[Part, ...]

    @property
    def mass(self) -> float:
        """Mass of all parts [g]."""
        return sum(part.mass for part in self.parts)


@cache
def container() -> Container:
    """The container whose wall is as high as its content asks for."""
    base, end = (read_case(CASES / "demo" / name) for name in ("base.toml", "end.toml"))
    low, high = 60.0, 200.0
    height = float(brentq(lambda h: closed_volume(_body(base, end, h), end.meridian) - HELD, low, high, xtol=1e-9))
    body = _body(base, end, height)
    parts = parts_of(body, ("wall", "neck"), base.material.density)
    own = Part("end", without_stub(end.meridian, FAMILIES[end.family]), end.material.density)
    return Container(body, end.meridian, (*parts, own))


def _body(base: Case, end: Case, height: float) -> Meridian:
    """The body with a wall of a height [mm] between the ramps of its thickness."""
    foot = without_stub(base.meridian, FAMILIES[base.family])
    gauge = foot.pieces[-1].thickness[1]
    wall = (Piece(RAMP, 0.0, (gauge, THIN)), line(height, THIN), Piece(RAMP, 0.0, (THIN, THICK)))
    return joined(foot, {"wall": wall, "neck": _neck(_radius(foot), _radius(end.meridian))})


def _radius(meridian: Meridian) -> float:
    """Radius of the outer edge [mm]."""
    return float(meridian.at_s(meridian.length).r)


def _neck(outer: float, inner: float) -> tuple[AnyPiece, ...]:
    """Two equal bends, a cone between and an upright rim: from one radius to another [mm]."""
    cone = (outer - inner - 2.0 * NECK_RADIUS * (1.0 - math.cos(NECK_ANGLE))) / math.sin(NECK_ANGLE)
    bends = (arc(NECK_RADIUS, turn, THICK) for turn in (NECK_ANGLE, -NECK_ANGLE))
    return (next(bends), line(cone, THICK), next(bends), line(FLANGE, THICK))


# What it holds --------------------------------------------------------------------------------------------------------


def volumes() -> tuple[float, float, Headspace]:
    """To the brim, closed [mm3], and what the liquid leaves."""
    found = container()
    return brim_volume(found.body), closed_volume(found.body, found.end), headspace(found.body, found.end, LIQUID)


def cold_pressure() -> float:
    """Gauge pressure of the tea in a cold store [MPa]: 2.5 volumes, sugared, no air."""
    body = Body(LIQUID, volumes()[2].volume, COLD)
    return balance(carbonated(body, 2.5, DRINKS["sugared"], 0.0), COLD).gauge


# Metal ----------------------------------------------------------------------------------------------------------------


def body_metal() -> tuple[float, Metal]:
    """Disc [mm] and metal of the body."""
    base = read_case(CASES / "demo/base.toml")
    sheet = Sheet(base.dimensions["gauge"], base.material.density, **PRICES)
    body = container().body
    return _cut(sheet, body.metal_volume, (_radius(body), THICK), TRIM, EARING)


def end_metal() -> tuple[float, Metal]:
    """Disc [mm] and metal of the end with a ring for its curl, which nothing is trimmed off."""
    end = read_case(CASES / "demo/end.toml")
    gauge = end.dimensions["gauge"]
    edge = _radius(end.meridian)
    volume = end.meridian.metal_volume + CURL * gauge * 2.0 * math.pi * edge
    return _cut(Sheet(gauge, end.material.density, **PRICES), volume, (edge, gauge), 0.0, 0.0)


def _cut(sheet: Sheet, volume: float, rim: tuple[float, float], trim: float, earing: float) -> tuple[float, Metal]:
    """Disc and metal of a part of a volume [mm3]; `rim` is radius and thickness of its rim [mm]."""
    disc = blank.diameter(
        metal_volume=volume, gauge=sheet.gauge, rim_radius=rim[0], rim_thickness=rim[1], trim=trim, earing=earing
    ).value
    assert disc is not None
    share = blank.strip_share(blank_diameter=disc, rows=ROWS, web=WEB, edge_web=WEB).value
    assert share is not None
    return disc, metal_of(sheet, disc, share, volume * sheet.density * 1e-6)


# On a pallet ----------------------------------------------------------------------------------------------------------


def wall() -> dict[str, float]:
    """Elastic constants, radius and thickness of the wall."""
    base = read_case(CASES / "demo/base.toml")
    metal = {"youngs_modulus": base.material.youngs_modulus, "poissons_ratio": base.material.poissons_ratio}
    return {**metal, "radius": base.dimensions["wall_radius"], "thickness": THIN}


def panelling() -> Formula:
    """Outside pressure at which the wall panels."""
    return buckling.hydrostatic_pressure(**wall(), length=wall_height())


def wall_height() -> float:
    """Height of the wall between heel and neck [mm]."""
    body = container().body
    return body.points["wall"] - body.points["wall foot"]


def height() -> float:
    """Height of the body [mm], from where it stands; the seam adds none."""
    body = container().body
    return float(body.at_s(body.length).z) + 0.5 * body.pieces[0].thickness[0]


def stacks() -> tuple[Stack, Stack]:
    """How many stand on an empty body by the least force measured, and on a cold filled container by its wall."""
    found = container()
    bodies = sum(part.mass for part in found.parts[:-1])
    bound, pressed = (
        axial.axial_force_lower_bound(pressure=pressure, **wall()).value for pressure in (0.0, cold_pressure())
    )
    assert bound is not None
    assert pressed is not None
    full = filled_mass(found.mass, LIQUID, LIQUID_DENSITY)
    states = (State("empty, open", bodies, min(bound, MEASURED_EMPTY)), State("filled, 4 degC", full, pressed))
    first, second = (stacked(state, height(), FACTOR, SHEET) for state in states)
    return first, second


def per_layer() -> tuple[Formula, Formula]:
    """How many stand on a pallet, square and set off by half a step."""
    step = 2.0 * wall()["radius"] + THIN + GAP
    return packing.square_per_layer(**PALLET, diameter=step), packing.hexagonal_per_layer(**PALLET, diameter=step)
