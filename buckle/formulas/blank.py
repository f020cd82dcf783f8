"""The flat disc that a part is drawn from, and what of the strip becomes discs."""

import math
from typing import Annotated

from annotated_types import Ge, Gt, MultipleOf

from buckle.formulas.base import Quantity, Statement, Symbol, Worked, formula
from buckle.units import NonNegativeLength, PositiveLength, Volume

MetalVolume = Annotated[Volume, Symbol("V"), Gt(0.0)]
Gauge = Annotated[PositiveLength, Symbol("t_0")]
RimRadius = Annotated[PositiveLength, Symbol("R")]
RimThickness = Annotated[PositiveLength, Symbol("t_r")]
Trim = Annotated[NonNegativeLength, Symbol("h_t")]
Earing = Annotated[NonNegativeLength, Symbol("h_e")]
BlankDiameter = Annotated[PositiveLength, Symbol("D")]
Web = Annotated[NonNegativeLength, Symbol("w")]
EdgeWeb = Annotated[NonNegativeLength, Symbol("w_e")]
Rows = Annotated[float, Symbol("n"), Ge(1.0), MultipleOf(1.0)]


@formula(
    Statement(
        name="blank.diameter",
        unit="mm",
        expression="D = sqrt(4 V_0 / (pi t_0)), V_0 = V + 2 pi R t_r (h_t + h_e / 2)",
        source=(
            "constant volume of metal: of the part, and of the rim that is trimmed off, h_t below the valleys of the"
            " ears and half of their height h_e above; derived here"
        ),
        kind="theory",
        answers="parameter",
        ranges=(),
        ignores=(
            "the shape of the ears: half of their height is metal",
            "loss of volume to lubricant, spring and wear",
        ),
        conditions=("sheet of the nominal gauge: at a gauge that is high within its tolerance metal is left over",),
    ),
    example={
        "metal_volume": 760.0,
        "gauge": 0.208,
        "rim_radius": 29.0,
        "rim_thickness": 0.208,
        "trim": 3.0,
        "earing": 2.0,
    },
)
def diameter(
    *,
    metal_volume: MetalVolume,
    gauge: Gauge,
    rim_radius: RimRadius,
    rim_thickness: RimThickness,
    trim: Trim = 0.0,
    earing: Earing = 0.0,
) -> Worked:
    """Diameter of the disc that a part and its trimmed rim are drawn from."""
    volume = metal_volume + 2.0 * math.pi * rim_radius * rim_thickness * (trim + 0.5 * earing)
    return Worked(math.sqrt(4.0 * volume / (math.pi * gauge)), (Quantity("V_0", volume, "mm3"),))


@formula(
    Statement(
        name="blank.strip_share",
        unit="-",
        expression=("c = n pi D^2 / (4 (D + w) S), S = D + (n - 1) sqrt(3) (D + w) / 2 + 2 w_e"),
        source="rows set off by half a step on a strip of width S, a web w between neighbours; elementary",
        kind="theory",
        answers="parameter",
        ranges=(),
        ignores=("the ends of the coil", "a strip whose width is not that of whole rows"),
        conditions=("what is left over, the skeleton, goes back as scrap",),
    ),
    example={"blank_diameter": 139.7, "rows": 10.0, "web": 1.0, "edge_web": 2.0},
)
def strip_share(*, blank_diameter: BlankDiameter, rows: Rows, web: Web = 0.0, edge_web: EdgeWeb = 0.0) -> Worked:
    """Share of a strip that becomes discs in rows set off by half a step."""
    step = blank_diameter + web
    width = blank_diameter + (rows - 1.0) * 0.5 * math.sqrt(3.0) * step + 2.0 * edge_web
    return Worked(rows * 0.25 * math.pi * blank_diameter**2 / (step * width), (Quantity("S", width, "mm"),))
