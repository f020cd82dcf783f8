"""Very thin plate that carries pressure as a membrane alone: how far the centre panel of an end rises."""

from buckle.formulas.arguments import AppliedPressure, PlateRadius, PoissonsRatio, Thickness, YoungsModulus
from buckle.formulas.base import Interval, Quantity, Statement, Worked, formula


@formula(
    Statement(
        name="plate.membrane_bulge",
        unit="mm",
        expression="w0 = C a (p a / (E t))^(1/3), C = 0.7298 - 0.2555 nu",
        source=(
            "H. Hencky, Z. Math. Phys. 63, 1915, circular membrane held at its edge (form from memory; handbooks give"
            " C = 0.662); C computed for this project from the membrane's boundary-value problem: 0.6658, 0.6534 and"
            " 0.6457 at nu = 0.25, 0.3 and 0.33, which the line meets within 0.05 %"
        ),
        kind="theory",
        answers="deflection",
        ranges=(Interval("q", low=100.0), Interval("nu", 0.25, 0.35), Interval("w0/a", high=0.2)),
        ignores=(
            "yielding",
            "bending, which makes the plate stiffer: at q = 100 clamped 6 %, hinged 0.5 % less, and less the greater q",
            "turning and moving of the edge, which add as much again in an end",
        ),
        conditions=("the edge neither slides nor gives; q = p a^4 / (E t^4)",),
    ),
    example={"pressure": 0.62, "youngs_modulus": 69.6e3, "poissons_ratio": 0.33, "radius": 22.67, "thickness": 0.2235},
)
def membrane_bulge(
    *,
    pressure: AppliedPressure,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: PlateRadius,
    thickness: Thickness,
) -> Worked:
    """Central deflection of a circular membrane under pressure, estimate of the bulge of an end's centre panel."""
    factor = 0.7298 - 0.2555 * poissons_ratio
    rise = factor * (pressure * radius / (youngs_modulus * thickness)) ** (1.0 / 3.0)
    load = pressure * (radius / thickness) ** 4 / youngs_modulus
    return Worked(rise * radius, (Quantity("q", load), Quantity("C", factor), Quantity("w0/a", rise)))
