"""Derivatives of the load at which waves begin on a path: the second variation in their mode stays nil.

At a bifurcation y . K_n y = 0 for the mode y. As a number changes, the state keeps its distance along the path and then
moves on until that holds again; the mode's own change is of second order. Where metal flows K_n depends on which points
load, so that the state is found anew on both sides, over a small but finite step.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from buckle.bands.lapack import factor, nearest_zero
from buckle.errors import SolveError
from buckle.sensitivity.columns import Columns
from buckle.sensitivity.march import Link, StateRates, old_rates_of
from buckle.sensitivity.slopes import TOGETHER, Slopes, averaged, lowest
from buckle.shell.model import Model
from buckle.shell.operators import WaveEnergy, evaluate, tangent, wave_energies, wave_operator
from buckle.shell.plasticity import PlasticState
from buckle.shell.points import YIELDING
from buckle.shell.rates import HistoryRates
from buckle.solve.bifurcation import Bifurcation

Array = NDArray[np.float64]
BESIDE = 3  # wave numbers on either side of the first that may begin together with it
OF_LOAD = 5e-5  # by which the state is moved along the path
OF_STEP = 0.2  # of the last step, by which it is moved at most
NO_BODY = "there is no such body on one side, or no state of it"
JUMP = "waves begin where metal ceases to flow: the load at which they do has no derivative there"


@dataclass(frozen=True, eq=False)
class Onset:
    """Waves that begin, those that may begin with them, and what the derivatives of their state are."""

    found: Bifurcation
    theory: str
    columns: Columns
    link: Link
    rates: StateRates
    old_rates: HistoryRates
    waves: tuple[tuple[int, Array], ...]  # wave numbers and modes

    @property
    def modes(self) -> list[Array]:
        """Modes alone."""
        return [mode for _, mode in self.waves]

    def energies(self, model: Model, column: int, step: float) -> Array | None:
        """Second variations in the modes of the state moved by a step of a column; None where there is none."""
        x, load = self.link.at.x + step * self.rates.x[:, column], self.link.load + step * self.rates.load[column]
        try:
            at = evaluate(model, x, self._history(model, column, step))
        except SolveError:
            return None
        onward = None
        if at.history is not None:
            lu = factor(tangent(model, at, load))
            if lu is None:
                return None
            rise, before = lu.solve(model.supports.freed(at.increasing)), self.found.point.tangent
            onward = rise * np.sign(float(rise @ before.x))
        return self._at(wave_energies(model, at, load, self.modes, self.theory, onward))

    def _at(self, energies: Sequence[WaveEnergy]) -> Array:
        return np.array([energy.at(n) for (n, _), energy in zip(self.waves, energies, strict=True)])

    def _history(self, model: Model, column: int, step: float) -> PlasticState | None:
        """History that the last step starts from, moved to first order; stress at yield stays there."""
        old, law = self.link.old, model.shell.wall.material.hardening
        if old is None or law is None:
            return None
        by = self.old_rates
        equivalent = np.maximum(old.equivalent + step * by.equivalent[..., column], 0.0)
        stress = old.stress + step * by.stress[..., column]
        before = self.link.model.shell.wall.material.hardening
        assert before is not None
        yields = np.hypot(*old.stress) > YIELDING * before.stress_and_slope(old.equivalent)[0]
        size = np.maximum(np.hypot(*stress), 1e-300)
        stress = np.where(yields, stress * law.stress_and_slope(equivalent)[0] / size, stress)
        strain = old.strain + step * by.strain[..., column]
        fresh = np.maximum(old.fresh + step * by.fresh[..., column], 0.0)
        position = old.position + step * by.position[..., column]
        return PlasticState(strain, equivalent, stress, position, fresh)


def onset_slopes(
    found: Bifurcation, watch: tuple[str, range], columns: Columns, step: tuple[Link, StateRates, StateRates]
) -> Slopes:
    """Derivatives of the load of a bifurcation by a theory, of those of a range of wave numbers.

    `step` is the one that found it, with the rates at both its ends.
    """
    theory, examined = watch
    link, before, rates = step
    onset = Onset(
        found, theory, columns, link, rates, old_rates_of(columns, link, before), ((found.wave_number, found.mode),)
    )
    onset = replace(onset, waves=(*onset.waves, *_beside(onset, examined)))
    size = min(OF_LOAD * link.load / max(abs(rates.load[-1]), 1e-300), OF_STEP * link.step)
    sides = [onset.energies(columns.model, -1, sign * size) for sign in (-1.0, 1.0)]
    middle = onset.energies(columns.model, -1, 0.0)
    if middle is None or sides[0] is None or sides[1] is None:
        return _none(found, columns, "the states beside it could not be found")
    onward = (sides[1] - sides[0]) / (2.0 * size)
    left, right = _by_numbers(onset, middle)
    events: dict[str, Slopes] = {}
    for at, (n, _) in enumerate(onset.waves):
        per = rates.load[-1] / onward[at]
        load = link.load if at == 0 else link.load - middle[at] * per
        if onward[at] < 0.0 and load <= (1.0 + TOGETHER) * link.load:
            own = Slopes(max(load, link.load), rates.load[:-1] - per * left[at], rates.load[:-1] - per * right[at])
            events[f"waves n = {n}"] = averaged(own) if link.old is None else own  # metal that flows has kinks
    if f"waves n = {found.wave_number}" not in events:
        return _none(found, columns, JUMP)
    return lowest(events) or _none(found, columns, JUMP)


def _by_numbers(onset: Onset, middle: Array) -> tuple[Array, Array]:
    """Derivatives of the second variations by all numbers from below and above, (waves, numbers) each."""
    pairs = []
    for column, variant in enumerate(onset.columns.variants):
        if variant.idle:
            pairs.append((np.zeros_like(middle), np.zeros_like(middle)))
            continue
        step = variant.neighbours.step
        below = None if variant.below is None else onset.energies(variant.below.model, column, -step)
        above = None if variant.above is None else onset.energies(variant.above.model, column, step)
        nothing = np.full_like(middle, np.nan)
        pairs.append(
            (
                nothing if below is None else (middle - below) / step,
                nothing if above is None else (above - middle) / step,
            )
        )
    left, right = np.array(pairs).transpose(1, 2, 0)
    return left, right


def _beside(onset: Onset, examined: range) -> list[tuple[int, Array]]:
    """Wave numbers near the first, of those examined, and their modes."""
    model, point, n = onset.columns.model, onset.found.point, onset.found.wave_number
    operator = wave_operator(model, point.at, point.load_factor, onset.theory, point.tangent.x)
    near = range(n - BESIDE, n + BESIDE + 1) if n else ()
    others = [each for each in near if each > 0 and each != n and each in examined]
    return [(each, nearest_zero(operator.at(each), None, 1e-3)[1]) for each in others]


def _none(found: Bifurcation, columns: Columns, reason: str) -> Slopes:
    nothing = np.full(len(columns.variants), np.nan)
    return Slopes(found.load_factor, nothing, nothing, reason, dict.fromkeys(range(len(nothing)), reason))
