"""Complete sphere under uniform pressure: elastic bifurcation and plastic squash."""

import numpy as np

from buckle.formulas.arguments import PoissonsRatio, Radius, Thickness, YieldStress, YoungsModulus
from buckle.formulas.base import Interval, Quantity, Statement, Worked, formula
from buckle.formulas.elastic import classical_sphere_pressure

_ELASTIC_LEAVES_OUT = (
    "yielding",
    "departures from the perfect shape, which lower real spheres to a fifth of this and less",
    "edges and supports",
)


@formula(
    Statement(
        name="sphere.classical_pressure",
        unit="MPa",
        expression="p = 2 E (t/R)^2 / sqrt(3 (1 - nu^2))",
        source="R. Zoelly, Ueber ein Knickungsproblem an der Kugelschale, doctoral thesis, Zuerich, 1915 (from memory)",
        kind="theory",
        answers="linear bifurcation",
        ranges=(Interval("R/t", low=20.0),),
        ignores=(*_ELASTIC_LEAVES_OUT, "terms of the order t/R, transverse shear among them"),
    ),
    example={"youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 45.7, "thickness": 0.27},
)
def classical_pressure(
    *, youngs_modulus: YoungsModulus, poissons_ratio: PoissonsRatio, radius: Radius, thickness: Thickness
) -> Worked:
    """Elastic bifurcation pressure of a perfect, thin, complete sphere under external pressure."""
    pressure = classical_sphere_pressure(youngs_modulus, poissons_ratio, radius, thickness)
    return Worked(pressure, (Quantity("R/t", radius / thickness),))


@formula(
    Statement(
        name="sphere.thin_shell_pressure",
        unit="MPa",
        expression=(
            "p = min over whole n >= 2 of (2 E t / (R (1 - nu^2)))"
            " [(1 - nu^2) + alpha (N^2 + 2 N + (1 + nu)^2)] / (N + 1 + 3 nu),"
            " N = n (n + 1) - 2, alpha = t^2 / (12 R^2)"
        ),
        source=(
            "S. P. Timoshenko and J. M. Gere, Theory of Elastic Stability, 2nd edition, 1961, spherical shells"
            " (from memory); within 0.13 % of Sanders-Koiter harmonic solutions computed for this project, R/t >= 20"
        ),
        kind="theory",
        answers="linear bifurcation",
        ranges=(Interval("R/t", low=20.0),),
        ignores=(*_ELASTIC_LEAVES_OUT, "transverse shear, which is of the same order as the terms kept"),
    ),
    example={"youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 45.7, "thickness": 0.27},
)
def thin_shell_pressure(
    *, youngs_modulus: YoungsModulus, poissons_ratio: PoissonsRatio, radius: Radius, thickness: Thickness
) -> Worked:
    """Elastic bifurcation pressure of a shear-rigid complete sphere with its harmonic degree n."""
    degree, least = _least_degree(poissons_ratio, thickness / radius)
    pressure = 2.0 * youngs_modulus * thickness / (radius * (1.0 - poissons_ratio**2)) * least
    return Worked(pressure, (Quantity("R/t", radius / thickness), Quantity("n", degree)))


def _least_degree(nu: float, ratio: float) -> tuple[int, float]:
    """Return the degree n with the least p R (1 - nu^2) / (2 E t), and that value; `ratio` is t/R."""
    # The continuous minimum lies near n (n + 1) = sqrt(12 (1 - nu^2)) R/t; five degrees on either side are ample.
    nearest = np.sqrt(np.sqrt(12.0 * (1.0 - nu**2)) / ratio)
    degrees = np.arange(max(2, int(nearest) - 5), int(nearest) + 6)
    N = degrees * (degrees + 1.0) - 2.0
    alpha = ratio**2 / 12.0
    loads = ((1.0 - nu**2) + alpha * (N**2 + 2.0 * N + (1.0 + nu) ** 2)) / (N + 1.0 + 3.0 * nu)
    best = int(np.argmin(loads))
    return int(degrees[best]), float(loads[best])


@formula(
    Statement(
        name="sphere.shear_flexible_pressure",
        unit="MPa",
        expression="p = (1 - 1.3 t/R) 2 E (t/R)^2 / sqrt(3 (1 - nu^2))",
        source=(
            "computed for this project: linear bifurcation of a complete sphere as a shear-flexible shell (shear factor"
            " 5/6) and as a solid, both 0.987 of the classical value at R/t = 100; not reproducible from this"
            " repository"
        ),
        kind="fit",
        answers="linear bifurcation",
        ranges=(Interval("R/t", low=100.0), Interval("nu", 0.25, 0.35)),
        ignores=(*_ELASTIC_LEAVES_OUT, "the change of the factor 1.3 with nu; it was found at nu = 0.3"),
    ),
    example={"youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 45.7, "thickness": 0.27},
)
def shear_flexible_pressure(
    *, youngs_modulus: YoungsModulus, poissons_ratio: PoissonsRatio, radius: Radius, thickness: Thickness
) -> Worked:
    """Elastic bifurcation pressure of a perfect complete sphere with transverse shear."""
    classical = classical_sphere_pressure(youngs_modulus, poissons_ratio, radius, thickness)
    factor = 1.0 - 1.3 * thickness / radius
    return Worked(
        factor * classical,
        (Quantity("R/t", radius / thickness), Quantity("p_cl", classical, "MPa"), Quantity("1 - 1.3 t/R", factor)),
    )


@formula(
    Statement(
        name="sphere.squash_pressure",
        unit="MPa",
        expression="p = 2 sigma_y t / R",
        source="equilibrium of a thin sphere at yield, sigma = p R / (2 t); derived here",
        kind="theory",
        answers="plastic limit",
        ranges=(Interval("R/t", low=10.0),),
        ignores=("hardening", "change of radius and thickness", "buckling", "bending at edges and at a stand"),
    ),
    example={"yield_stress": 258.0, "radius": 45.7, "thickness": 0.27},
)
def squash_pressure(*, yield_stress: YieldStress, radius: Radius, thickness: Thickness) -> Worked:
    """Plastic limit pressure of a thin complete sphere, inside or outside."""
    return Worked(2.0 * yield_stress * thickness / radius, (Quantity("R/t", radius / thickness),))
