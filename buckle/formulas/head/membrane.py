"""Torispherical and ellipsoidal heads under pressure: membrane stresses of crown, knuckle, pole and equator.

Thin shells of revolution carry N_phi = p R_theta / 2 and N_theta = p R_theta (1 - R_theta / (2 R_phi)). At the end of
the crown R_theta is the crown radius and R_phi drops to the knuckle's, so that the knuckle is squeezed around. On an
ellipse of semi-axes a = D/2 and b both radii are a^2/b at the pole, and R_phi = b^2/a, R_theta = a at the equator.
"""

from buckle.formulas.arguments import AppliedPressure, CrownRadius, HeadDepth, HeadDiameter, KnuckleRadius, Thickness
from buckle.formulas.base import Interval, Quantity, Statement, Worked, formula

_SOURCE = "membrane theory of shells of revolution, elementary; derived here from N_phi and N_theta of equilibrium"
_LEAVES_OUT = ("bending at the crown's end and at the cylinder", "yielding", "change of shape under load")


@formula(
    Statement(
        name="head.crown_stress",
        unit="MPa",
        expression="sigma = p L / (2 t)",
        source=_SOURCE,
        kind="theory",
        answers="stress",
        ranges=(Interval("L/t", low=20.0),),
        ignores=_LEAVES_OUT,
    ),
    example={"pressure": 0.3, "crown_radius": 950.0, "thickness": 4.0},
)
def crown_stress(*, pressure: AppliedPressure, crown_radius: CrownRadius, thickness: Thickness) -> Worked:
    """Membrane stress of a torispherical head's crown, the same in both directions."""
    return Worked(0.5 * pressure * crown_radius / thickness, (Quantity("L/t", crown_radius / thickness),))


@formula(
    Statement(
        name="head.knuckle_compression",
        unit="MPa",
        expression="sigma = (p L / t) (L / (2 r) - 1)",
        source=_SOURCE,
        kind="theory",
        answers="stress",
        ranges=(Interval("L/t", low=20.0), Interval("L/r", low=2.0)),
        ignores=(*_LEAVES_OUT, "the crown beside it, which takes part of the jump by bending"),
        conditions=("inside pressure; outside pressure turns the sign",),
    ),
    example={"pressure": 0.3, "crown_radius": 950.0, "knuckle_radius": 100.0, "thickness": 4.0},
)
def knuckle_compression(
    *, pressure: AppliedPressure, crown_radius: CrownRadius, knuckle_radius: KnuckleRadius, thickness: Thickness
) -> Worked:
    """Circumferential compressive membrane stress of the knuckle where it meets the crown, its largest."""
    slimness = crown_radius / knuckle_radius
    steps = (
        Quantity("L/t", crown_radius / thickness),
        Quantity("L/r", slimness),
        Quantity("sigma_phi", 0.5 * pressure * crown_radius / thickness, "MPa"),
    )
    return Worked(pressure * crown_radius / thickness * (0.5 * slimness - 1.0), steps)


@formula(
    Statement(
        name="head.ellipsoid_pole_stress",
        unit="MPa",
        expression="sigma = p D^2 / (8 b t)",
        source=_SOURCE,
        kind="theory",
        answers="stress",
        ranges=(Interval("D/t", low=40.0), Interval("D/(2 b)", 1.0, 3.0)),
        ignores=_LEAVES_OUT,
    ),
    example={"pressure": 0.3, "diameter": 1000.0, "depth": 250.0, "thickness": 4.0},
)
def ellipsoid_pole_stress(
    *, pressure: AppliedPressure, diameter: HeadDiameter, depth: HeadDepth, thickness: Thickness
) -> Worked:
    """Membrane stress at the pole of an ellipsoidal head, the same in both directions."""
    return Worked(pressure * diameter**2 / (8.0 * depth * thickness), _ellipse_steps(diameter, depth, thickness))


@formula(
    Statement(
        name="head.ellipsoid_compression",
        unit="MPa",
        expression="sigma = p D / (2 t) (D^2 / (8 b^2) - 1)",
        source=_SOURCE,
        kind="theory",
        answers="stress",
        ranges=(Interval("D/t", low=40.0), Interval("D/(2 b)", 2.0**0.5, 3.0)),
        ignores=_LEAVES_OUT,
        conditions=("inside pressure; outside pressure turns the sign; flatter than D/(2 b) = 1.414",),
    ),
    example={"pressure": 0.3, "diameter": 1000.0, "depth": 250.0, "thickness": 4.0},
)
def ellipsoid_compression(
    *, pressure: AppliedPressure, diameter: HeadDiameter, depth: HeadDepth, thickness: Thickness
) -> Worked:
    """Circumferential compressive membrane stress at the equator of an ellipsoidal head, its largest."""
    hoop = 0.5 * pressure * diameter / thickness
    steps = (*_ellipse_steps(diameter, depth, thickness), Quantity("sigma_phi", 0.5 * hoop, "MPa"))
    return Worked(hoop * (diameter**2 / (8.0 * depth**2) - 1.0), steps)


def _ellipse_steps(diameter: float, depth: float, thickness: float) -> tuple[Quantity, ...]:
    return (Quantity("D/t", diameter / thickness), Quantity("D/(2 b)", 0.5 * diameter / depth))
