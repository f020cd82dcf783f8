"""Annular plate with a free inner edge under uniform pressure: small deflection, stress and plastic limit.

With x = r/a and k = b/a, in units of p a^4 / D, w = x^4/64 + A + B x^2 + C ln x - (k^2/8) x^2 ln x; the last term makes
the shear vanish at the hole. The inner edge has no moment, the outer edge no slope or no moment: that gives B and C.
"""

import math
from dataclasses import dataclass
from typing import Annotated

from buckle.formulas.arguments import (
    AppliedPressure,
    PlateRadius,
    PoissonsRatio,
    Thickness,
    YieldStress,
    YoungsModulus,
)
from buckle.formulas.base import Answers, Interval, Quantity, Statement, Symbol, Worked, formula
from buckle.formulas.elastic import bending_stiffness
from buckle.units import PositiveLength

HoleRadius = Annotated[PositiveLength, Symbol("b")]

_SHAPE = "w = x^4/64 + A + B x^2 + C ln x - (k^2/8) x^2 ln x in p a^4 / D, x = r/a, k = b/a"
_SOURCE = (
    "thin-plate theory (S. P. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells, 1959, from memory);"
    " derived again here"
)
_HOLE = Interval("b/a", 0.001, 0.9)
_THIN = Interval("(a - b)/t", low=10.0)
_LEAVES_OUT = ("yielding", "membrane stiffening by the deflection", "transverse shear", "flexibility of the edge")


@dataclass(frozen=True)
class Ring:
    """Deflection of a ring of inner over outer radius `k`, in p a^4 / D; its outer edge clamped or supported."""

    k: float
    nu: float
    clamped: bool

    @property
    def constants(self) -> tuple[float, float]:
        """Return B and C."""
        k, nu = self.k, self.nu
        inner = self._moment_of(k, 0.0, 0.0)
        outer = self._slope(1.0, 0.0, 0.0) if self.clamped else self._moment_of(1.0, 0.0, 0.0)
        # Moments and slope of the unit shapes x^2 and ln x.
        a11, a12 = 2.0 * (1.0 + nu), -(1.0 - nu) / k**2
        a21, a22 = (2.0, 1.0) if self.clamped else (2.0 * (1.0 + nu), -(1.0 - nu))
        det = a11 * a22 - a12 * a21
        return (-inner * a22 + outer * a12) / det, (-outer * a11 + inner * a21) / det

    def _slope(self, x: float, B: float, C: float) -> float:
        return x**3 / 16.0 + 2.0 * B * x + C / x - self.k**2 / 8.0 * x * (2.0 * math.log(x) + 1.0)

    def _curvature(self, x: float, B: float, C: float) -> float:
        return 3.0 * x**2 / 16.0 + 2.0 * B - C / x**2 - self.k**2 / 8.0 * (2.0 * math.log(x) + 3.0)

    def _moment_of(self, x: float, B: float, C: float) -> float:
        return self._curvature(x, B, C) + self.nu * self._slope(x, B, C) / x

    @property
    def deflection(self) -> float:
        """Return w at the hole in p a^4 / D."""
        B, C = self.constants
        k = self.k
        log = math.log(k)
        return (k**4 - 1.0) / 64.0 + B * (k**2 - 1.0) + C * log - k**4 / 8.0 * log

    @property
    def edge_moment(self) -> float:
        """Return the radial moment at the outer edge in p a^2, in modulus."""
        return abs(self._moment_of(1.0, *self.constants))

    @property
    def hole_moment(self) -> float:
        """Return the circumferential moment at the hole in p a^2, in modulus."""
        B, C = self.constants
        return abs(self._slope(self.k, B, C) / self.k + self.nu * self._curvature(self.k, B, C))


def _statement(name: str, answers: Answers, expression: str, edge: str) -> Statement:
    return Statement(
        name=f"plate.annular_{name}",
        unit="mm" if answers == "deflection" else "MPa",
        expression=f"{expression}; {_SHAPE}, D = E t^3 / (12 (1 - nu^2)), no moment at r = b, {edge} at r = a",
        source=_SOURCE,
        kind="theory",
        answers=answers,
        ranges=(_HOLE, _THIN, Interval("w_b/t", high=0.2)),
        ignores=_LEAVES_OUT,
        conditions=("inner edge free; a supported outer edge slides freely in the plane",),
    )


def _steps(ring: Ring, load: float, radii: tuple[float, float], thickness: float) -> tuple[Quantity, ...]:
    """Return the ratios, B, C and the moments over p a^2; `load` is p / E, `radii` (a, b)."""
    outer, inner = radii
    B, C = ring.constants
    deflection = 12.0 * (1.0 - ring.nu**2) * load * (outer / thickness) ** 4 * ring.deflection
    return (
        Quantity("b/a", inner / outer),
        Quantity("(a - b)/t", (outer - inner) / thickness),
        Quantity("B", B),
        Quantity("C", C),
        Quantity("M_a/(p a^2)", ring.edge_moment),
        Quantity("M_b/(p a^2)", ring.hole_moment),
        Quantity("w_b/t", deflection),
    )


def _no_ring(outer: float, inner: float, thickness: float) -> Worked:
    return Worked(None, (Quantity("b/a", inner / outer), Quantity("(a - b)/t", (outer - inner) / thickness)))


def _deflection(clamped: bool, load: float, nu: float, radii: tuple[float, float], thickness: float) -> Worked:
    """Return the deflection of the hole [mm]."""
    if radii[1] >= radii[0]:
        return _no_ring(*radii, thickness)
    ring = Ring(radii[1] / radii[0], nu, clamped)
    steps = _steps(ring, load, radii, thickness)
    stiffness = bending_stiffness(1.0, nu, thickness)
    return Worked(load * radii[0] ** 4 / stiffness * ring.deflection, steps)


def _stress(clamped: bool, pressure: float, load: float, nu: float, size: tuple[float, float, float]) -> Worked:
    """Return the greatest bending stress [MPa]; `size` is (a, b, t)."""
    outer, inner, thickness = size
    if inner >= outer:
        return _no_ring(outer, inner, thickness)
    ring = Ring(inner / outer, nu, clamped)
    moment = max(ring.edge_moment, ring.hole_moment) if clamped else ring.hole_moment
    return Worked(6.0 * moment * pressure * (outer / thickness) ** 2, _steps(ring, load, (outer, inner), thickness))


@formula(
    _statement("clamped_deflection", "deflection", "w_b = p a^4 / D w(k)", "no slope"),
    example={
        "pressure": 0.002,
        "youngs_modulus": 69e3,
        "poissons_ratio": 0.33,
        "radius": 22.0,
        "hole_radius": 6.0,
        "thickness": 0.5,
    },
)
def annular_clamped_deflection(
    *,
    pressure: AppliedPressure,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: PlateRadius,
    hole_radius: HoleRadius,
    thickness: Thickness,
) -> Worked:
    """Small deflection of the hole of an annular plate clamped around."""
    return _deflection(True, pressure / youngs_modulus, poissons_ratio, (radius, hole_radius), thickness)


@formula(
    _statement("supported_deflection", "deflection", "w_b = p a^4 / D w(k)", "no moment"),
    example={
        "pressure": 0.001,
        "youngs_modulus": 69e3,
        "poissons_ratio": 0.33,
        "radius": 22.0,
        "hole_radius": 6.0,
        "thickness": 0.5,
    },
)
def annular_supported_deflection(
    *,
    pressure: AppliedPressure,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: PlateRadius,
    hole_radius: HoleRadius,
    thickness: Thickness,
) -> Worked:
    """Small deflection of the hole of a simply supported annular plate."""
    return _deflection(False, pressure / youngs_modulus, poissons_ratio, (radius, hole_radius), thickness)


@formula(
    _statement("clamped_stress", "stress", "sigma = 6 M / t^2, M the greater of M_a and M_b (moduli)", "no slope"),
    example={
        "pressure": 0.002,
        "youngs_modulus": 69e3,
        "poissons_ratio": 0.33,
        "radius": 22.0,
        "hole_radius": 6.0,
        "thickness": 0.5,
    },
)
def annular_clamped_stress(
    *,
    pressure: AppliedPressure,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: PlateRadius,
    hole_radius: HoleRadius,
    thickness: Thickness,
) -> Worked:
    """Greatest bending stress of an annular plate clamped around: radial at its edge or circumferential at its hole."""
    size = (radius, hole_radius, thickness)
    return _stress(True, pressure, pressure / youngs_modulus, poissons_ratio, size)


@formula(
    _statement("supported_stress", "stress", "sigma = 6 M_b / t^2", "no moment"),
    example={
        "pressure": 0.001,
        "youngs_modulus": 69e3,
        "poissons_ratio": 0.33,
        "radius": 22.0,
        "hole_radius": 6.0,
        "thickness": 0.5,
    },
)
def annular_supported_stress(
    *,
    pressure: AppliedPressure,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: PlateRadius,
    hole_radius: HoleRadius,
    thickness: Thickness,
) -> Worked:
    """Circumferential bending stress at the hole of a simply supported annular plate, its largest."""
    size = (radius, hole_radius, thickness)
    return _stress(False, pressure, pressure / youngs_modulus, poissons_ratio, size)


@formula(
    Statement(
        name="plate.annular_supported_limit",
        unit="MPa",
        expression="p = 6 M0 / (a^2 + a b - 2 b^2), M0 = sigma_y t^2 / 4",
        source=(
            "Tresca plates after H. G. Hopkins and W. Prager, J. Mech. Phys. Solids 2, 1953 (from memory, for b = 0);"
            " derived here: the moments of full circumferential yield and the cone as mechanism give the same value"
        ),
        kind="theory",
        answers="plastic limit",
        ranges=(_HOLE, _THIN),
        ignores=("membrane action, which lets a thin plate carry several times this", "hardening", "transverse shear"),
        conditions=("Tresca yield, up to 9 % below von Mises; inner edge free; small deflection",),
    ),
    example={"yield_stress": 258.0, "radius": 22.0, "hole_radius": 6.0, "thickness": 0.5},
)
def annular_supported_limit(
    *, yield_stress: YieldStress, radius: PlateRadius, hole_radius: HoleRadius, thickness: Thickness
) -> Worked:
    """Plastic limit pressure of a simply supported annular plate in bending."""
    moment = 0.25 * yield_stress * thickness**2
    steps = (
        Quantity("b/a", hole_radius / radius),
        Quantity("(a - b)/t", (radius - hole_radius) / thickness),
        Quantity("M0", moment, "N"),
    )
    span = radius**2 + radius * hole_radius - 2.0 * hole_radius**2
    return Worked(6.0 * moment / span if hole_radius < radius else None, steps)
