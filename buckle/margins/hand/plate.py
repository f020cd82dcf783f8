"""Hand calculations of a circular plate without a hole."""

from buckle.case import Case
from buckle.formulas.base import Formula
from buckle.formulas.plate import circular
from buckle.margins.hand.dimensions import HandSet, edge_radius, of_yield_stress, thickness, wall

LIMITS = (circular.clamped_limit, circular.supported_limit)
DEFLECTIONS = (
    circular.clamped_fixed_large_deflection,
    circular.clamped_sliding_large_deflection,
    circular.hinged_fixed_large_deflection,
    circular.hinged_sliding_large_deflection,
)
"""Of which there is one for each way that an edge may be held."""


def calculations(case: Case) -> HandSet:
    """Return the formulas beside each kind of analysis."""
    rule = next((rule for rule in LIMITS if rule.statement.edge == case.supports.outer_edge), None)
    if rule is None or _pierced(case):
        return {}
    size = {"radius": edge_radius(case.meridian), "thickness": thickness(case)}
    return {"MNA": of_yield_stress(case, lambda y: (rule(yield_stress=y, **size),))}


def bulge(case: Case, pressure: float) -> Formula | None:
    """Return how far the centre rises at a pressure [MPa]; None for an edge that no formula is about."""
    rule = next((rule for rule in DEFLECTIONS if rule.statement.edge == case.supports.outer_edge), None)
    if rule is None or _pierced(case):
        return None
    return rule(pressure=pressure, radius=edge_radius(case.meridian), **wall(case))


def _pierced(case: Case) -> bool:
    """Tell whether a plate has a hole, which the formulas of a plate have not."""
    return not case.meridian.closed_at_start
