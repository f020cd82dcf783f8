"""Hand calculations of torispherical heads, and of ellipsoidal ones as the torisphere that stands for them."""

from collections.abc import Mapping

from buckle.case import Case
from buckle.formulas import capacity
from buckle.formulas.head import asme_knuckle, plastic
from buckle.formulas.sphere import perfect
from buckle.margins.hand.dimensions import HandSet, of_yield_stress, pressed_from_convex_side, thickness, wall
from buckle.margins.hand.sphere import interaction, squashed


def torispherical(case: Case) -> HandSet:
    """Return the formulas beside each kind of analysis."""
    shape = {name: case.dimensions[name] for name in ("diameter", "crown_radius", "knuckle_radius")}
    if pressed_from_convex_side(case):
        return _outside(case, shape, shape["crown_radius"])
    return _inside(case, shape)


def ellipsoidal(case: Case) -> HandSet:
    """Return those of the equivalent torisphere; under outside pressure those of the sphere that touches the pole."""
    diameter = case.dimensions["diameter"]
    flatness = case.dimensions["aspect_ratio"] or 0.5 * diameter / case.dimensions["depth"]
    # EN 13445-3, clause 7.5.4 (from memory), for flatness from 1.7 to 2.2; beyond it there is no equivalent.
    crown, knuckle = diameter * (0.44 * flatness + 0.02), diameter * (0.5 / flatness - 0.08)
    shape = {"diameter": diameter, "crown_radius": crown, "knuckle_radius": knuckle} if 1.7 < flatness < 2.2 else {}
    if pressed_from_convex_side(case):
        return _outside(case, shape, 0.5 * diameter * flatness)
    return _inside(case, shape) if shape else {}


def _inside(case: Case, shape: Mapping[str, float]) -> HandSet:
    metal = {"youngs_modulus": case.material.youngs_modulus}
    size = {**shape, "thickness": thickness(case)}
    tests = (plastic.knuckle_buckling, plastic.shield_drucker_limit)
    fits = (plastic.plastic_waves, plastic.axisymmetric_yielding)
    return {
        "LBA": (asme_knuckle.elastic_knuckle_buckling(**metal, **size),),
        "MNA": of_yield_stress(case, lambda y: (plastic.shield_drucker_limit(yield_stress=y, **size),)),
        "GMNA": of_yield_stress(
            case,
            lambda y: (
                *(rule(yield_stress=y, **metal, **size) for rule in fits),
                *(rule(yield_stress=y, **size) for rule in tests),
            ),
        ),
    }


def _outside(case: Case, shape: Mapping[str, float], radius: float) -> HandSet:
    """The crown or pole as a sphere of its radius, and the knuckle's mechanism, which does not ask for the side."""
    shell = {"radius": radius, **wall(case)}
    size = {**shape, "thickness": thickness(case)}
    limit = of_yield_stress(case, lambda y: (plastic.shield_drucker_limit(yield_stress=y, **size),)) if shape else ()
    best = capacity.FINEST_QUALITY
    curve = of_yield_stress(case, lambda y: (capacity.dome_clamped(yield_stress=y, quality=best, **shell),))
    elastic = (perfect.classical_pressure(**shell),)
    return {
        "LBA": elastic,
        "GNA": elastic,
        "MNA": (*limit, *squashed(case, shell)),
        "GMNA": (*limit, *curve, *interaction(case, shell)),
    }
