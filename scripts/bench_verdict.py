"""The elastic-plastic verdict of a domed base against the band factorisations it cannot do without."""

import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from math import radians
from statistics import median

from bench_measure import Row, row, timed

from buckle.analysis.setup import PLASTIC_LAYERS
from buckle.bands import lapack as banded
from buckle.material import Material, voce_hardening
from buckle.mesh import Grading
from buckle.shapes import domed_base
from buckle.shell.model import Fineness, Load, build_model
from buckle.shell.strain import LOGARITHMIC
from buckle.solve.path import ArcLength
from buckle.solve.stability import Watch, find_bifurcation
from buckle.solve.trace import trace_path

METAL = Material(69000.0, 0.33, 2720.0, voce_hardening(258.0, 37.0, 40.0))
BASE = {  # an unreformed base of a 66 mm body, 0.27 mm gauge
    "stand_diameter": 48.26,
    "nose_radius": 1.66,
    "inner_leg_angle": radians(6),
    "dome_corner_radius": 2.3,
    "dome_radius": 45.7,
    "dome_depth": 10.4,
    "outer_leg_angle": radians(28),
    "outer_leg_length": 1.2,
    "chime_radius": 3.0,
    "chime_angle": radians(58),
    "heel_radius": 5.0,
    "wall_radius": 33.0,
    "wall_height": 25.0,
    "gauge": 0.27,
    "wall_gauge": 0.105,
}
WAVES = range(1, 31)


@dataclass
class Clock:
    """Calls of a function and the time spent in it [s]."""

    calls: int = 0
    seconds: float = 0.0

    def around(self, work):
        def clocked(*args, **keys):
            start = time.perf_counter()
            out = work(*args, **keys)
            self.seconds += time.perf_counter() - start
            self.calls += 1
            return out

        return clocked


def verdict(mesh: float = 1.0, layers: int = PLASTIC_LAYERS, step: float = 1.0, *, everything: bool = False) -> float:
    """Shape, mesh, path to its limit, n = 1 to 30 watched on it: the governing pressure [MPa].

    `everything` watches every state in every wave number, instead of in turns.
    """
    meridian = domed_base(**BASE)
    load = Load(side=1 if meridian.inside == "left" else -1)
    fineness = Fineness(Grading().refined(mesh), layers)
    model = build_model(meridian, METAL, (None, "clamped"), load, fineness, LOGARITHMIC)
    settings = ArcLength().scaled(step)
    trace = trace_path(model, settings)
    watch = Watch(WAVES, settings=settings)
    watch = replace(watch, spacing=0.0, turns=1) if everything else watch
    found = find_bifurcation(model, trace.rising, watch).bifurcation
    return (found or trace.limit).load_factor


def in_factorisations(work: Callable[[], float]) -> tuple[Clock, Clock]:
    """Clocks of LAPACK's band LU and band Cholesky during one verdict."""
    lu, cholesky = Clock(), Clock()
    kept = banded.dgbtrf, banded.dpbtrf
    banded.dgbtrf, banded.dpbtrf = lu.around(kept[0]), cholesky.around(kept[1])
    try:
        work()
    finally:
        banded.dgbtrf, banded.dpbtrf = kept
    return lu, cholesky


def rows(repeats: int) -> list[Row]:
    finest = verdict(mesh=2.0, layers=24, step=0.25)
    works = {"verdict of a base": verdict, "... all watched in every n": partial(verdict, everything=True)}
    return [_row(what, work, repeats, finest) for what, work in works.items()]


def _row(what: str, work: Callable[[], float], repeats: int, finest: float) -> Row:
    times = timed(work, repeats)
    clocks = [in_factorisations(work) for _ in range(repeats)]
    factorising = 1e3 * median(lu.seconds + cholesky.seconds for lu, cholesky in clocks)
    lu, cholesky = clocks[-1]
    error = 100.0 * abs(times.answer / finest - 1.0)
    ratio = times.median / factorising
    return row(
        what,
        times,
        error_percent=error,
        against=f"its {lu.calls} LU + {cholesky.calls} Cholesky",
        ratio=ratio,
        goal="<= 2.5 at 0.3 %",
        met=ratio <= 2.5 and error <= 0.3,
        note=f"{10.0 * times.answer:.4f} bar, {factorising:.1f} ms factorising; much finer: {10.0 * finest:.4f} bar",
    )
