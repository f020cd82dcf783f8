"""What a container holds, what metal it is cut from and what that costs, and how it stands on a pallet."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from buckle.case.contents import demand_of
from buckle.container.container import Container
from buckle.container.metal import Metal, Sheet, metal_of
from buckle.container.models import END, Blank, Pallet
from buckle.container.parts import SAME
from buckle.container.stack import GRAVITY, Between, Stack, State, filled_mass, stacked, weight
from buckle.container.volume import brim_volume, closed_volume, headspace, level_of, volume_below
from buckle.container.whole import Body, body_of, closes, metal_of_parts
from buckle.formulas import blank, packing, stack
from buckle.formulas.cylinder import axial
from buckle.meridian import Meridian

BODY = "body"
WALL = "wall"


@dataclass(frozen=True)
class Volumes:
    """Volumes [mm3] and heights [mm]; None where nothing closes the body, is filled in, or is asked for."""

    height: float  # of the body, from where it stands
    brim: float
    closed: float | None
    to_line: float | None  # up to the line that the file states
    filled_below_brim: float | None  # the drink's level in the open body
    headspace: float | None
    filled_to: float | None = None  # height of the level, z of the meridian


@dataclass(frozen=True)
class Cut:
    """A disc [mm], the share of the strip that becomes discs, and its metal."""

    disc: float
    strip_share: float
    metal: Metal


@dataclass(frozen=True)
class Standing:
    """On a pallet: containers in a layer by two patterns, filled mass [g], force on the lowest [N], height [mm].

    `allowed` is the lower bound by hand of the wall's axial force at the least pressure of the contents [MPa], None
    without a wall or outside the formula's range; `most` the layers that it allows.
    """

    square: int
    hexagonal: int
    square_share: float
    hexagonal_share: float
    mass: float
    force: float
    height: float
    pressure: float
    allowed: float | None
    most: Stack | None


def unasked_vacuum(container: Container) -> float:
    """Highest pressure outside above that of the contents [MPa] where no part is asked what it carries from there."""
    demands = [each.case.demand for each in container.loaded if each.case.demand is not None]
    if container.contents is None or any(demand.side == "outside" for demand in demands):
        return 0.0
    return demand_of(container.contents, "inside").vacuum


def volumes_of(container: Container) -> Volumes | None:
    """Return what a container holds; None without a base and what stands on it.

    Raises ShapeError where the drink has no room.
    """
    body = body_of(container)
    if body is None or len(body.parts) == 1:
        return None
    meridian, whole, end = body.meridian, container.whole, container.parts.get(END)
    top = float(meridian.at_s(meridian.length).z)
    closed = _closed(container, body)
    line, contents = whole.fill_below_brim, container.contents
    left = level = None
    if contents is not None:
        level = level_of(meridian, contents.liquid)
        if end is not None and closed is not None:
            left = headspace(meridian, end.meridian, contents.liquid, whole.seam_drop)
    return Volumes(
        height=top + 0.5 * meridian.pieces[0].thickness[0],
        brim=brim_volume(meridian),
        closed=closed,
        to_line=None if line is None else volume_below(meridian, top - line),
        filled_below_brim=None if level is None else top - level,
        headspace=None if left is None else left.volume,
        filled_to=level,
    )


def closed_volume_of(container: Container) -> float | None:
    """Return what the parts close in [mm3], up to the brim where no end closes them; None where nothing is held."""
    body = body_of(container)
    if body is None or len(body.parts) == 1:
        return None
    closed = _closed(container, body)
    return brim_volume(body.meridian) if closed is None else closed


def _closed(container: Container, body: Body) -> float | None:
    """Return what body and end close in [mm3]; None without an end that meets the brim."""
    end = container.parts.get(END)
    if end is None or not closes(body, end):
        return None
    return closed_volume(body.meridian, end.meridian, container.whole.seam_drop)


# Metal ----------------------------------------------------------------------------------------------------------------


def masses_of(container: Container) -> dict[str, float]:
    """Return the mass of every part [g], cut where it ends; none of a metal whose density is not known."""
    return {part.name: part.mass for part in metal_of_parts(container) if part.density}


def cuts_of(container: Container) -> dict[str, Cut]:
    """Return what body and end are cut from, as far as [blanks] says. Raises CaseError for what cannot be."""
    return dict(_cuts(container))


def _cuts(container: Container) -> Iterator[tuple[str, Cut]]:
    body, blanks, parts = body_of(container), container.blanks, container.parts
    if body is not None and blanks.body is not None:
        yield BODY, _cut(body.meridian, parts["base"].material.density, blanks.body)
    if END in parts and blanks.end is not None:
        end = next(part for part in metal_of_parts(container) if part.name == END)
        yield END, _cut(end.meridian, end.density, blanks.end)


def _cut(meridian: Meridian, density: float, wanted: Blank) -> Cut:
    edge = meridian.at_s(meridian.length)
    radius, thickness = float(edge.r), float(edge.thickness)
    gauge = meridian.pieces[0].thickness[0] if meridian.gauge is None else meridian.gauge
    volume = meridian.metal_volume + wanted.curl * thickness * 2.0 * math.pi * radius
    disc = blank.diameter(
        metal_volume=volume,
        gauge=gauge,
        rim_radius=radius,
        rim_thickness=thickness,
        trim=wanted.trim,
        earing=wanted.earing,
    ).value
    assert disc is not None
    share = blank.strip_share(blank_diameter=disc, rows=wanted.rows, web=wanted.web, edge_web=wanted.edge_web).value
    assert share is not None
    sheet = Sheet(gauge, density, wanted.price_per_kg, wanted.scrap_price_per_kg)
    return Cut(disc, share, metal_of(sheet, disc, share, volume * density * 1e-6))


# On a pallet ----------------------------------------------------------------------------------------------------------


def standing_of(container: Container) -> Standing | None:
    """Return how filled containers stand on the pallet of the file; None without one, or where a mass is not known."""
    body, masses, pallet = body_of(container), masses_of(container), container.pallet
    volumes = volumes_of(container)
    if pallet is None or body is None or volumes is None or len(masses) < len(container.parts):
        return None
    liquid = 0.0 if container.contents is None else container.contents.liquid
    mass = filled_mass(sum(masses.values()), liquid, container.whole.liquid_density)
    step = outer_diameter_of(body) + pallet.gap
    on = {"pallet_length": pallet.length, "pallet_width": pallet.width, "diameter": step}
    square, hexagonal = packing.square_per_layer(**on), packing.hexagonal_per_layer(**on)
    allowed, pressure = _allowed(container), _least_pressure(container)
    between = Between(
        sheet_mass=pallet.sheet_weight / GRAVITY,
        sheet_thickness=pallet.sheet_thickness,
        pallet_height=pallet.height,
        load_above=pallet.load_above,
    )
    return Standing(
        square=int(square.value or 0),
        hexagonal=int(hexagonal.value or 0),
        square_share=square.numbers["c"],
        hexagonal_share=hexagonal.numbers["c"],
        mass=mass,
        force=_lowest(pallet, mass),
        height=pallet.height + pallet.layers * (volumes.height + pallet.sheet_thickness),
        pressure=pressure,
        allowed=allowed,
        most=None
        if allowed is None
        else stacked(State("filled", mass, allowed), volumes.height, pallet.dynamic_factor, between),
    )


def _lowest(pallet: Pallet, mass: float) -> float:
    found = stack.lowest_force(
        layers=pallet.layers,
        weight=weight(mass),
        dynamic_factor=pallet.dynamic_factor,
        sheet_weight=pallet.sheet_weight,
        weight_above=pallet.load_above,
    ).value
    assert found is not None
    return found


def outer_diameter_of(body: Body) -> float:
    """Widest outer diameter of a body [mm]."""
    ends = body.meridian.at_s(body.meridian.breaks)
    return float(max(2.0 * ends.r + ends.thickness))


def _least_pressure(container: Container) -> float:
    """Least gauge pressure of the contents over their conditions [MPa]; none below that outside."""
    filled = container.filled
    return 0.0 if filled is None or filled.demand is None else max(0.0, filled.demand.emptiest.state.gauge)


def _allowed(container: Container) -> float | None:
    """Lower bound of the axial force of the wall where it is thinnest [N]."""
    wall = container.parts.get(WALL)
    if wall is None:
        return None
    return axial.axial_force_lower_bound(
        youngs_modulus=wall.material.youngs_modulus,
        poissons_ratio=wall.material.poissons_ratio,
        radius=float(wall.meridian.at_s(0.0).r),
        thickness=min(min(piece.thickness) for piece in wall.meridian.pieces),
        pressure=_least_pressure(container),
    ).value


# What does not agree --------------------------------------------------------------------------------------------------


def filling_note(container: Container, volumes: Volumes | None) -> str:
    """Say where the headspace that the contents name is not that of the body; '' where it is, or is not known."""
    contents = container.contents
    if contents is None or volumes is None or volumes.headspace is None:
        return ""
    if abs(volumes.headspace - contents.headspace) <= 0.02 * contents.headspace + SAME:
        return ""
    return (
        f"the contents name a headspace of {contents.headspace / 1000.0:.4g} ml, and the parts leave"
        f" {volumes.headspace / 1000.0:.4g} ml: the pressure is worked out with the former"
    )
