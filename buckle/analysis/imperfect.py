"""GNIA and GMNIA of a case: what its body carries with small deviations in waves around, waves grown included."""

from collections.abc import Sequence

from buckle.analysis.modes import left_of, linear_model
from buckle.analysis.setup import Run, model_of
from buckle.analysis.stops import stops_of
from buckle.analysis.views import describe
from buckle.analysis.waves import DEVIATIONS, IMPERFECT, Seed, linear_seed, seed_of, waves_from, with_error
from buckle.case.deviates import ModeDeviation
from buckle.errors import SolveError
from buckle.increasing import Increasing
from buckle.landmarks import push
from buckle.results import LIMIT_POINT, Event, OffShape, Outcome, Status, WavePath
from buckle.shell.recovery import sampled
from buckle.solve.linear import lowest_bifurcation
from buckle.solve.stability import Watch, find_bifurcation
from buckle.solve.trace import Stops, Trace, trace_path
from buckle.units import length_text
from buckle.waves.body import FEWEST


def waves_outcome(run: Run, deviation: ModeDeviation) -> Outcome:
    """Follow waves on the path of a run from deviations in their mode, the first waves that begin unless told.

    The deviation is one of an amplitude [mm], else each of the usual ones. Of LBA the first waves are those of its
    lowest mode in the case's range, from n = 2 on.
    """
    amplitudes = DEVIATIONS if deviation.amplitude is None else (deviation.amplitude,)
    if deviation.analysis == "LBA":
        return from_seed(_linear(run, deviation.wave_number), amplitudes)
    model = model_of(run)
    trace = trace_path(model, run.settings, stops_of(run.case, model) if run.plastic else Stops())
    number = deviation.wave_number or _first_waves(run, trace)
    if number is None:
        reason = f"no waves from n = 2 on begin below the highest load of {run.kind}: there is nothing to follow"
        return Outcome(IMPERFECT[run.kind], Status.NO_LIMIT, reason, f"read {run.kind}", in_waves=True)
    return from_seed(seed_of(run, number, trace), amplitudes)


def from_seed(seed: Seed, amplitudes: Sequence[float]) -> Outcome:
    """Follow waves from deviations of amplitudes [mm] in a mode. The limit is the least of their highest loads.

    Where one of them could not be followed to its highest load the analysis has failed: it might have been the least.
    """
    run, model = seed.run, seed.model
    kind = IMPERFECT[run.kind]
    paths = tuple(waves_from(seed, each) for each in amplitudes)
    open_ended = [path for path in paths if path.peak is None]
    if open_ended:
        from_here = length_text(open_ended[0].deviation)
        reason = f"waves from a deviation of {from_here} were not followed to a highest load: {open_ended[0].ended}"
        return Outcome(kind, Status.FAILED, reason, "a shorter step (numerics.step)", waves=paths, in_waves=True)
    first = min(paths, key=lambda path: path.peak or 0.0)
    least = with_error(seed, first) if run.extras.error else first
    paths = tuple(least if path is first else path for path in paths)
    assert least.peak is not None  # as just seen
    return Outcome(
        kind,
        Status.SOLVED,
        limit=Event(LIMIT_POINT, least.peak, error_percent=least.error_percent),
        waves=paths,
        in_waves=True,
        off_shape=_off_shape(seed, least.deviation) if run.extras.pictures else None,
        notes=wave_notes(run.case.loads.increasing, paths),
        convergence=least.convergence,
        reached=max(path.peak or 0.0 for path in paths),
        settings=describe(model, run.level),
    )


def _off_shape(seed: Seed, amplitude: float) -> OffShape:
    """Return a deviation of an amplitude [mm] in a mode."""
    elements, case = sampled(seed.model.shell).elements, seed.run.case
    side = push(case.meridian, case.loads.pressure_side)
    from_path = f"the mode met first on the path of {seed.run.kind}"
    words = from_path if seed.index is None else f"mode {seed.index + 1} of LBA"
    return OffShape(words, seed.wave_number, elements.s, side * amplitude * left_of(elements, seed.mode))


def _linear(run: Run, wave_number: int | None) -> Seed:
    """The lowest mode of LBA of a wave number, else of those of the case's range in which waves are followed."""
    if wave_number is None:
        low, high = run.case.analyses.wave_numbers
        waves = range(max(low, FEWEST), high + 1)
        lowest = lowest_bifurcation(linear_model(model_of(run)), waves) if waves else None
        if lowest is None or lowest.load_factor is None:
            raise SolveError(f"LBA has no mode in the range of wave numbers from {FEWEST} on", "a wider range")
        wave_number = lowest.wave_number
    return linear_seed(run, wave_number)


def _first_waves(run: Run, trace: Trace) -> int | None:
    """The wave number that begins first by flow theory, else by deformation theory; None where neither has any."""
    low, high = run.case.analyses.wave_numbers
    waves = range(max(low, FEWEST), high + 1)
    for theory in ("flow", "deformation") if run.plastic else ("flow",):
        watch = Watch(waves, theory=theory, beside=False, settings=run.settings)
        found = find_bifurcation(trace.model, trace.rising, watch).bifurcation if waves else None
        if found is not None:
            return found.wave_number
    return None


def wave_notes(increasing: Increasing, paths: Sequence[WavePath]) -> tuple[str, ...]:
    """Say what was followed, what came of each deviation, and whether waves saturate."""
    text, small, large = increasing.text, paths[0], paths[-1]
    more = "" if small is large else f", with the smallest of {len(paths)} deviations {text(small.peak or 0.0)}"
    notes = [
        f"highest load with a deviation in n = {large.wave_number} waves, {length_text(large.deviation)} deep:"
        f" {text(large.peak or 0.0)}{more}"
    ]
    known = {path.saturates for path in paths}
    if known == {True}:
        notes.append("the waves saturate: beyond the highest load they grow no further")
    elif False in known:
        notes.append("the waves go on growing where the load falls: the body collapses in waves")
    notes.append("one wave number and its multiples; waves of other numbers beside them are left out")
    return tuple(notes)
