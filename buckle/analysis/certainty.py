"""How far a number may be from what ever finer meshes, layers and steps would give."""

from collections.abc import Callable
from dataclasses import dataclass
from math import hypot

from buckle.analysis.setup import Run
from buckle.errors import SolveError
from buckle.results import BIFURCATION, LIMIT_POINT

FIRST_YIELD = "first yield"
COARSER, FINER = "all coarser", "all finer"
UNCONVERGED = 5.0
"""Per cent: where the estimated error is larger, no number is given."""


@dataclass(frozen=True)
class Trust:
    """How the change of a number at one other level becomes an estimate of its error.

    `times` is what theory or measurement makes of the change, `least` [%] what two levels may agree in by chance. Both
    were chosen on random bodies of all families against runs with four times the mesh density, twice the layers and a
    quarter of the step, so that at most one true error in twenty is larger and one in a hundred twice as large: see
    `docs/errors.md`.
    """

    times: float = 1.0
    least: float = 0.0


TRUST = {
    ("LA", FIRST_YIELD): Trust(1.0, 0.05),
    ("LBA", BIFURCATION): Trust(1.25, 0.002),
    ("MNA", LIMIT_POINT): Trust(1.0, 0.1),
    ("GNA", LIMIT_POINT): Trust(1.0, 0.01),
    ("GNA", BIFURCATION): Trust(1.0, 0.01),
    ("GMNA", BIFURCATION): Trust(1.0, 0.32),
}
"""By kind of analysis and what decides. Where metal flows, waves begin as single points cease to: they scatter most."""
OF_CAPACITIES = Trust(1.0, 0.1)
"""Whatever else ends an elastic-plastic path."""


@dataclass(frozen=True)
class Certainty:
    """Estimate of an error [%] and the changes [%] it was made from, by what was changed."""

    error_percent: float
    changes: dict[str, float]


def estimate(like: str, event: str, change: float) -> float:
    """Return the estimated error [%] of a load of a kind of analysis that changes by so much [%] at another level."""
    trust = TRUST.get((like, event), OF_CAPACITIES)
    return hypot(trust.times * change, trust.least)


def certainty(run: Run, event: str, load: float, again: Callable[[Run], float | None]) -> Certainty:
    """Estimate the error of a load of a run; `again` gives it of another run, None where it is not met.

    A coarser level is asked first, a finer one if that does not meet it. Raises SolveError if neither does, or where
    the estimate is so large that the number means nothing.
    """
    reasons = []
    for name, other in ((COARSER, run.coarser), (FINER, run.finer)):
        try:
            found = again(other)
        except SolveError as error:
            reasons.append(f"{name}: {error.reason}")
            continue
        if found is None:
            reasons.append(f"{name}: it is not met")
            continue
        change = 100.0 * (found - load) / load
        percent = estimate(run.like, event, change)
        if percent > UNCONVERGED:
            raise SolveError(
                f"what decides moves by {abs(change):.0f} % with the discretisation ({name}): it is not converged",
                "shorter steps (numerics.step), then another mesh (numerics.mesh_density)",
            )
        return Certainty(percent, {name: change})
    raise SolveError(
        f"what decides is met with one discretisation only ({'; '.join(reasons)})",
        "shorter steps (numerics.step), then another mesh (numerics.mesh_density)",
    )
