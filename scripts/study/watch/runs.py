"""An end watched for waves as an analysis does, and every state of its path looked at in every wave number."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import buckle
from buckle.analysis.setup import model_of, run_of
from buckle.analysis.stops import stops_of
from buckle.case import Case, case_from_dict, replace_keys
from buckle.solve.bifurcation import LOCATED
from buckle.solve.stability import gathers, unstable_waves
from buckle.solve.trace import trace_path
from scripts.study.rolling.bodies import feasible

WAVES = range(1, 31)
POOL = 11
STEEL = {"youngs_modulus_GPa": 200.0, "poissons_ratio": 0.3}
THINNER = 0.75  # gauge of an end of steel over that of one of aluminium


@dataclass(frozen=True)
class Row:
    """Pressures in MPa: where waves begin as an analysis tells, and of the first state that is unstable."""

    name: str
    onset: float | None
    state: float | None

    @property
    def missed(self) -> bool:
        """Whether there is no onset, or one beyond that state by more than a bifurcation is placed to."""
        return self.state is not None and (self.onset is None or self.onset > (1.0 + LOCATED) * self.state)


def ends(count: int) -> Iterator[tuple[str, Case]]:
    """Random ends, every other one of thinner steel that yields a quarter lower."""
    watch = {"analyses.wave_numbers": [WAVES[0], WAVES[-1]]}
    for index, x, case in feasible("ends", count, POOL):
        yields = {"material.yield_stress_MPa": 0.75 * x["yield_stress"], "shape.gauge_mm": THINNER * x["gauge"]}
        steel = {f"material.{key}": value for key, value in STEEL.items()} | yields
        yield str(index), case_from_dict(replace_keys(case.tables, watch if index % 2 else watch | steel))


def watched(named: tuple[str, Case]) -> Row:
    name, case = named
    run = run_of(case, "GMNA")
    model = model_of(run)
    trace = trace_path(model, run.settings, stops_of(case, model))
    found = buckle.run(case, "GMNA", estimate_error=False, pictures=False).bifurcation
    unstable = (
        point.load_factor
        for point in trace.rising[1:]
        if unstable_waves(model, point, "flow", WAVES) and not gathers(model, point)
    )
    return Row(name, found and found.pressure, next(unstable, None))


def measured(rows: Sequence[Row]) -> str:
    """The measured part of the page."""
    missed = [row.name for row in rows if row.missed]
    with_waves = sum(row.state is not None for row in rows)
    named = f" ({', '.join(missed)})" if missed else ""
    return f"{len(rows):,} ends: waves in {with_waves}, missed in {len(missed)}{named}."
