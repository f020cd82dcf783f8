"""How capacities, movements, mass and volume change with every dimension, gauge and metal property of a case."""

from collections.abc import Mapping, Sequence

from buckle.case import Case
from buckle.sensitivity.exact import exact
from buckle.sensitivity.sensitivity import Sensitivity

__all__ = ["Sensitivity", "sensitivities"]


def sensitivities(case: Case, kind: str, keys: Sequence[str] | None = None) -> Mapping[str, tuple[Sensitivity, ...]]:
    """Derivatives of what an analysis of a kind tells of a case, by the numbers of its file (all, or those given).

    Quantities are named as in results.json: `GMNA.capacity_pressure_bar`, `growth_mm` and so on. Raises CaseError for
    a key that is no dimension, gauge or metal property of the case, SolveError where the analysis itself fails.
    """
    return exact(case, kind, keys)
