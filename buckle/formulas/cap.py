"""Elastic spherical cap with a held edge under external pressure: slenderness, perfect-cap theory, lower bound."""

import math
from collections.abc import Mapping
from functools import cache
from typing import Any

from buckle.formulas.arguments import HalfAngle, PoissonsRatio, Radius, Thickness, YoungsModulus
from buckle.formulas.base import Answers, Interval, Quantity, Statement, Worked, formula
from buckle.formulas.elastic import classical_sphere_pressure
from buckle.formulas.tables import interpolate, nearest, read_table

TABLE = "caps.toml"
_PARAMETER = "lambda = (12 (1 - nu^2))^(1/4) sqrt(R/t) 2 sin(phi/2)"
_NU = Interval("nu", 0.3, 1.0 / 3.0)
_PHI = Interval("phi", high=0.7)
_THIN = Interval("R/t", low=100.0)
_LEAVES_OUT = (
    "yielding",
    "departures from the perfect shape",
    "flexibility of the edge",
    "finite t/R and transverse shear: 1 to 3 % low at R/t = 100, 6 % near lambda = 5.6 of the clamped limit",
)
_INTERPOLATED = {
    "limit": "interpolated within 0.1 %, but 1.3 % low at the cusp of the hinged curve near lambda = 3.93",
    "bifurcation": "interpolated, up to 1 % low where the wave number changes between table points",
}


def cap_parameter(poissons_ratio: float, radius: float, thickness: float, half_angle: float) -> float:
    """Return the chord-based slenderness (12 (1 - nu^2))^(1/4) sqrt(R/t) 2 sin(phi/2) [-]."""
    stretch = (12.0 * (1.0 - poissons_ratio**2)) ** 0.25
    return float(stretch * math.sqrt(radius / thickness) * 2.0 * math.sin(half_angle / 2.0))


@formula(
    Statement(
        name="cap.parameter",
        unit="-",
        expression=_PARAMETER,
        source=(
            "V. I. Weingarten and P. Seide, Buckling of Thin-Walled Doubly Curved Shells, NASA SP-8032, 1969"
            " (authors and form from memory)"
        ),
        kind="theory",
        answers="parameter",
        ranges=(Interval("phi", high=math.pi / 2.0), Interval("R/t", low=20.0)),
        ignores=("everything but geometry and nu",),
    ),
    example={"poissons_ratio": 0.33, "radius": 45.7, "thickness": 0.27, "half_angle": 0.48},
)
def parameter(*, poissons_ratio: PoissonsRatio, radius: Radius, thickness: Thickness, half_angle: HalfAngle) -> Worked:
    """Slenderness of a spherical cap, measured along the chord from apex to edge."""
    value = cap_parameter(poissons_ratio, radius, thickness, half_angle)
    return Worked(value, (Quantity("R/t", radius / thickness),))


_ANSWERS: Mapping[str, Answers] = {"limit": "elastic limit point", "bifurcation": "elastic waves"}
_HELD = {"clamped": "clamped", "hinged": "pinned"}
"""How the edge is held, in the words of [supports]."""


@cache
def _curves(edge: str, event: str) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return the curves of one edge and event at the lower and the higher Poisson's ratio."""
    found = [curve for curve in read_table(TABLE)["curve"] if (curve["edge"], curve["event"]) == (edge, event)]
    low, high = sorted(found, key=lambda curve: float(curve["poissons_ratio"]))
    return low, high


def _theory(edge: str, event: str) -> Statement:
    """Return the statement of a tabulated curve."""
    points = _curves(edge, event)[0]["cap_parameter"]
    name = {"limit": "limit_point", "bifurcation": "bifurcation"}[event]
    return Statement(
        name=f"cap.{edge}_{name}",
        unit="MPa",
        expression=f"p = P(lambda, nu) 2 E (t/R)^2 / sqrt(3 (1 - nu^2)), P from a table, {_PARAMETER}",
        source=str(read_table(TABLE)["origin"]),
        kind="theory",
        answers=_ANSWERS[event],
        edge=_HELD[edge],
        ranges=(Interval("lambda", points[0], points[-1]), _NU, _PHI, _THIN),
        ignores=_LEAVES_OUT,
        conditions=(_INTERPOLATED[event], "nu by a straight line between 0.3 and 1/3"),
    )


@formula(
    _theory("clamped", "limit"),
    example={"youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 120.0, "thickness": 0.27, "half_angle": 0.14},
)
def clamped_limit_point(
    *,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    half_angle: HalfAngle,
) -> Worked:
    """First axisymmetric limit pressure of a perfect clamped cap."""
    return _worked("clamped", "limit", (youngs_modulus, poissons_ratio, radius, thickness), half_angle)


@formula(
    _theory("clamped", "bifurcation"),
    example={"youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 120.0, "thickness": 0.27, "half_angle": 0.3},
)
def clamped_bifurcation(
    *,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    half_angle: HalfAngle,
) -> Worked:
    """Lowest pressure at which waves form in a perfect clamped cap, from its nonlinear axisymmetric state."""
    return _worked("clamped", "bifurcation", (youngs_modulus, poissons_ratio, radius, thickness), half_angle)


@formula(
    _theory("hinged", "limit"),
    example={"youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 120.0, "thickness": 0.27, "half_angle": 0.14},
)
def hinged_limit_point(
    *,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    half_angle: HalfAngle,
) -> Worked:
    """First axisymmetric limit pressure of a perfect cap on an immovable hinge."""
    return _worked("hinged", "limit", (youngs_modulus, poissons_ratio, radius, thickness), half_angle)


@formula(
    _theory("hinged", "bifurcation"),
    example={"youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 120.0, "thickness": 0.27, "half_angle": 0.3},
)
def hinged_bifurcation(
    *,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    half_angle: HalfAngle,
) -> Worked:
    """Lowest pressure at which waves form in a perfect cap on an immovable hinge, from its nonlinear state."""
    return _worked("hinged", "bifurcation", (youngs_modulus, poissons_ratio, radius, thickness), half_angle)


def _worked(edge: str, event: str, shell: tuple[float, float, float, float], half_angle: float) -> Worked:
    """Return the tabulated load times the classical pressure; `shell` is (E, nu, R, t)."""
    youngs_modulus, nu, radius, thickness = shell
    slenderness = cap_parameter(nu, radius, thickness, half_angle)
    classical = classical_sphere_pressure(youngs_modulus, nu, radius, thickness)
    load = _load(edge, event, slenderness, nu)
    steps = (
        Quantity("R/t", radius / thickness),
        Quantity("lambda", slenderness),
        Quantity("p_cl", classical, "MPa"),
        *_found(edge, event, slenderness, nu, load),
    )
    return Worked(None if load is None else load * classical, steps)


def _load(edge: str, event: str, slenderness: float, nu: float) -> float | None:
    """Return p / p_cl, linear in nu between the two tabulated values; None beyond the table."""
    low, high = _curves(edge, event)
    ends = [interpolate(slenderness, curve["cap_parameter"], curve["load"]) for curve in (low, high)]
    if ends[0] is None or ends[1] is None:
        return None
    share = (nu - low["poissons_ratio"]) / (high["poissons_ratio"] - low["poissons_ratio"])
    return float(ends[0] + share * (ends[1] - ends[0]))


def _found(edge: str, event: str, slenderness: float, nu: float, load: float | None) -> tuple[Quantity, ...]:
    """Return the load over p_cl and, for a bifurcation, the wave number of the nearest table point."""
    if load is None:
        return ()
    if event == "limit":
        return (Quantity("P", load),)
    curve = min(_curves(edge, event), key=lambda curve: abs(float(curve["poissons_ratio"]) - nu))
    return (Quantity("P", load), Quantity("n", nearest(slenderness, curve["cap_parameter"], curve["wave_number"])))


@formula(
    Statement(
        name="cap.lower_bound",
        unit="MPa",
        expression=f"p = (0.14 + 3.2 / lambda^2) 2 E (t/R)^2 / sqrt(3 (1 - nu^2)), {_PARAMETER}",
        source=(
            "V. I. Weingarten and P. Seide, Buckling of Thin-Walled Doubly Curved Shells, NASA SP-8032, 1969"
            " (from memory)"
        ),
        kind="lower bound",
        answers="imperfect elastic buckling",
        edge="clamped",
        ranges=(Interval("lambda", low=2.0), Interval("phi", high=math.pi / 2.0), Interval("R/t", low=100.0)),
        ignores=(
            "yielding: the tests under it buckled elastically",
            "the size of the actual imperfections",
            "flexibility of the edge, such as a stand that rolls",
        ),
        conditions=("clamped edge; tests mostly at R/t of 400 to 2000 (from memory)",),
    ),
    example={"youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 120.0, "thickness": 0.27, "half_angle": 0.3},
)
def lower_bound(
    *,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    half_angle: HalfAngle,
) -> Worked:
    """Lower bound to elastic buckling tests of clamped spherical caps."""
    slenderness = cap_parameter(poissons_ratio, radius, thickness, half_angle)
    classical = classical_sphere_pressure(youngs_modulus, poissons_ratio, radius, thickness)
    knock_down = 0.14 + 3.2 / slenderness**2
    steps = (
        Quantity("R/t", radius / thickness),
        Quantity("lambda", slenderness),
        Quantity("p_cl", classical, "MPa"),
        Quantity("P", knock_down),
    )
    return Worked(knock_down * classical, steps)
