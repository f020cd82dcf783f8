"""Complete elastic sphere with one dent, or with many in its own buckling pattern, under outside pressure.

In the length l = sqrt(R t) / (12 (1 - nu^2))^(1/4) and the deflection unit d = t / sqrt(12 (1 - nu^2)) Marguerre's
shallow equations know only P = p / p_cl and the imperfection, so nu enters nowhere else. With eps = 1 - P small, all
waves of length 2 pi l are nearly free, and what stops them is their own interaction, (3/2) [W, W] projected on one of
them.

One dent. Its response is W = A J0(x) near the dent, fading slowly outward, and the projection needs only the integral
of J1^3, sqrt(3) / (2 pi): (2 sqrt(2 eps) / pi) A = P H + (3 sqrt(3) / (4 pi)) A^2. Here H is twice the dent's Hankel
transform at wave number one, (delta/d) lambda^2 exp(-lambda^2/4). There is no root A beyond eps / P = K =
(3 sqrt(3) pi / 8) H: the drop is proportional to the depth of one dent, not to its root. The next term is of the order
sqrt(eps).

Many dents. For three waves of equal depth at 120 degrees, 2 eps A = 2 P W_I + (9/8) A^2, which has no root beyond
eps^2 = (9/4) P W_I, the deepest dent being 3 W_I: Koiter's square root.
"""

import math
from collections.abc import Callable
from functools import cache
from typing import Annotated

import numpy as np
import scipy
from annotated_types import Gt

from buckle.formulas.arguments import PoissonsRatio, Radius, Thickness, YoungsModulus
from buckle.formulas.base import Interval, Quantity, Statement, Symbol, Worked, formula
from buckle.formulas.elastic import classical_sphere_pressure
from buckle.formulas.tables import interpolate, read_table
from buckle.units import Angle, PositiveLength

TABLE = "sphere/dimples.toml"
DentAngle = Annotated[Angle, Symbol("phi_0"), Gt(0.0)]
DentDepth = Annotated[PositiveLength, Symbol("delta")]

_THIN = Interval("R/t", low=100.0)
_SMALL = Interval("phi_0", high=0.5)
_LEAVES_OUT = (
    "yielding",
    "other dents, and edges nearer than about ten times sqrt(R t) / 1.8",
    "finite t/R and transverse shear, of the order t/R",
)
_WIDTH = "lambda = (12 (1 - nu^2))^(1/4) sqrt(R/t) phi_0"
_CLASSICAL = "p_cl = 2 E (t/R)^2 / sqrt(3 (1 - nu^2))"
_DENT = "dent delta exp(-(angle / phi_0)^2) inward, as in A. Lee and others, J. Appl. Mech. 83, 2016, 111005 (abstract)"


def _width(nu: float, radius: float, thickness: float, angle: float) -> float:
    return float((12.0 * (1.0 - nu**2)) ** 0.25 * math.sqrt(radius / thickness) * angle)


def _scaled_depth(nu: float, depth_over_thickness: float) -> float:
    """Return the depth over t that does the same at the table's Poisson's ratio."""
    return depth_over_thickness * math.sqrt((1.0 - nu**2) / (1.0 - float(read_table(TABLE)["poissons_ratio"]) ** 2))


@cache
def _rows() -> tuple[Callable[[float], float], ...]:
    """Return the load against the logarithm of the depth for each width of the table."""
    table = read_table(TABLE)
    return tuple(scipy.interpolate.PchipInterpolator(np.log(table["depth"]), row) for row in table["load"])


def _load(width: float, depth: float) -> float | None:
    """Return p / p_cl from the table; None beyond it."""
    widths, depths = read_table(TABLE)["width"], read_table(TABLE)["depth"]
    if not depths[0] <= depth <= depths[-1]:
        return None
    return interpolate(width, widths, [float(row(math.log(depth))) for row in _rows()])


def _statement(name: str, expression: str, ranges: tuple[Interval, ...], conditions: tuple[str, ...]) -> Statement:
    return Statement(
        name=f"sphere.{name}",
        unit="MPa",
        expression=expression,
        source=str(read_table(TABLE)["origin"]),
        kind="theory",
        answers="imperfect elastic buckling",
        ranges=(_THIN, _SMALL, *ranges),
        ignores=(*_LEAVES_OUT, "waves around the dent, which came 2 % below at lambda = 1, delta/t = 2"),
        conditions=(_DENT, *conditions),
    )


@formula(
    _statement(
        "dimple_pressure",
        f"p = P(lambda, d) p_cl, P from a table, {_WIDTH}, d = delta/t sqrt((1 - nu^2) / 0.91), {_CLASSICAL}",
        (
            Interval("lambda", read_table(TABLE)["width"][0], read_table(TABLE)["width"][-1]),
            Interval("d", read_table(TABLE)["depth"][0], read_table(TABLE)["depth"][-1]),
        ),
        (
            "interpolated within 0.4 % up to lambda = 3; beyond it up to 3 % near the depth where one maximum of the"
            " load gives way to the next, found at 300 random points",
        ),
    ),
    example={
        "youngs_modulus": 69e3,
        "poissons_ratio": 0.33,
        "radius": 45.7,
        "thickness": 0.1,
        "dent_angle": 0.05,
        "dent_depth": 0.05,
    },
)
def dimple_pressure(
    *,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    dent_angle: DentAngle,
    dent_depth: DentDepth,
) -> Worked:
    """Greatest outside pressure of an elastic sphere with one round dent of any width and depth."""
    width = _width(poissons_ratio, radius, thickness, dent_angle)
    depth = _scaled_depth(poissons_ratio, dent_depth / thickness)
    load = _load(width, depth)
    shell = (youngs_modulus, poissons_ratio, radius, thickness)
    return _worked(load, shell, (Quantity("lambda", width), Quantity("d", depth)))


@formula(
    _statement(
        "dimple_plateau",
        f"p = P(lambda) p_cl, P the least of a table over the depths up to 3 t, {_WIDTH}, {_CLASSICAL}",
        (Interval("lambda", 0.75, 3.0),),
        ("the load no longer falls once the dent is about as deep as the wall is thick, half as deep again at 3",),
    ),
    example={"youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 45.7, "thickness": 0.1, "dent_angle": 0.05},
)
def dimple_plateau(
    *,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    dent_angle: DentAngle,
) -> Worked:
    """Outside pressure that an elastic sphere still carries with the worst depth of a dent of given width."""
    width = _width(poissons_ratio, radius, thickness, dent_angle)
    load = interpolate(width, read_table(TABLE)["width"], [min(row) for row in read_table(TABLE)["load"]])
    return _worked(load, (youngs_modulus, poissons_ratio, radius, thickness), (Quantity("lambda", width),))


def _worked(load: float | None, shell: tuple[float, float, float, float], steps: tuple[Quantity, ...]) -> Worked:
    """Return the load times the classical pressure; `shell` is (E, nu, R, t)."""
    classical = classical_sphere_pressure(*shell)
    shown = (Quantity("R/t", shell[2] / shell[3]), *steps, Quantity("p_cl", classical, "MPa"))
    if load is None:
        return Worked(None, shown)
    return Worked(load * classical, (*shown, Quantity("P", load)))


# Perturbation of the perfect sphere -----------------------------------------------------------------------------------


@formula(
    Statement(
        name="sphere.shallow_dimple_pressure",
        unit="MPa",
        expression=(
            f"p = p_cl / (1 + y), y (1 + c sqrt(y)) = K, K = (3 sqrt(3) pi / 8) sqrt(12 (1 - nu^2)) (delta/t) lambda^2"
            f" exp(-lambda^2 / 4), c = 2.15 - 0.58 (lambda - 2.2)^2, {_WIDTH}, {_CLASSICAL}"
        ),
        source=(
            "after W. T. Koiter's perturbation of the critical state, 1945 and 1969 (from memory); K for one dent"
            " derived here from Marguerre's equations, c of the next term fitted to the computed table of dents"
        ),
        kind="fit",
        answers="imperfect elastic buckling",
        ranges=(_THIN, _SMALL, Interval("lambda", 1.0, 3.0), Interval("delta/t", high=0.1)),
        ignores=_LEAVES_OUT,
        conditions=(_DENT, "within 1 % of the table; exact as the depth goes to nought"),
    ),
    example={
        "youngs_modulus": 69e3,
        "poissons_ratio": 0.33,
        "radius": 45.7,
        "thickness": 0.1,
        "dent_angle": 0.05,
        "dent_depth": 0.004,
    },
)
def shallow_dimple_pressure(
    *,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    dent_angle: DentAngle,
    dent_depth: DentDepth,
) -> Worked:
    """Greatest outside pressure of an elastic sphere with one round dent much shallower than its wall."""
    width = _width(poissons_ratio, radius, thickness, dent_angle)
    depth = dent_depth / thickness
    slope = 0.375 * math.sqrt(3.0) * math.pi * math.sqrt(12.0 * (1.0 - poissons_ratio**2))
    K = slope * depth * width**2 * math.exp(-0.25 * width**2)
    c = 2.15 - 0.58 * (width - 2.2) ** 2
    steps = (Quantity("lambda", width), Quantity("delta/t", depth), Quantity("K", K), Quantity("c", c))
    shell = (youngs_modulus, poissons_ratio, radius, thickness)
    if c < 0.0:  # far outside the range; the equation for y may have no root
        return _worked(None, shell, steps)
    y = float(scipy.optimize.brentq(lambda s: s**2 * (1.0 + c * s) - K, 0.0, math.sqrt(K) + 1.0, xtol=1e-15)) ** 2
    return _worked(1.0 / (1.0 + y), shell, (*steps, Quantity("y", y)))


@formula(
    Statement(
        name="sphere.pattern_imperfection_pressure",
        unit="MPa",
        expression=(
            "p = P p_cl, (1 - P)^2 = k P, k = (3/4) sqrt(12 (1 - nu^2)) delta/t,"
            f" P = 1 + k/2 - sqrt(k + k^2/4), {_CLASSICAL}"
        ),
        source=(
            "form of W. T. Koiter, 1945, and J. W. Hutchinson, J. Appl. Mech. 34, 1967, shallow section of a sphere"
            " (from memory); constant derived here from Marguerre's equations for three waves of equal depth at 120"
            " degrees"
        ),
        kind="theory",
        answers="imperfect elastic buckling",
        ranges=(_THIN, Interval("delta/t", high=0.05)),
        ignores=(
            *_LEAVES_OUT[::2],
            "terms beyond the first in the depth; they lower P by 0.1 % at delta/t = 0.001, 0.8 % at 0.01, 4 % at 0.05",
        ),
        conditions=("the sphere is dented all over in its own hexagonal buckling pattern, the worst shape there is",),
    ),
    example={"youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 45.7, "thickness": 0.1, "dent_depth": 0.004},
)
def pattern_imperfection_pressure(
    *,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    dent_depth: DentDepth,
) -> Worked:
    """Greatest outside pressure of an elastic sphere dented all over in its own buckling pattern."""
    depth = dent_depth / thickness
    k = 0.75 * math.sqrt(12.0 * (1.0 - poissons_ratio**2)) * depth
    load = 1.0 + 0.5 * k - math.sqrt(k + 0.25 * k**2)
    shell = (youngs_modulus, poissons_ratio, radius, thickness)
    return _worked(load, shell, (Quantity("delta/t", depth), Quantity("k", k)))
