"""What comes after waves begin: the path of a body with a small deviation in waves around (GNIA, GMNIA)."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from buckle.analysis.modes import linear_model
from buckle.analysis.movement import movement_of
from buckle.analysis.setup import Run, model_of, run_of
from buckle.analysis.stops import ceilings
from buckle.bands.lapack import nearest_zero
from buckle.case import Case
from buckle.case.models import PERFECT
from buckle.errors import PathEndError, SolveError
from buckle.results import GROWTH_CEILING, STRAIN_CEILING, WavePath, WaveShape
from buckle.shell.model import Model
from buckle.shell.operators import wave_operator
from buckle.shell.recovery import displacements, sampled
from buckle.solve.linear import linear_mode
from buckle.solve.stability import Watch, find_bifurcation
from buckle.solve.trace import Trace, trace_path
from buckle.waves.body import AROUND, Waved, waved
from buckle.waves.path import WavedPoint, WaveSteps, follow_waved
from buckle.waves.recovery import mode_size, moved_around, wave_size

Array = NDArray[np.float64]
DEVIATIONS = (0.0005, 0.002, 0.01, 0.03)
"""[mm] Largest movements of the mid-surface in the deviations that tell how a body takes waves."""
VISIBLE = 0.1
"""Of the wall where the mode moves most: waves that a test would show."""
FALLEN = 0.01
"""Of the highest load: how far it must have fallen for the waves there to tell whether they have stopped growing."""
IMPERFECT = {perfect: kind for kind, perfect in PERFECT.items()}


@dataclass(frozen=True)
class WaveNumerics:
    """How finely waves are followed: harmonics of the wave number, points around half a wave, steps."""

    count: int = 3
    angles: int = AROUND
    steps: WaveSteps = field(default_factory=WaveSteps)


@dataclass(frozen=True, eq=False)
class Seed:
    """An axisymmetric path, and a mode of a wave number: the one that is met first on it, or one of LBA."""

    run: Run
    model: Model
    wave_number: int
    onset: float | None  # load at which that mode is met, by flow theory; None where it is not met, or of LBA
    mode: Array  # (size,) [mm, rad] with a largest movement of the mid-surface of 1 mm
    at_point: int  # where that is
    index: int | None = None  # of a mode of LBA: how many of its wave number are lower


def follow_waves(
    case: Case | Run, wave_number: int, amplitude: float, kind: str = "GMNA", numerics: WaveNumerics | None = None
) -> WavePath:
    """Follow a body that deviates from its shape by an amplitude [mm] in the mode of a wave number that is met first.

    The amplitude is the largest movement of the mid-surface in the deviation, which is free of stress. One family of
    waves is followed: what varies as cos(k n theta). Raises SolveError where there is no such mode or path.
    """
    run = case if isinstance(case, Run) else run_of(case, kind)
    return waves_from(seed_of(run, wave_number), amplitude, numerics)


def seed_of(run: Run, wave_number: int, trace: Trace | None = None) -> Seed:
    """Find the mode of a wave number that is met first on the axisymmetric path of a run.

    By flow theory; where that meets none by deformation theory, and where neither does the one nearest to it at the
    highest load.
    """
    if run.kind not in IMPERFECT:
        raise SolveError(f"{run.kind} has no path on which waves grow", "GNA or GMNA")
    trace = trace or trace_path(model_of(run), run.settings)
    model, point = trace.model, trace.highest
    onset = None
    for theory in ("flow", "deformation"):
        watch = Watch([wave_number], theory=theory, beside=False, settings=run.settings)
        found = find_bifurcation(model, trace.rising, watch).bifurcation
        if found is not None:
            mode, onset = found.mode, found.load_factor if theory == "flow" else None
            break
    else:
        operator = wave_operator(model, point.at, point.load_factor, "deformation", point.tangent.x)
        mode = nearest_zero(operator.at(wave_number))[1]
    size, at_point = mode_size(model.shell.elements, mode)
    return Seed(run, model, wave_number, onset, mode / size, at_point)


def linear_seed(run: Run, wave_number: int, index: int = 0) -> Seed:
    """Take a mode of LBA of a wave number, the lowest unless another is asked for by how many are lower.

    It is that of the very elements of the path, of metal that never yields and moves little. Raises SolveError where
    there is none.
    """
    model = model_of(run)
    mode = linear_mode(linear_model(model), wave_number, index).mode
    size, at_point = mode_size(model.shell.elements, mode)
    return Seed(run, model, wave_number, None, mode / size, at_point, index)


def _again(seed: Seed, run: Run) -> Seed:
    """Return the same mode of another level."""
    return seed_of(run, seed.wave_number) if seed.index is None else linear_seed(run, seed.wave_number, seed.index)


def waves_from(seed: Seed, amplitude: float, numerics: WaveNumerics | None = None) -> WavePath:
    """Follow the path of a body with a deviation of an amplitude [mm] in a mode."""
    numerics = numerics or WaveNumerics()
    body = waved(seed.model, seed.wave_number, amplitude * seed.mode, numerics.count, numerics.angles)
    return path_of(seed, body, amplitude, numerics.steps)


def path_of(seed: Seed, body: Waved, amplitude: float, steps: WaveSteps) -> WavePath:
    """Follow a waved body until its load falls; `seed` and amplitude [mm] say what its deviation is."""
    exceeded = _exceeded(seed.run.case, body)
    points: list[WavedPoint] = []
    ended, stopped = "", ""
    try:
        for point in follow_waved(body, steps):
            points.append(point)
            stopped = exceeded(point)
            if stopped:
                break
    except PathEndError as error:
        ended = error.reason
    except SolveError as error:
        ended = f"{error.reason}; try {error.remedy}"
    return _outcome_of(seed, body, amplitude, points, (stopped, ended))


def with_error(seed: Seed, path: WavePath, numerics: WaveNumerics | None = None) -> WavePath:
    """Add what the highest load may be off by: how it moves with harmonics, points around, steps, mesh and layers.

    The changes are added up; those of harmonics and points are towards finer ones.
    """
    numerics = numerics or WaveNumerics()
    if path.peak is None:
        return path
    coarser = _again(seed, seed.run.coarser)
    again = {
        "harmonics": (seed, replace(numerics, count=numerics.count + 1)),
        "points around": (seed, replace(numerics, angles=(3 * numerics.angles) // 2)),
        "steps": (seed, replace(numerics, steps=numerics.steps.scaled(2.0))),
        "mesh and layers": (coarser, numerics),
    }
    peaks = {name: waves_from(own, path.deviation, each).peak for name, (own, each) in again.items()}
    changes = {name: 100.0 * (peak / path.peak - 1.0) for name, peak in peaks.items() if peak is not None}
    if len(changes) < len(again):
        return replace(path, convergence=changes)
    return replace(path, convergence=changes, error_percent=sum(abs(change) for change in changes.values()))


def _outcome_of(
    seed: Seed, body: Waved, amplitude: float, points: Sequence[WavedPoint], ends: tuple[str, str]
) -> WavePath:
    """What a path tells."""
    elements = seed.model.shell.elements
    load = np.array([point.load_factor for point in points])
    waves = np.array([wave_size(elements, body, point.at.x) for point in points])
    strain = np.array([np.max(point.at.layers.equivalent) for point in points])
    top = int(np.argmax(load))
    fallen = top < len(points) - 1
    peak = _vertex(points, load, top) if fallen else float(load[-1]) if ends[0] else None
    wall = float(elements.station.thickness[seed.at_point])
    shown = None if peak is None else _first_at(waves[: top + 1], load, VISIBLE * wall)
    complete = peak is not None and load[-1] < (1.0 - FALLEN) * peak
    return WavePath(
        kind=IMPERFECT[seed.run.kind],
        wave_number=seed.wave_number,
        deviation=amplitude,
        load=load,
        waves=waves,
        strain=strain,
        peak=peak,
        peak_waves=None if peak is None else float(waves[top]),
        visible=shown,
        growth_beyond=float(waves[-1] / waves[top]) if complete else None,
        shapes=_shapes(seed, body, points, top),
        ended=ends[0] or ends[1],
    )


def _vertex(points: Sequence[WavedPoint], load: Array, top: int) -> float:
    """Highest load by the parabola through the highest state and its neighbours."""
    if top == 0:
        return float(load[0])
    left, right = points[top].step, points[top + 1].step
    below, above = (load[top] - load[top - 1]) / left, (load[top] - load[top + 1]) / right
    slope = (below * right - above * left) / (left + right)
    return float(load[top] + 0.25 * slope * slope * (left + right) / (below + above))


def _first_at(values: Array, load: Array, level: float) -> float | None:
    """Load at which a value that grows comes to a level, by straight lines between states; None where it does not."""
    beyond = int(np.argmax(values >= level))
    if values[beyond] < level:
        return None
    share = (level - values[beyond - 1]) / (values[beyond] - values[beyond - 1])
    return float(load[beyond - 1] + share * (load[beyond] - load[beyond - 1]))


def _exceeded(case: Case, body: Waved) -> Callable[[WavedPoint], str]:
    """Return what tells which stop a state is beyond: a movement, in the mean around, or plastic strain."""
    movement, own = movement_of(body.model), body.harmonics.own(0)
    most = ceilings(case, movement.ring)

    def exceeded(point: WavedPoint) -> str:
        if not body.model.shell.wall.metal.flows:
            return ""
        x = point.at.x[own]
        moves = ((movement.growth, most.growth), (movement.ring_travel, most.ring))
        if any(allowed is not None and read(x) > allowed for read, allowed in moves):
            return GROWTH_CEILING
        return STRAIN_CEILING if np.max(point.at.layers.equivalent) > most.strain else ""

    return exceeded


def _shapes(seed: Seed, body: Waved, points: Sequence[WavedPoint], top: int) -> tuple[WaveShape, ...]:
    """Shapes at the state nearest the onset by flow theory, at the highest load and where the path ends."""
    chosen = {"highest load": points[top], "beyond": points[-1]}
    onset = seed.onset
    if onset is not None:
        near = min(points[: top + 1], key=lambda point: abs(point.load_factor - onset))
        chosen = {"onset of waves": near, **chosen}
    return tuple(_shape(seed, body, point, name) for name, point in chosen.items())


def _shape(seed: Seed, body: Waved, point: WavedPoint, name: str) -> WaveShape:
    elements = sampled(seed.model.shell).elements
    mean = displacements(elements, point.at.x[body.harmonics.own(0)])
    u, v, w = moved_around(elements, body, point.at.x)
    r, z = elements.station.r + mean.u, elements.station.z + mean.w
    return WaveShape(name, seed.wave_number, point.load_factor, elements.s, r, z, u, v, w)
