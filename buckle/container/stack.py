"""How containers stand on each other, from masses in g and the axial force that each state is allowed to carry."""

from collections.abc import Sequence
from dataclasses import dataclass

from buckle.formulas import stack

GRAVITY = 9.80665e-3
"""N per gram: standard gravity (CGPM 1901)."""
ADULT = 80.0
"""kg of an adult who stands on a container: common practice, no source."""


@dataclass(frozen=True)
class State:
    """A container as it stands in a stack: mass [g], force that one may carry [N], factors already taken off it."""

    name: str
    mass: float
    allowed_force: float


@dataclass(frozen=True)
class Between:
    """What lies between and under the layers: sheet [g for each container, mm] and pallet [mm], load on top [N]."""

    sheet_mass: float = 0.0
    sheet_thickness: float = 0.0
    pallet_height: float = 0.0
    load_above: float = 0.0


@dataclass(frozen=True)
class Stack:
    """A stack of one state: layers, None where one cannot even carry the load above; force on the lowest [N], mm."""

    state: State
    layers: int | None
    lowest_force: float
    height: float


def weight(mass: float) -> float:
    """Return the weight [N] of a mass [g]."""
    return mass * GRAVITY


def filled_mass(metal: float, liquid: float, density: float) -> float:
    """Return the mass [g] of a container of a mass of metal [g] with a volume [mm3] of a density [kg/m3]."""
    return metal + liquid * density * 1e-6


def stacked(state: State, height: float, dynamic_factor: float, between: Between = Between()) -> Stack:
    """Return the greatest stack whose lowest container carries no more than it may; `height` is a container's [mm].

    Raises CaseError for numbers that are not usable, such as a dynamic factor below 1.
    """
    loads = {
        "weight": weight(state.mass),
        "dynamic_factor": dynamic_factor,
        "sheet_weight": weight(between.sheet_mass),
        "weight_above": between.load_above,
    }
    found = stack.layers(axial_force=state.allowed_force, **loads).value
    if found is None:
        return Stack(state, None, dynamic_factor * between.load_above, between.pallet_height)
    sizes = {
        "container_height": height,
        "sheet_thickness": between.sheet_thickness,
        "pallet_height": between.pallet_height,
    }
    lowest, high = stack.lowest_force(layers=found, **loads).value, stack.height(layers=found, **sizes).value
    assert lowest is not None
    assert high is not None
    return Stack(state, int(found), lowest, high)


def governing(stacks: Sequence[Stack]) -> Stack:
    """Return the lowest of the stacks of all states that a container goes through."""
    return min(stacks, key=lambda each: each.layers or 0)
