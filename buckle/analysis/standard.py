"""Modes of LBA as deviations: one without waves, and all near the lowest, for a body that was not measured."""

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

import numpy as np

from buckle.analysis.imperfect import from_seed
from buckle.analysis.modes import along_amplitude, amplitude_of, axisymmetric, linear_model
from buckle.analysis.setup import Extras, Run, model_of
from buckle.analysis.waves import IMPERFECT, linear_seed
from buckle.analysis.worst import Member, OneBody, least_of
from buckle.case.deviates import ModeDeviation, ModesDeviation
from buckle.errors import ShapeError, SolveError
from buckle.results import OffShape, Outcome, Status
from buckle.solve.linear import Below, lower_outside, lowest_bifurcation, modes_below
from buckle.waves.body import FEWEST

BOTH_SENSES = (1.0, -1.0)
STATIONS = 1201  # along the meridian, for a picture of the deviation


def along_outcome(run: Run, deviation: ModeDeviation, one: OneBody) -> Outcome:
    """Run the body that deviates along its meridian in the lowest mode of LBA without waves."""
    assert deviation.amplitude is not None  # the case says it
    return _along(run, deviation.amplitude, 0, one, run.extras)


def modes_outcome(run: Run, deviation: ModesDeviation, one: OneBody) -> Outcome:
    """Run the body with each of the modes of LBA near the lowest by itself, and return what carries least.

    Without waves in both senses; those of n = 1 are left out. One whose path cannot be followed leaves no answer.
    """
    kind, model = IMPERFECT[run.kind], model_of(run)
    low, high = run.case.analyses.wave_numbers
    waves = range(low, high + 1)
    try:
        linear = linear_model(model)
        lowest = lowest_bifurcation(linear, waves).load_factor
        if lowest is None:
            reason = f"LBA has no mode from n = {low} to {high}: there is nothing to start from"
            return Outcome(kind, Status.FAILED, reason, "a wider range of wave numbers")
        bound = (1.0 + 0.01 * deviation.within_percent) * lowest
        near = modes_below(linear, waves, bound, deviation.per_wave_number)
        outside = lower_outside(linear, waves, bound)
        members = list(_members(run, near, deviation, one))
    except SolveError as error:
        return Outcome(kind, Status.FAILED, error.reason, error.remedy)
    if not members:
        reason = "all modes near the lowest are of n = 1, in which waves are not followed"
        return Outcome(kind, Status.FAILED, reason, "another deviation")
    outcome = least_of(members, run.extras, run.case.loads.increasing)
    return replace(outcome, notes=(*outcome.notes, *_notes(near, deviation, outside)))


def _members(run: Run, near: Below, deviation: ModesDeviation, one: OneBody) -> Iterator[Member]:
    """Yield the body with each of the modes in which it can be followed, the lowest first."""
    met: dict[int, int] = {}
    for each in near.modes:
        n, index = each.wave_number, met.get(each.wave_number, 0)
        met[n] = index + 1
        words = f"mode {index + 1} of n = {n}, LBA {run.case.loads.increasing.text(each.load_factor or 0.0)}"
        if n == 0:
            for sense in BOTH_SENSES:
                how = "with" if sense > 0.0 else "against"
                size = sense * along_amplitude(run, deviation.rms_walls, index)
                yield Member(f"{words}, {how} the pressure where it is largest", partial(_along, run, size, index, one))
        elif n >= FEWEST:
            yield Member(words, partial(_in_waves, run, n, index, deviation.rms_walls))


def _along(run: Run, amplitude: float, index: int, one: OneBody, extras: Extras) -> Outcome:
    kind = IMPERFECT[run.kind]
    try:
        body = axisymmetric(run, amplitude, index)
    except SolveError as error:
        return Outcome(kind, Status.FAILED, error.reason, error.remedy)
    except ShapeError as error:
        return Outcome(
            kind,
            Status.FAILED,
            f"the mode with this amplitude leaves no body: {error.fault.problem}",
            error.fault.allowed,
        )
    outcome = one(replace(run.case, meridian=body.meridian), kind, extras)
    s = np.linspace(0.0, run.case.meridian.length, STATIONS)
    off = OffShape(f"mode {index + 1} of LBA", 0, s, body.profile.values(s)[0]) if extras.pictures else None
    return replace(outcome, notes=(body.words, *outcome.notes), off_shape=off)


def _in_waves(run: Run, wave_number: int, index: int, rms_walls: float, extras: Extras) -> Outcome:
    try:
        seed = linear_seed(replace(run, extras=extras), wave_number, index)
        return from_seed(seed, (amplitude_of(seed.model, seed.mode, wave_number, rms_walls),))
    except SolveError as error:
        return Outcome(IMPERFECT[run.kind], Status.FAILED, error.reason, error.remedy, in_waves=True)


def _notes(near: Below, deviation: ModesDeviation, outside: tuple[int, ...]) -> Iterator[str]:
    """Yield what was followed, and what of the modes near the lowest was not."""
    within = f"within {deviation.within_percent:g} % of the lowest"
    size = f"root mean square over the surface {deviation.rms_walls:g} of the wall"
    yield f"each mode of LBA {within} by itself, {size}; modes combined are left out: not conservative"
    if near.left_out:
        more, numbers = sum(near.left_out.values()), ", ".join(map(str, near.left_out))
        beyond = f"beyond the lowest {deviation.per_wave_number} of their wave number"
        yield f"modes of LBA {within} are left out ({more}), {beyond} (n = {numbers}): not conservative"
    tilting = sum(each.wave_number == 1 for each in near.modes)
    if tilting:
        yield f"modes of n = 1 {within} are left out ({tilting}), in which waves are not followed: not conservative"
    if outside:
        numbers = ", ".join(map(str, outside))
        yield f"n = {numbers}, outside the range examined, has modes of LBA {within} too: not conservative"
