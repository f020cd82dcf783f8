"""Containers on each other: what the lowest of a stack carries, how many it stands, how high they are.

Weights in N: mass in g times 9.80665e-3. The dynamic factor is the user's to state; none is taken for granted.
"""

import math
from typing import Annotated

from annotated_types import Ge, Gt, MultipleOf

from buckle.formulas.arguments import AxialForce
from buckle.formulas.base import Interval, Quantity, Statement, Symbol, Worked, formula
from buckle.units import Force, NonNegativeLength, PositiveLength

Weight = Annotated[Force, Symbol("W"), Gt(0.0)]
SheetWeight = Annotated[Force, Symbol("W_s"), Ge(0.0)]
WeightAbove = Annotated[Force, Symbol("W_a"), Ge(0.0)]
DynamicFactor = Annotated[float, Symbol("psi"), Ge(1.0)]
Layers = Annotated[float, Symbol("n"), Ge(1.0), MultipleOf(1.0)]
Height = Annotated[PositiveLength, Symbol("h")]
SheetThickness = Annotated[NonNegativeLength, Symbol("h_s")]
PalletHeight = Annotated[NonNegativeLength, Symbol("h_p")]

_SOURCE = (
    "weights of what stands above, times a factor for what shakes it; elementary, the factor is the user's (common"
    " practice, no source: transport asks for more than a store)"
)
_IGNORES = (
    "layers that lean or share their load unequally",
    "the container that is dented",
    "time and moisture of sheets and trays",
)
_CONDITIONS = (
    "every container carries one above: columns, or a sheet that spreads the load alike",
    "psi is 1 at rest; it multiplies all weights above",
    "weights are mass times standard gravity: 9.80665e-3 N for each gram",
)
_ONTO = 1e-9
"""Round-off up to which a count that should be whole is taken for it."""


@formula(
    Statement(
        name="stack.lowest_force",
        unit="N",
        expression="F = psi ((n - 1) (W + W_s) + W_a)",
        source=_SOURCE,
        kind="theory",
        answers="parameter",
        ranges=(),
        ignores=_IGNORES,
        conditions=_CONDITIONS,
    ),
    example={"layers": 8.0, "weight": 3.6, "dynamic_factor": 1.5, "sheet_weight": 0.05, "weight_above": 40.0},
)
def lowest_force(
    *,
    layers: Layers,
    weight: Weight,
    dynamic_factor: DynamicFactor,
    sheet_weight: SheetWeight = 0.0,
    weight_above: WeightAbove = 0.0,
) -> Worked:
    """Axial force on the lowest container of a stack of layers."""
    return Worked(dynamic_factor * ((layers - 1.0) * (weight + sheet_weight) + weight_above))


@formula(
    Statement(
        name="stack.layers",
        unit="-",
        expression="n = whole part of n_x, n_x = 1 + (F / psi - W_a) / (W + W_s)",
        source=_SOURCE,
        kind="theory",
        answers="parameter",
        ranges=(Interval("n_x", low=1.0),),
        ignores=_IGNORES,
        conditions=(
            *_CONDITIONS,
            "F is what one container is allowed to carry: its capacity, empty or at its least pressure, over the factor"
            " that the user asks for; the weight belongs to the same state",
        ),
    ),
    example={"axial_force": 600.0, "weight": 3.6, "dynamic_factor": 1.5, "sheet_weight": 0.05, "weight_above": 40.0},
)
def layers(
    *,
    axial_force: AxialForce,
    weight: Weight,
    dynamic_factor: DynamicFactor,
    sheet_weight: SheetWeight = 0.0,
    weight_above: WeightAbove = 0.0,
) -> Worked:
    """Greatest number of layers whose lowest container carries no more than it is allowed to."""
    share = 1.0 + (axial_force / dynamic_factor - weight_above) / (weight + sheet_weight)
    return Worked(math.floor(share + _ONTO), (Quantity("n_x", share),))


@formula(
    Statement(
        name="stack.height",
        unit="mm",
        expression="H = h_p + n (h + h_s)",
        source="sum of heights; elementary",
        kind="theory",
        answers="parameter",
        ranges=(),
        ignores=("how far a container nests in the one below", "what is pressed together under load"),
        conditions=("h is the height that a container adds to a stack: its own, less how far it nests",),
    ),
    example={"layers": 8.0, "container_height": 115.0, "sheet_thickness": 0.6, "pallet_height": 144.0},
)
def height(
    *,
    layers: Layers,
    container_height: Height,
    sheet_thickness: SheetThickness = 0.0,
    pallet_height: PalletHeight = 0.0,
) -> Worked:
    """Height of a stack of layers on its pallet."""
    return Worked(pallet_height + layers * (container_height + sheet_thickness))
