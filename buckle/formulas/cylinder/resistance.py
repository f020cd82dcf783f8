"""Axial resistance of cylinders by capacity curves: from their own MNA and LBA, with inside pressure, of aluminium.

Design forms, never a statement of compliance; all from memory, as each says.
"""

import math
from typing import Annotated

from annotated_types import Ge, Gt

from buckle.formulas.arguments import AppliedPressure, CylinderLength, Radius, Thickness, YieldStress, YoungsModulus
from buckle.formulas.base import NOT_COMPLIANCE, Interval, Quantity, Statement, Symbol, Worked, formula
from buckle.formulas.capacity import Quality, SquashLimit, resistance
from buckle.formulas.cylinder.capacity import (
    AXIAL_FACTOR_TEXT,
    CURVE_TEXT,
    axial_curve,
    axial_steps,
    imperfection,
    reduced,
)
from buckle.units import Force

ElasticForce = Annotated[Force, Symbol("F_cr"), Gt(0.0)]
PlasticForce = Annotated[Force, Symbol("F_pl"), Gt(0.0)]
PartialFactor = Annotated[float, Symbol("gamma_M1"), Ge(1.0)]
PerryFactor = Annotated[float, Symbol("mu"), Gt(0.0)]
ToleranceQuality = Annotated[float, Symbol("Q"), Gt(0.0)]

_ALPHA = "dw/t = sqrt(R/t) / Q, alpha = 0.62 / (1 + 1.91 (dw/t)^1.44)"
_FORCE_CURVE = (
    "lambda = sqrt(F_pl / F_cr), lambda_p = sqrt(alpha / (1 - beta)), beta = 0.60, eta = 1, lambda_0 = 0.20; chi = 1 up"
    " to lambda_0, chi = 1 - beta ((lambda - lambda_0) / (lambda_p - lambda_0))^eta up to lambda_p, chi = alpha /"
    " lambda^2 beyond"
)
_STEEL = "steel; Q is 40, 25, 16 for fabrication quality A, B, C"
_OWN = (
    "F_cr is the lowest critical force of the body's own LBA and F_pl the limit force of its own MNA, both as the axial"
    " force grows alone"
)
_FORCE_IGNORES = ("hardening", "inside pressure", "any part of the body whose quality is worse than the wall's")
_FORCE_EXAMPLE = {
    "elastic_force": 2900.0,
    "plastic_force": 6100.0,
    "radius": 33.0,
    "thickness": 0.105,
    "quality": 25.0,
}
_FORCE_RANGES = (Interval("R/t", 20.0, 5000.0), Interval("Q", 16.0, 40.0), Interval("lambda_p - lambda_0", low=1e-6))


def _characteristic(plastic: float, elastic: float, ratio: float, quality: float) -> Worked:
    """Return chi F_pl [N] with its steps."""
    imperfect = imperfection(ratio, quality)
    steps = (Quantity("R/t", ratio), *imperfect)
    return resistance(elastic, plastic, axial_curve(imperfect[-1].value), steps)


@formula(
    Statement(
        name="capacity.cylinder_axial_force",
        unit="N",
        expression=f"F = chi F_pl; {_ALPHA}; {_FORCE_CURVE}",
        source=(
            "EN 1993-1-6:2007, clause 8.6, design by global MNA and LBA analyses, with the parameters of annex D.1.2,"
            " meridional compression (from memory); R_k is this force over the design load"
        ),
        kind="design form",
        answers="characteristic resistance",
        ranges=_FORCE_RANGES,
        ignores=_FORCE_IGNORES,
        conditions=(NOT_COMPLIANCE, _STEEL, _OWN),
    ),
    example=_FORCE_EXAMPLE,
)
def cylinder_axial_force(
    *,
    elastic_force: ElasticForce,
    plastic_force: PlasticForce,
    radius: Radius,
    thickness: Thickness,
    quality: Quality,
) -> Worked:
    """Characteristic axial force of a cylinder from the limits of its own linear analyses, R_k."""
    return _characteristic(plastic_force, elastic_force, radius / thickness, quality)


@formula(
    Statement(
        name="capacity.cylinder_axial_design_force",
        unit="N",
        expression=f"F = F_k / gamma_M1, F_k = chi F_pl; {_ALPHA}; {_FORCE_CURVE}",
        source=(
            "EN 1993-1-6:2007, clauses 8.5.2 and 8.6 (from memory): gamma_M1 not below 1.1; R_d is this force over the"
            " design load"
        ),
        kind="design form",
        answers="characteristic resistance",
        ranges=_FORCE_RANGES,
        ignores=_FORCE_IGNORES,
        conditions=(NOT_COMPLIANCE, _STEEL, _OWN, "gamma_M1 is the user's to state"),
    ),
    example={**_FORCE_EXAMPLE, "partial_factor": 1.1},
)
def cylinder_axial_design_force(
    *,
    elastic_force: ElasticForce,
    plastic_force: PlasticForce,
    radius: Radius,
    thickness: Thickness,
    quality: Quality,
    partial_factor: PartialFactor,
) -> Worked:
    """Design axial force of a cylinder from the limits of its own linear analyses, R_d."""
    found = _characteristic(plastic_force, elastic_force, radius / thickness, quality)
    assert found.value is not None
    return Worked(found.value / partial_factor, (*found.steps, Quantity("F_k", found.value, "N")))


@formula(
    Statement(
        name="capacity.cylinder_axial_pressurised",
        unit="MPa",
        expression=(
            f"sigma = chi sigma_y, sigma_cr = 0.605 E C_x t/R, {AXIAL_FACTOR_TEXT}; p_g = p R / (sigma_cr t),"
            f" u = p R / (sigma_y t); {_ALPHA}, alpha_e = alpha + (1 - alpha) p_g / (p_g + 0.3 / sqrt(alpha)),"
            " s = R / (400 t), alpha_p = (1 - u^2) (1 - 1 / (1.12 + s^1.5)) (s^2 + 1.21 lambda^2) / (s (s + 1)); the"
            f" smaller of alpha_e and alpha_p in place of alpha, beta = 0.60, lambda_0 = 0.20; {CURVE_TEXT}"
        ),
        source=(
            "EN 1993-1-6:2007, annex D.1.6, meridional compression with coexistent internal pressure, elastic relief"
            " and plastic buckling beside a held end (from memory)"
        ),
        kind="design form",
        answers="characteristic resistance",
        ranges=(
            Interval("R/t", 20.0, 5000.0),
            Interval("omega", low=0.5),
            Interval("Q", 16.0, 40.0),
            Interval("u", high=0.999),
            Interval("lambda_p - lambda_0", low=1e-6),
        ),
        ignores=(
            NOT_COMPLIANCE,
            "hardening",
            "nu other than 0.3",
            "yielding of a stocky wall under both stresses at once: cylinder.axial_squash_force",
        ),
        conditions=(
            _STEEL,
            "what may be compared with it is the wall's own compression: of a closed cylinder the outer force less the"
            " thrust p pi R^2; F is that outer force",
            "the least pressure that is sure to be there for alpha_e, the greatest for alpha_p: work out both",
        ),
    ),
    example={
        "pressure": 0.2,
        "youngs_modulus": 69e3,
        "yield_stress": 280.0,
        "radius": 33.0,
        "thickness": 0.105,
        "length": 90.0,
        "quality": 25.0,
    },
)
def cylinder_axial_pressurised(
    *,
    pressure: AppliedPressure,
    youngs_modulus: YoungsModulus,
    yield_stress: YieldStress,
    radius: Radius,
    thickness: Thickness,
    length: CylinderLength,
    quality: Quality,
) -> Worked:
    """Characteristic axial compressive stress of the wall of a cylinder under inside pressure."""
    around = pressure * radius / thickness
    shell = axial_steps(youngs_modulus, radius, thickness, length)
    critical = shell[-1].value
    dent, alpha = imperfection(radius / thickness, quality)
    relieved = _relieved(alpha.value, around / critical)
    crushed = _crushed(around / yield_stress, radius / (400.0 * thickness), yield_stress / critical)
    curve = axial_curve(max(0.0, min(relieved, crushed)))
    chi, own = reduced(yield_stress, critical, curve)
    stress = chi * yield_stress
    force = 2.0 * math.pi * radius * thickness * stress + pressure * math.pi * radius**2
    steps = (
        Quantity("p_g", around / critical),
        Quantity("u", around / yield_stress),
        dent,
        alpha,
        Quantity("s", radius / (400.0 * thickness)),
        Quantity("alpha_e", relieved),
        Quantity("alpha_p", crushed),
        Quantity("lambda_p - lambda_0", curve.plastic_limit - curve.squash_limit),
    )
    return Worked(stress, (*shell, *steps, *own, Quantity("F", force, "N")))


def _relieved(alpha: float, pressure: float) -> float:
    """Return alpha of a wall whose dents the pressure p_g smooths out."""
    return alpha + (1.0 - alpha) * pressure / (pressure + 0.3 / math.sqrt(alpha))


def _crushed(yielded: float, s: float, slenderness_squared: float) -> float:
    """Return alpha of a wall that the pressure makes yield in a ring beside its held end; `yielded` is u."""
    shape = (1.0 - 1.0 / (1.12 + s**1.5)) * (s**2 + 1.21 * slenderness_squared) / (s * (s + 1.0))
    return (1.0 - yielded**2) * shape


@formula(
    Statement(
        name="capacity.aluminium_cylinder_axial",
        unit="MPa",
        expression=(
            f"sigma = alpha chi sigma_y, sigma_cr = 0.605 E C_x t/R, {AXIAL_FACTOR_TEXT}; lambda = sqrt(sigma_y /"
            " sigma_cr), alpha = min(1, 1 / (1 + 2.60 (sqrt(0.6 E / sigma_y) (lambda - lambda_0) / Q)^1.44)), Phi ="
            " (1 + mu (lambda - lambda_0) + lambda^2) / 2, chi = min(1, 1 / (Phi + sqrt(Phi^2 - lambda^2))); both are"
            " 1 up to lambda_0"
        ),
        source=(
            "EN 1999-1-5:2007, clause 6.2.3 and annex A.1.2, meridional compression (from memory, of medium certainty;"
            " no copy was at hand: to be confirmed before a decision rests on it)"
        ),
        kind="design form",
        answers="characteristic resistance",
        ranges=(Interval("R/t", 20.0, 5000.0), Interval("omega", low=0.5), Interval("Q", 16.0, 60.0)),
        ignores=(NOT_COMPLIANCE, "welds and the softening beside them", "inside pressure", "nu other than 0.3"),
        conditions=(
            "aluminium, sigma_y its 0.2 % proof stress; Q is 16, 25, 40, 60 for tolerance class 1 to 4",
            "lambda_0 and mu are 0.20 and 0.35 for metal of buckling class A, 0.10 and 0.20 for class B",
        ),
    ),
    example={
        "youngs_modulus": 69e3,
        "yield_stress": 280.0,
        "radius": 33.0,
        "thickness": 0.105,
        "length": 90.0,
        "quality": 25.0,
        "squash_limit": 0.2,
        "perry_factor": 0.35,
    },
)
def aluminium_cylinder_axial(  # noqa: PLR0913
    *,
    youngs_modulus: YoungsModulus,
    yield_stress: YieldStress,
    radius: Radius,
    thickness: Thickness,
    length: CylinderLength,
    quality: ToleranceQuality,
    squash_limit: SquashLimit,
    perry_factor: PerryFactor,
) -> Worked:
    """Characteristic axial buckling stress of an aluminium cylinder by the form of EN 1999-1-5."""
    shell = axial_steps(youngs_modulus, radius, thickness, length)
    slenderness = math.sqrt(yield_stress / shell[-1].value)
    beyond = max(0.0, slenderness - squash_limit)
    alpha = 1.0 / (1.0 + 2.60 * (math.sqrt(0.6 * youngs_modulus / yield_stress) * beyond / quality) ** 1.44)
    phi = 0.5 * (1.0 + perry_factor * beyond + slenderness**2)
    chi = min(1.0, 1.0 / (phi + math.sqrt(phi**2 - slenderness**2))) if beyond else 1.0
    own = (Quantity("lambda", slenderness), Quantity("alpha", alpha), Quantity("Phi", phi), Quantity("chi", chi))
    return Worked(alpha * chi * yield_stress, (*shell, *own))
