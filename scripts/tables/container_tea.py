"""The invented tea container as one, read from the demonstration: what the page on the trade's facts says of it."""

from dataclasses import dataclass
from functools import cache

from buckle.container.container import Container
from buckle.container.models import Pallet
from buckle.container.parts import Part
from buckle.container.reader import read_input
from buckle.container.stack import GRAVITY, Between, Stack, State, stacked
from buckle.container.summary import Cut, Standing, Volumes, cuts_of, outer_diameter_of, standing_of, volumes_of
from buckle.container.whole import Body, body_of, metal_of_parts
from buckle.formulas import packing
from buckle.formulas.base import Formula
from buckle.formulas.cylinder import axial, buckling
from scripts.paths import CASES

MEASURED_EMPTY = (
    600.0  # N: least of three empty containers of 66 mm, crushed beside wall and neck (an engineering firm)
)


@dataclass(frozen=True)
class Tea:
    """The container, its body as one walk, its parts cut where they end, and what follows from the file alone."""

    container: Container
    body: Body
    parts: tuple[Part, ...]
    volumes: Volumes
    cuts: dict[str, Cut]
    pallet: Pallet
    standing: Standing

    @property
    def mass(self) -> float:
        """Mass of all parts [g]."""
        return sum(part.mass for part in self.parts)


@cache
def tea() -> Tea:
    """Read the demonstration."""
    container = read_input(CASES / "demo/container.toml")
    assert isinstance(container, Container)
    body, volumes, standing = body_of(container), volumes_of(container), standing_of(container)
    assert body is not None
    assert volumes is not None
    assert standing is not None
    assert container.pallet is not None
    parts, cuts = metal_of_parts(container), cuts_of(container)
    return Tea(container, body, parts, volumes, cuts, container.pallet, standing)


def cold_pressure() -> float:
    """Gauge pressure of the tea where it is coldest [MPa]."""
    return tea().standing.pressure


# The wall by hand -----------------------------------------------------------------------------------------------------


def wall() -> dict[str, float]:
    """Elastic constants, radius and least thickness of the wall."""
    case = tea().container.parts["wall"]
    return {
        "youngs_modulus": case.material.youngs_modulus,
        "poissons_ratio": case.material.poissons_ratio,
        "radius": case.dimensions["radius"],
        "thickness": case.dimensions["thickness"],
    }


def panelling() -> Formula:
    """Outside pressure at which the wall panels."""
    return buckling.hydrostatic_pressure(**wall(), length=wall_height())


def wall_height() -> float:
    """Height of the wall between heel and neck [mm]."""
    start, end = tea().body.parts["wall"]
    return end - start


# On a pallet ----------------------------------------------------------------------------------------------------------


def stacks() -> tuple[Stack, Stack]:
    """How many stand on an empty body by the least force measured, and on a cold filled container by its wall."""
    found = tea()
    bodies = sum(part.mass for part in found.parts[:-1])
    bound, pressed = (
        axial.axial_force_lower_bound(pressure=pressure, **wall()).value for pressure in (0.0, cold_pressure())
    )
    assert bound is not None
    assert pressed is not None
    pallet = found.pallet
    sheet = Between(pallet.sheet_weight / GRAVITY, pallet.sheet_thickness, pallet.height)
    states = (
        State("empty, open", bodies, min(bound, MEASURED_EMPTY)),
        State("filled, 4 degC", found.standing.mass, pressed),
    )
    first, second = (stacked(state, found.volumes.height, pallet.dynamic_factor, sheet) for state in states)
    return first, second


def outer_diameter() -> float:
    """Widest diameter, at the heel [mm]."""
    return outer_diameter_of(tea().body)


def per_layer() -> tuple[Formula, Formula]:
    """How many stand on a pallet, square and set off by half a step."""
    pallet = tea().pallet
    on = {"pallet_length": pallet.length, "pallet_width": pallet.width, "diameter": outer_diameter() + pallet.gap}
    return packing.square_per_layer(**on), packing.hexagonal_per_layer(**on)
