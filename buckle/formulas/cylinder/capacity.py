"""Cylinders by the forms of EN 1993-1-6:2007, annex D: elastic critical stress of any length, and the capacity curve.

Design forms, never a statement of compliance; read in a public copy or remembered, as each says.
"""

import math
from dataclasses import dataclass
from typing import Annotated

from annotated_types import Gt

from buckle.formulas.arguments import CylinderLength, Radius, Thickness, YieldStress, YoungsModulus
from buckle.formulas.base import NOT_COMPLIANCE, Interval, Quantity, Statement, Symbol, Worked, formula
from buckle.formulas.capacity import Curve, Quality

LateralQuality = Annotated[float, Symbol("alpha"), Gt(0.0)]

_ELASTIC_IGNORES = (NOT_COMPLIANCE, "yielding", "departures from the perfect shape", "nu other than 0.3")
_CAPACITY_IGNORES = (NOT_COMPLIANCE, "hardening", "interaction with other loads", "nu other than 0.3")
_THIN = Interval("R/t", 20.0, 5000.0)
_OMEGA = "omega = L / sqrt(R t)"
CURVE_TEXT = (
    "lambda = sqrt(sigma_y / sigma_cr), lambda_p = sqrt(alpha / (1 - beta)); chi = 1 up to lambda_0,"
    " chi = 1 - beta (lambda - lambda_0) / (lambda_p - lambda_0) up to lambda_p, chi = alpha / lambda^2 beyond"
)

# Axial ----------------------------------------------------------------------------------------------------------------

AXIAL_FACTOR_TEXT = (
    "C_x = 1.36 - 1.83/omega + 2.07/omega^2 for omega <= 1.7, 1 up to omega = R/(2 t),"
    f" max(0.6, 1 + 0.2 (1 - 2 omega t/R)) beyond, {_OMEGA}"
)
_AXIAL_SOURCE = (
    "EN 1993-1-6:2007, annex D.1.2, meridional compression (short and medium length read in a public copy; edition,"
    " long form and capacity parameters from memory, ends held round for the long form)"
)


def axial_factor(omega: float, ratio: float) -> float:
    """Return C_x; `ratio` is R/t."""
    if omega <= 1.7:
        return 1.36 - 1.83 / omega + 2.07 / omega**2
    return 1.0 if omega <= 0.5 * ratio else max(0.6, 1.0 + 0.2 * (1.0 - 2.0 * omega / ratio))


def axial_steps(youngs_modulus: float, radius: float, thickness: float, length: float) -> tuple[Quantity, ...]:
    """Return R/t, omega, C_x and sigma_cr."""
    ratio, omega = radius / thickness, length / math.sqrt(radius * thickness)
    factor = axial_factor(omega, ratio)
    critical = 0.605 * youngs_modulus * factor / ratio
    return (
        Quantity("R/t", ratio),
        Quantity("omega", omega),
        Quantity("C_x", factor),
        Quantity("sigma_cr", critical, "MPa"),
    )


@formula(
    Statement(
        name="cylinder.form_axial_stress",
        unit="MPa",
        expression=f"sigma = 0.605 E C_x t/R, {AXIAL_FACTOR_TEXT}",
        source=_AXIAL_SOURCE,
        kind="design form",
        answers="linear bifurcation",
        ranges=(_THIN, Interval("omega", low=0.5)),
        ignores=_ELASTIC_IGNORES,
    ),
    example={"youngs_modulus": 69e3, "radius": 33.0, "thickness": 0.105, "length": 90.0},
)
def form_axial_stress(
    *, youngs_modulus: YoungsModulus, radius: Radius, thickness: Thickness, length: CylinderLength
) -> Worked:
    """Elastic critical axial stress of a cylinder, short, medium or long, by the form of EN 1993-1-6."""
    steps = axial_steps(youngs_modulus, radius, thickness, length)
    return Worked(steps[-1].value, steps[:-1])


@formula(
    Statement(
        name="capacity.cylinder_axial",
        unit="MPa",
        expression=(
            f"sigma = chi sigma_y, sigma_cr = 0.605 E C_x t/R, {AXIAL_FACTOR_TEXT}; dw/t = sqrt(R/t) / Q,"
            f" alpha = 0.62 / (1 + 1.91 (dw/t)^1.44), beta = 0.60, lambda_0 = 0.20; {CURVE_TEXT}"
        ),
        source=_AXIAL_SOURCE,
        kind="design form",
        answers="characteristic resistance",
        ranges=(_THIN, Interval("omega", low=0.5), Interval("Q", 16.0, 40.0)),
        ignores=_CAPACITY_IGNORES,
        conditions=("steel; Q is 40, 25, 16 for fabrication quality A, B, C",),
    ),
    example={
        "youngs_modulus": 69e3,
        "yield_stress": 280.0,
        "radius": 33.0,
        "thickness": 0.105,
        "length": 90.0,
        "quality": 25.0,
    },
)
def cylinder_axial(
    *,
    youngs_modulus: YoungsModulus,
    yield_stress: YieldStress,
    radius: Radius,
    thickness: Thickness,
    length: CylinderLength,
    quality: Quality,
) -> Worked:
    """Characteristic axial buckling stress of a cylinder by the capacity curve of EN 1993-1-6."""
    steps = axial_steps(youngs_modulus, radius, thickness, length)
    imperfect = imperfection(radius / thickness, quality)
    chi, own = reduced(yield_stress, steps[-1].value, axial_curve(imperfect[-1].value))
    return Worked(chi * yield_stress, (*steps, *imperfect, *own))


def imperfection(ratio: float, quality: float) -> tuple[Quantity, Quantity]:
    """Return dw/t and alpha of axial compression; `ratio` is R/t. Source: as `cylinder_axial`."""
    dent = math.sqrt(ratio) / quality
    return Quantity("dw/t", dent), Quantity("alpha", 0.62 / (1.0 + 1.91 * dent**1.44))


def axial_curve(alpha: float) -> Curve:
    """Return the capacity curve of axial compression for an imperfection factor. Source: as `cylinder_axial`."""
    return Curve(alpha, beta=0.60, eta=1.0, squash_limit=0.20)


def reduced(yield_stress: float, critical: float, curve: Curve) -> tuple[float, tuple[Quantity, ...]]:
    """Return chi and the steps to it."""
    slenderness = math.sqrt(yield_stress / critical)
    chi = curve.reduction(slenderness)
    return chi, (
        Quantity("lambda", slenderness),
        Quantity("lambda_p", curve.plastic_limit),
        Quantity("chi", chi),
    )


# Pressure on the side -------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Ends:
    """How both ends are held: C_theta, and C_theta of a short cylinder as 1 + sum of c / omega^k."""

    held: str
    factor: float
    short: tuple[tuple[float, float], ...]

    @property
    def text(self) -> str:
        """Return C_s as text."""
        return f"C_s = {self.factor:g}" + "".join(f" {c:+g}/omega^{k:g}" for c, k in self.short)

    def region_factor(self, omega: float, ratio: float) -> float:
        """Return sigma_cr over 0.92 E (1/omega) (t/R); `ratio` is R/t."""
        reach = omega / self.factor
        if reach < 20.0:
            return self.factor + sum(c / omega**k for c, k in self.short)
        if reach <= 1.63 * ratio:
            return self.factor
        return omega / ratio * (0.275 + 2.03 * (ratio / reach) ** 4) / 0.92


PINNED = Ends("held round, free to rotate and to warp", 1.0, ((3.0, 1.35),))
CLAMPED = Ends("clamped and held against warping", 1.5, ((10.0, 2.0), (-5.0, 3.0)))


def _lateral_text(ends: Ends) -> str:
    return (
        f"sigma_cr = 0.92 E (C/omega) (t/R); C = C_s for omega / C_t < 20, C_t = {ends.factor:g} up to omega / C_t ="
        f" 1.63 R/t, beyond it sigma_cr = E (t/R)^2 (0.275 + 2.03 (C_t R / (omega t))^4); {ends.text}, {_OMEGA}"
    )


_LATERAL_SOURCE = "EN 1993-1-6:2007, annex D.1.3, circumferential compression (from memory)"
_LATERAL_RANGES = (_THIN, Interval("omega", low=3.0))


def _lateral(ends: Ends, youngs_modulus: float, radius: float, thickness: float, length: float) -> tuple[Quantity, ...]:
    """Return R/t, omega, the factor C and sigma_cr."""
    ratio, omega = radius / thickness, length / math.sqrt(radius * thickness)
    factor = ends.region_factor(omega, ratio)
    critical = 0.92 * youngs_modulus * factor / (omega * ratio)
    return (
        Quantity("R/t", ratio),
        Quantity("omega", omega),
        Quantity("C", factor),
        Quantity("sigma_cr", critical, "MPa"),
    )


def _form(name: str, ends: Ends) -> Statement:
    return Statement(
        name=f"cylinder.form_lateral_{name}",
        unit="MPa",
        expression=f"p = sigma_cr t/R, {_lateral_text(ends)}",
        source=_LATERAL_SOURCE,
        kind="design form",
        answers="linear bifurcation",
        ranges=_LATERAL_RANGES,
        ignores=_ELASTIC_IGNORES,
        conditions=(f"both ends {ends.held}; pressure on the side only",),
    )


@formula(_form("pinned", PINNED), example={"youngs_modulus": 69e3, "radius": 33.0, "thickness": 0.105, "length": 90.0})
def form_lateral_pinned(
    *, youngs_modulus: YoungsModulus, radius: Radius, thickness: Thickness, length: CylinderLength
) -> Worked:
    """Elastic critical pressure on the side of a cylinder with pinned ends by the form of EN 1993-1-6."""
    steps = _lateral(PINNED, youngs_modulus, radius, thickness, length)
    return Worked(steps[-1].value * thickness / radius, steps)


@formula(
    _form("clamped", CLAMPED), example={"youngs_modulus": 69e3, "radius": 33.0, "thickness": 0.105, "length": 90.0}
)
def form_lateral_clamped(
    *, youngs_modulus: YoungsModulus, radius: Radius, thickness: Thickness, length: CylinderLength
) -> Worked:
    """Elastic critical pressure on the side of a cylinder with clamped ends by the form of EN 1993-1-6."""
    steps = _lateral(CLAMPED, youngs_modulus, radius, thickness, length)
    return Worked(steps[-1].value * thickness / radius, steps)


def _capacity(name: str, ends: Ends) -> Statement:
    return Statement(
        name=f"capacity.cylinder_lateral_{name}",
        unit="MPa",
        expression=f"p = chi sigma_y t/R, {_lateral_text(ends)}; beta = 0.60, lambda_0 = 0.40; {CURVE_TEXT}",
        source=_LATERAL_SOURCE,
        kind="design form",
        answers="characteristic resistance",
        ranges=(*_LATERAL_RANGES, Interval("alpha", 0.5, 0.75)),
        ignores=_CAPACITY_IGNORES,
        conditions=(
            f"both ends {ends.held}; pressure on the side only",
            "steel; alpha is 0.75, 0.65, 0.50 for fabrication quality A, B, C",
        ),
    )


@formula(
    _capacity("pinned", PINNED),
    example={
        "youngs_modulus": 69e3,
        "yield_stress": 280.0,
        "radius": 33.0,
        "thickness": 0.105,
        "length": 90.0,
        "alpha": 0.65,
    },
)
def cylinder_lateral_pinned(
    *,
    youngs_modulus: YoungsModulus,
    yield_stress: YieldStress,
    radius: Radius,
    thickness: Thickness,
    length: CylinderLength,
    alpha: LateralQuality,
) -> Worked:
    """Characteristic pressure on the side of a cylinder with pinned ends by the capacity curve of EN 1993-1-6."""
    steps = _lateral(PINNED, youngs_modulus, radius, thickness, length)
    return _side_capacity(yield_stress, alpha, steps)


@formula(
    _capacity("clamped", CLAMPED),
    example={
        "youngs_modulus": 69e3,
        "yield_stress": 280.0,
        "radius": 33.0,
        "thickness": 0.105,
        "length": 90.0,
        "alpha": 0.65,
    },
)
def cylinder_lateral_clamped(
    *,
    youngs_modulus: YoungsModulus,
    yield_stress: YieldStress,
    radius: Radius,
    thickness: Thickness,
    length: CylinderLength,
    alpha: LateralQuality,
) -> Worked:
    """Characteristic pressure on the side of a cylinder with clamped ends by the capacity curve of EN 1993-1-6."""
    steps = _lateral(CLAMPED, youngs_modulus, radius, thickness, length)
    return _side_capacity(yield_stress, alpha, steps)


def _side_capacity(yield_stress: float, alpha: float, steps: tuple[Quantity, ...]) -> Worked:
    chi, own = reduced(yield_stress, steps[-1].value, Curve(alpha, beta=0.60, eta=1.0, squash_limit=0.40))
    return Worked(chi * yield_stress / steps[0].value, (*steps, *own))
