"""Flat circular plate under uniform pressure: small and large deflection, stress, plastic limit."""

from collections.abc import Callable

import scipy

from buckle.formulas.arguments import (
    AppliedPressure,
    PlateRadius,
    PoissonsRatio,
    Thickness,
    YieldStress,
    YoungsModulus,
)
from buckle.formulas.base import Answers, Interval, Quantity, Statement, Worked, formula
from buckle.formulas.elastic import bending_stiffness
from buckle.formulas.tables import read_table

TABLE = "plate/plates.toml"
TABLE_NU = 0.3
_ELEMENTARY = "thin-plate theory, elementary (S. P. Timoshenko and S. Woinowsky-Krieger, 1959, from memory)"
_THIN = Interval("a/t", low=10.0)
_SMALL = (_THIN, Interval("w0/t", high=0.2))
_SMALL_LEAVES_OUT = ("yielding", "membrane stiffening by the deflection", "transverse shear", "flexibility of the edge")


def _small(name: str, answers: Answers, expression: str) -> Statement:
    """Return the statement of a small-deflection result."""
    return Statement(
        name=name,
        unit="mm" if answers == "deflection" else "MPa",
        expression=expression,
        source=_ELEMENTARY,
        kind="theory",
        answers=answers,
        ranges=_SMALL,
        ignores=_SMALL_LEAVES_OUT,
        conditions=("a simply supported edge slides freely in the plane",),
    )


def _clamped_stiffness(nu: float) -> float:
    """Return w0/t over p a^4 / (E t^4) of a clamped plate at small deflection [-]."""
    return 12.0 * (1.0 - nu**2) / 64.0


def _supported_stiffness(nu: float) -> float:
    """Return w0/t over p a^4 / (E t^4) of a simply supported plate at small deflection [-]."""
    return _clamped_stiffness(nu) * (5.0 + nu) / (1.0 + nu)


def _small_steps(pressure: float, plate: tuple[float, float, float], compliance: float) -> tuple[Quantity, ...]:
    """Return a/t, D and w0/t; `plate` is (E, a, t)."""
    youngs_modulus, radius, thickness = plate
    load = pressure * (radius / thickness) ** 4 / youngs_modulus
    return (Quantity("a/t", radius / thickness), Quantity("w0/t", compliance * load))


@formula(
    _small("plate.clamped_deflection", "deflection", "w0 = p a^4 / (64 D), D = E t^3 / (12 (1 - nu^2))"),
    example={"pressure": 0.01, "youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 22.0, "thickness": 0.5},
)
def clamped_deflection(
    *,
    pressure: AppliedPressure,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: PlateRadius,
    thickness: Thickness,
) -> Worked:
    """Small central deflection of a clamped circular plate."""
    stiffness = bending_stiffness(youngs_modulus, poissons_ratio, thickness)
    steps = _small_steps(pressure, (youngs_modulus, radius, thickness), _clamped_stiffness(poissons_ratio))
    return Worked(pressure * radius**4 / (64.0 * stiffness), (*steps, Quantity("D", stiffness, "N mm")))


@formula(
    _small(
        "plate.supported_deflection",
        "deflection",
        "w0 = (5 + nu) p a^4 / (64 (1 + nu) D), D = E t^3 / (12 (1 - nu^2))",
    ),
    example={"pressure": 0.003, "youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 22.0, "thickness": 0.5},
)
def supported_deflection(
    *,
    pressure: AppliedPressure,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: PlateRadius,
    thickness: Thickness,
) -> Worked:
    """Small central deflection of a simply supported circular plate."""
    stiffness = bending_stiffness(youngs_modulus, poissons_ratio, thickness)
    steps = _small_steps(pressure, (youngs_modulus, radius, thickness), _supported_stiffness(poissons_ratio))
    factor = (5.0 + poissons_ratio) / (1.0 + poissons_ratio)
    return Worked(factor * pressure * radius**4 / (64.0 * stiffness), (*steps, Quantity("D", stiffness, "N mm")))


@formula(
    _small("plate.clamped_edge_stress", "stress", "sigma = (3/4) p (a/t)^2"),
    example={"pressure": 0.01, "youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 22.0, "thickness": 0.5},
)
def clamped_edge_stress(
    *,
    pressure: AppliedPressure,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: PlateRadius,
    thickness: Thickness,
) -> Worked:
    """Radial bending stress at the edge of a clamped circular plate at small deflection, its largest."""
    steps = _small_steps(pressure, (youngs_modulus, radius, thickness), _clamped_stiffness(poissons_ratio))
    return Worked(0.75 * pressure * (radius / thickness) ** 2, steps)


@formula(
    _small("plate.supported_centre_stress", "stress", "sigma = (3/8) (3 + nu) p (a/t)^2"),
    example={"pressure": 0.003, "youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 22.0, "thickness": 0.5},
)
def supported_centre_stress(
    *,
    pressure: AppliedPressure,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: PlateRadius,
    thickness: Thickness,
) -> Worked:
    """Bending stress at the centre of a simply supported circular plate at small deflection, its largest."""
    steps = _small_steps(pressure, (youngs_modulus, radius, thickness), _supported_stiffness(poissons_ratio))
    return Worked(0.375 * (3.0 + poissons_ratio) * pressure * (radius / thickness) ** 2, steps)


def _large(name: str, edge: str) -> Statement:
    """Return the statement of a large-deflection result."""
    return Statement(
        name=name,
        unit="mm",
        expression=(
            "w0/(c t) + B (0.7 / (1 - nu))^m (w0/t)^3 = q, q = p a^4 / (E t^4), c small-deflection compliance at nu,"
            " B(w0/t) from a table at nu = 0.3, m = 0.71 (clamped, fixed), 0.82 (hinged, fixed), 0 (sliding)"
        ),
        source=str(read_table(TABLE)["origin"]),
        kind="theory",
        answers="deflection",
        edge=edge,
        ranges=(Interval("q", high=read_table(TABLE)["clamped_fixed"]["load"][-1]), Interval("nu", 0.25, 0.35), _THIN),
        ignores=("yielding", "transverse shear"),
        conditions=("the edge neither slides nor gives where fixed; slides freely in the plane where sliding",),
    )


@formula(
    _large("plate.clamped_fixed_large_deflection", "clamped"),
    example={"pressure": 0.2, "youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 22.0, "thickness": 0.5},
)
def clamped_fixed_large_deflection(
    *,
    pressure: AppliedPressure,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: PlateRadius,
    thickness: Thickness,
) -> Worked:
    """Central deflection, small or large, of a clamped circular plate whose edge cannot slide."""
    plate = (youngs_modulus, radius, thickness)
    return _deflection("clamped_fixed", pressure, plate, poissons_ratio)


@formula(
    _large("plate.clamped_sliding_large_deflection", "guided"),
    example={"pressure": 0.2, "youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 22.0, "thickness": 0.5},
)
def clamped_sliding_large_deflection(
    *,
    pressure: AppliedPressure,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: PlateRadius,
    thickness: Thickness,
) -> Worked:
    """Central deflection, small or large, of a circular plate whose edge cannot rotate but slides in the plane."""
    plate = (youngs_modulus, radius, thickness)
    return _deflection("clamped_sliding", pressure, plate, poissons_ratio)


@formula(
    _large("plate.hinged_fixed_large_deflection", "pinned"),
    example={"pressure": 0.2, "youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 22.0, "thickness": 0.5},
)
def hinged_fixed_large_deflection(
    *,
    pressure: AppliedPressure,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: PlateRadius,
    thickness: Thickness,
) -> Worked:
    """Central deflection, small or large, of a circular plate on an immovable hinge."""
    plate = (youngs_modulus, radius, thickness)
    return _deflection("hinged_fixed", pressure, plate, poissons_ratio)


@formula(
    _large("plate.hinged_sliding_large_deflection", "roller"),
    example={"pressure": 0.2, "youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 22.0, "thickness": 0.5},
)
def hinged_sliding_large_deflection(
    *,
    pressure: AppliedPressure,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: PlateRadius,
    thickness: Thickness,
) -> Worked:
    """Central deflection, small or large, of a simply supported circular plate whose edge slides in the plane."""
    plate = (youngs_modulus, radius, thickness)
    return _deflection("hinged_sliding", pressure, plate, poissons_ratio)


def _deflection(edge: str, pressure: float, plate: tuple[float, float, float], nu: float) -> Worked:
    """Return w0 [mm] from the table of an edge; `plate` is (E, a, t)."""
    youngs_modulus, radius, thickness = plate
    load = pressure * (radius / thickness) ** 4 / youngs_modulus
    compliance = _clamped_stiffness if edge.startswith("clamped") else _supported_stiffness
    steps = (Quantity("q", load), Quantity("a/t", radius / thickness), Quantity("c", compliance(nu)))
    table = read_table(TABLE)[edge]
    if load > table["load"][-1]:
        return Worked(None, steps)
    membrane = ((1.0 - TABLE_NU) / (1.0 - nu)) ** table["poisson_exponent"]
    ratio = _large_ratio(load, compliance(nu), membrane, _stiffening(edge, compliance(TABLE_NU)))
    return Worked(ratio * thickness, (*steps, Quantity("w0/t", ratio)))


def _stiffening(edge: str, compliance: float) -> Callable[[float], float]:
    """Return B of w0/t; it varies slowly, so that few points give the whole curve, and level beyond them."""
    table = read_table(TABLE)[edge]
    points = table["deflection"]
    values = [(q - w / compliance) / w**3 for q, w in zip(table["load"], points, strict=True)]
    curve = scipy.interpolate.PchipInterpolator(points, values)
    return lambda w: float(curve(min(max(w, points[0]), points[-1])))


def _large_ratio(load: float, compliance: float, membrane: float, stiffening: Callable[[float], float]) -> float:
    """Return the root w0/t [-] of w/c + membrane B(w) w^3 = q."""
    return float(
        scipy.optimize.brentq(
            lambda w: w / compliance + membrane * stiffening(w) * w**3 - load, 0.0, compliance * load, xtol=1e-14
        )
    )


_HOPKINS_WANG = (
    "equilibrium, von Mises yield and the flow rule integrated from the centre to the edge, as by H. G. Hopkins and"
    " A. J. Wang, J. Mech. Phys. Solids 3, 1955; number derived here (tests/references/plate_limit.py)"
)


def _limit(name: str, edge: str, expression: str, source: str) -> Statement:
    """Return the statement of a plastic limit."""
    return Statement(
        name=name,
        unit="MPa",
        expression=expression,
        source=source,
        kind="theory",
        answers="plastic limit",
        edge=edge,
        ranges=(_THIN,),
        ignores=("membrane action, which lets a thin plate carry several times this", "hardening", "transverse shear"),
        conditions=("von Mises yield; ideal plasticity; small deflection",),
    )


@formula(
    _limit(
        "plate.supported_limit",
        "roller",
        "p = 6.516 M0 / a^2, M0 = sigma_y t^2 / 4",
        f"{_HOPKINS_WANG}; 6.51 there (from memory)",
    ),
    example={"yield_stress": 258.0, "radius": 45.7, "thickness": 0.27},
)
def supported_limit(*, yield_stress: YieldStress, radius: PlateRadius, thickness: Thickness) -> Worked:
    """Plastic limit pressure of a simply supported circular plate in bending."""
    return _limit_pressure(6.516, yield_stress, radius, thickness)


@formula(
    _limit(
        "plate.clamped_limit",
        "clamped",
        "p = 12.55 M0 / a^2, M0 = sigma_y t^2 / 4",
        f"{_HOPKINS_WANG}; 12.5 there (from memory)",
    ),
    example={"yield_stress": 258.0, "radius": 45.7, "thickness": 0.27},
)
def clamped_limit(*, yield_stress: YieldStress, radius: PlateRadius, thickness: Thickness) -> Worked:
    """Plastic limit pressure of a clamped circular plate in bending."""
    return _limit_pressure(12.55, yield_stress, radius, thickness)


def _limit_pressure(factor: float, yield_stress: float, radius: float, thickness: float) -> Worked:
    moment = yield_stress * thickness**2 / 4.0
    return Worked(factor * moment / radius**2, (Quantity("a/t", radius / thickness), Quantity("M0", moment, "N")))
