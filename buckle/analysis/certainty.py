"""How far a number may be from what ever finer meshes, layers and steps would give."""

from collections.abc import Callable
from dataclasses import dataclass
from math import hypot

from buckle.analysis.setup import KINDS, Level
from buckle.errors import SolveError

COARSER, FINER = "all coarser", "all finer"
UNCONVERGED = 5.0
"""Per cent: where the estimated error is larger, no number is given."""


@dataclass(frozen=True)
class Trust:
    """How the change of a number at one other level becomes an estimate of its error.

    `times` is what theory or measurement makes of the change, `floor` [%] what two levels may agree in by chance. Both
    were chosen on random bodies of all families against runs with four times the mesh density, twice the layers and a
    quarter of the step, so that at most one true error in twenty is larger and one in a hundred twice as large: see
    `docs/errors.md`.
    """

    times: float = 1.0
    floor: float = 0.0


TRUST = {
    "LA": Trust(1.0, 0.05),
    "LBA": Trust(1.0, 0.002),
    "MNA": Trust(1.0, 0.1),
    "GNA": Trust(1.0, 0.01),
    "GMNA": Trust(1.0, 0.1),
}


@dataclass(frozen=True)
class Certainty:
    """Estimate of an error [%] and the changes [%] it was made from, by what was changed."""

    error_percent: float
    changes: dict[str, float]


def coarser(kind: str, level: Level) -> Level:
    """A level that is coarser in mesh, layers and steps at once."""
    assert level.layers is not None
    layers = max(2, (2 * level.layers) // 3 if KINDS[kind].plastic else level.layers - 1)
    return Level(level.mesh / 1.4, layers, 2.0 * level.step)


def finer(kind: str, level: Level) -> Level:
    """A level that is finer in mesh, layers and steps at once."""
    assert level.layers is not None
    layers = (3 * level.layers) // 2 if KINDS[kind].plastic else level.layers + 1
    return Level(1.4 * level.mesh, layers, 0.5 * level.step)


def certainty(kind: str, level: Level, pressure: float, again: Callable[[Level], float | None]) -> Certainty:
    """Estimate the error of a pressure found at a level; `again` gives it at another level, None where it is not met.

    A coarser level is asked first, a finer one if that does not meet it. Raises SolveError if neither does, or where
    the estimate is so large that the number means nothing.
    """
    reasons = []
    for name, other in ((COARSER, coarser(kind, level)), (FINER, finer(kind, level))):
        try:
            found = again(other)
        except SolveError as error:
            reasons.append(f"{name}: {error.reason}")
            continue
        if found is None:
            reasons.append(f"{name}: it is not met")
            continue
        change = 100.0 * (found - pressure) / pressure
        trust = TRUST[kind]
        percent = hypot(trust.times * change, trust.floor)
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
