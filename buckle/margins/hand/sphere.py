"""Hand calculations of a complete sphere, and what those of all parts of spheres have in common."""

from collections.abc import Mapping

from buckle.case import Case
from buckle.formulas import capacity
from buckle.formulas.base import Formula
from buckle.formulas.sphere import perfect
from buckle.margins.hand.dimensions import HandSet, of_yield_stress, pressed_from_convex_side, radius, wall


def calculations(case: Case) -> HandSet:
    """Return the formulas beside each kind of analysis."""
    shell = {"radius": radius(case.meridian.pieces[0]), **wall(case)}
    squash = squashed(case, shell)
    if not pressed_from_convex_side(case):
        return {"MNA": squash, "GMNA": squash}
    elastic = (perfect.shear_flexible_pressure(**shell), perfect.classical_pressure(**shell))
    return {"LBA": elastic, "GNA": elastic, "MNA": squash, "GMNA": interaction(case, shell)}


def squashed(case: Case, shell: Mapping[str, float]) -> tuple[Formula, ...]:
    """Return the squash pressure of the complete sphere of a shell's radius and thickness."""
    return of_yield_stress(case, lambda y: (perfect.squash_pressure(yield_stress=y, **_sizes(shell)),))


def interaction(case: Case, shell: Mapping[str, float]) -> tuple[Formula, ...]:
    """Return the sum of the classical and the squash pressure of the complete sphere, where both have a value."""
    elastic = perfect.classical_pressure(**shell).value

    def two_terms(yield_stress: float) -> tuple[Formula, ...]:
        squash = perfect.squash_pressure(yield_stress=yield_stress, **_sizes(shell)).value
        if elastic is None or squash is None:
            return ()
        return (capacity.two_term(elastic_pressure=elastic, plastic_pressure=squash),)

    return of_yield_stress(case, two_terms)


def _sizes(shell: Mapping[str, float]) -> dict[str, float]:
    return {"radius": shell["radius"], "thickness": shell["thickness"]}
