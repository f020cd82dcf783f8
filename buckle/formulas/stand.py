"""Plastic rolling of the ring that a dome stands on or that surrounds a centre panel."""

from typing import Annotated

from buckle.formulas.arguments import Thickness, YieldStress
from buckle.formulas.base import Interval, Quantity, Statement, Symbol, Worked, formula
from buckle.units import PositiveLength

StandRadius = Annotated[PositiveLength, Symbol("r")]
InnerNoseRadius = Annotated[PositiveLength, Symbol("rho_i")]
OuterNoseRadius = Annotated[PositiveLength, Symbol("rho_o")]
CountersinkRadius = Annotated[PositiveLength, Symbol("rho")]

_EXPRESSION = "p = (2/r) sigma_y (t^2 / (4 rho) + t rho / r)"
_SOURCE = (
    "derived here: work of the pressure on the area inside the ring, p pi r^2 per unit travel, set equal to the plastic"
    " work of bending the metal to the radius rho, straightening it again and stretching it around; compare the plastic"
    " inversion of tubes, T. R. Guist and D. P. Marble, 1966, and S. T. S. Al-Hassani, W. Johnson and W. T. Lowe, 1972"
    " (from memory)"
)
_LEAVES_OUT = (
    "leg angles: parallel legs are assumed",
    "hardening",
    "the part that the dome or the centre panel plays before and while the ring rolls",
    "elastic buckling",
    "non-axisymmetric waves",
)


def rolling_pressure(yield_stress: float, ring_radius: float, roll_radius: float, thickness: float) -> Worked:
    """Return (2/r) sigma_y (t^2/(4 rho) + t rho/r) [MPa] with its two parts."""
    bending = 2.0 / ring_radius * yield_stress * thickness**2 / (4.0 * roll_radius)
    stretching = 2.0 / ring_radius * yield_stress * thickness * roll_radius / ring_radius
    steps = (
        Quantity("r/t", ring_radius / thickness),
        Quantity("rho/r", roll_radius / ring_radius),
        Quantity("rho/t", roll_radius / thickness),
        Quantity("p_bending", bending, "MPa"),
        Quantity("p_stretching", stretching, "MPa"),
    )
    return Worked(bending + stretching, steps)


@formula(
    Statement(
        name="stand.base_rolling",
        unit="MPa",
        expression=f"{_EXPRESSION}, rho = (rho_i + rho_o) / 2",
        source=_SOURCE,
        kind="mechanism estimate",
        # The lengths it was tried on, as ratios: r 20.5 to 25, t 0.20 to 0.33, rho 1.1 to 2.2 mm.
        ranges=(
            Interval("r/t", 20.5 / 0.33, 25.0 / 0.20),
            Interval("rho/r", 1.1 / 25.0, 2.2 / 20.5),
            Interval("rho/t", 1.1 / 0.33, 2.2 / 0.20),
            Interval("sigma_y", 230.0, 320.0),
        ),
        ignores=(*_LEAVES_OUT, "a reformed or undercut inner leg, which raises the pressure by about a fifth"),
        conditions=(
            "tried on 40 random unreformed aluminium bases computed elastic-plastically for this project (gauge 0.20 to"
            " 0.33, stand radius 20.5 to 25, nose radius 1.1 to 2.2, dome depth 9 to 11.5, dome radius 42 to 52 mm,"
            " inner leg 2 to 12 degrees): formula over computed has mean 1.00, coefficient of variation 11 %,"
            " extremes 0.86 and 1.33, nothing fitted",
        ),
    )
)
def base_rolling(
    *,
    yield_stress: YieldStress,
    stand_radius: StandRadius,
    nose_radius_inner: InnerNoseRadius,
    nose_radius_outer: OuterNoseRadius,
    thickness: Thickness,
) -> Worked:
    """Internal pressure at which the stand of a domed base rolls inward under it, mid-surface dimensions."""
    return rolling_pressure(yield_stress, stand_radius, 0.5 * (nose_radius_inner + nose_radius_outer), thickness)


@formula(
    Statement(
        name="stand.countersink_rolling",
        unit="MPa",
        expression=_EXPRESSION,
        source=_SOURCE,
        kind="mechanism estimate",
        ranges=(
            Interval("r/t", 95.0, 120.0),
            Interval("rho/r", 0.0205, 0.032),
            Interval("sigma_y", 300.0, 400.0),
        ),
        ignores=(
            *_LEAVES_OUT,
            "the slope of the chuck wall: leaning it from 12 to 30 degrees cost a fifth in one computed end",
            "peaking: waves may begin a fifth below the axisymmetric collapse that this estimates",
        ),
        conditions=(
            "gives the right size within about 20 %: tried on three aluminium ends computed elastic-plastically for"
            " this project (countersink ring radius 22.8 to 23.8, countersink radius 0.48 to 0.75, gauge 0.208 to"
            " 0.2235 mm); r/t and yield stress a little beyond those are a judgement",
        ),
    )
)
def countersink_rolling(
    *,
    yield_stress: YieldStress,
    ring_radius: StandRadius,
    countersink_radius: CountersinkRadius,
    thickness: Thickness,
) -> Worked:
    """Internal pressure at which the countersink of an end rolls outward, mid-surface dimensions."""
    return rolling_pressure(yield_stress, ring_radius, countersink_radius, thickness)
