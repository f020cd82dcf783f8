"""Edge bending of a long thin elastic cylinder under internal pressure."""

import math

from buckle.formulas.arguments import AppliedPressure, CylinderLength, PoissonsRatio, Radius, Thickness
from buckle.formulas.base import Interval, Quantity, Statement, Worked, formula
from buckle.formulas.elastic import decay_rate

_SOURCE = (
    "beam on an elastic foundation: S. P. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells, 1959,"
    " cylindrical shells under axisymmetric load (from memory); derived again here"
)
_THIN = Interval("R/t", low=20.0)
_LONG = Interval("beta L", low=3.0)
_LEAVES_OUT = ("yielding", "change of geometry under load", "the other end of the cylinder", "transverse shear")


@formula(
    Statement(
        name="edge.decay_length",
        unit="mm",
        expression="1/beta = sqrt(R t) / (3 (1 - nu^2))^(1/4)",
        source=_SOURCE,
        kind="theory",
        answers="parameter",
        ranges=(_THIN,),
        ignores=("everything but geometry and nu",),
    ),
    example={"poissons_ratio": 0.33, "radius": 33.0, "thickness": 0.105},
)
def decay_length(*, poissons_ratio: PoissonsRatio, radius: Radius, thickness: Thickness) -> Worked:
    """Length over which edge bending of a cylinder falls by the factor e."""
    return Worked(1.0 / decay_rate(poissons_ratio, radius, thickness), (Quantity("R/t", radius / thickness),))


@formula(
    Statement(
        name="edge.clamped_end_stress",
        unit="MPa",
        expression=(
            "sigma = p R / (2 t) + 6 M0 / t^2, M0 = p (1 - nu/2) / (2 beta^2), Q0 = p (1 - nu/2) / beta,"
            " beta^4 = 3 (1 - nu^2) / (R t)^2"
        ),
        source=_SOURCE,
        kind="theory",
        answers="stress",
        ranges=(_THIN, _LONG),
        ignores=_LEAVES_OUT,
        conditions=("closed cylinder, the end held against rotation and radial movement",),
    ),
    example={"pressure": 0.62, "poissons_ratio": 0.33, "radius": 33.0, "thickness": 0.105, "length": 90.0},
)
def clamped_end_stress(
    *,
    pressure: AppliedPressure,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    length: CylinderLength,
) -> Worked:
    """Greatest meridional stress at the clamped end of a closed cylinder under internal pressure."""
    beta = decay_rate(poissons_ratio, radius, thickness)
    moment = pressure * (1.0 - 0.5 * poissons_ratio) / (2.0 * beta**2)
    bending = 6.0 * moment / thickness**2
    steps = (
        Quantity("R/t", radius / thickness),
        Quantity("beta L", beta * length),
        Quantity("M0", moment, "N"),
        Quantity("Q0", 2.0 * beta * moment, "N/mm"),
        Quantity("sigma_bending", bending, "MPa"),
    )
    return Worked(0.5 * pressure * radius / thickness + bending, steps)


@formula(
    Statement(
        name="edge.hemisphere_junction_stress",
        unit="MPa",
        expression=(
            "sigma = p R / (2 t) + 6 M / t^2, M = Q0 exp(-pi/4) sin(pi/4) / beta at x = pi / (4 beta),"
            " Q0 = p / (8 beta), beta^4 = 3 (1 - nu^2) / (R t)^2"
        ),
        source=_SOURCE,
        kind="theory",
        answers="stress",
        ranges=(_THIN, _LONG),
        ignores=(*_LEAVES_OUT, "curvature of the hemisphere next to the junction, of the order sqrt(t/R)"),
        conditions=("closed cylinder with a hemisphere of the same thickness and material",),
    ),
    example={"pressure": 0.62, "poissons_ratio": 0.33, "radius": 33.0, "thickness": 0.105, "length": 90.0},
)
def hemisphere_junction_stress(
    *,
    pressure: AppliedPressure,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    length: CylinderLength,
) -> Worked:
    """Greatest meridional stress of a cylinder near its junction with a hemisphere under internal pressure."""
    beta = decay_rate(poissons_ratio, radius, thickness)
    shear = pressure / (8.0 * beta)
    moment = shear * math.exp(-0.25 * math.pi) * math.sin(0.25 * math.pi) / beta
    steps = (
        Quantity("R/t", radius / thickness),
        Quantity("beta L", beta * length),
        Quantity("Q0", shear, "N/mm"),
        Quantity("M", moment, "N"),
        Quantity("x", 0.25 * math.pi / beta, "mm"),
    )
    return Worked(0.5 * pressure * radius / thickness + 6.0 * moment / thickness**2, steps)
