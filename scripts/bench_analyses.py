"""Whole analyses of the demonstration base, as `buckle.run` does them, and waves that grow in an end."""

from functools import partial
from pathlib import Path

from bench_measure import Row, row, timed

from buckle.analysis import run, run_and_follow
from buckle.analysis.setup import Level, run_of
from buckle.analysis.waves import WaveNumerics, seed_of, waves_from
from buckle.case import Case, read_case
from buckle.sensitivity.all import derive

DEMO = Path(__file__).resolve().parents[1] / "cases" / "demo" / "base.toml"
END = DEMO.parents[1] / "benchmarks" / "end" / "e3-gmna.toml"
WAVES = 18
DEVIATION = 0.002  # mm
ONE_PATH = 10_000.0  # ms
BATCHED = ("GMNA", "GNA", "LBA")


def rows(repeats: int) -> list[Row]:
    case = read_case(DEMO)
    low, high = case.analyses.wave_numbers
    works = [
        (f"LBA, n = {low}..{high}", ("LBA",), False),
        (f"GNA n to {high}", ("GNA",), False),
        (f"GMNA n to {high}", ("GMNA",), False),
        ("GMNA and estimate", ("GMNA",), True),
        ("all five kinds, with estimates", tuple(case.analyses.run), True),
    ]
    whole = [row(f"demo: {what}", timed(partial(runs, case, kinds, sure), repeats)) for what, kinds, sure in works]
    batched = [row(f"demo in a batch: {kind}", timed(partial(numbers, case, kind), repeats)) for kind in BATCHED]
    return [*whole, _sensitivities(case, whole[-1]), *batched, grown(min(repeats, 2))]


def _sensitivities(case: Case, verdict: Row) -> Row:
    """All derivatives of the five kinds, from the paths that the verdict has followed, against the verdict itself."""
    found = [run_and_follow(case, kind) for kind in case.analyses.run]
    times = timed(partial(derive, case, found), 3)
    ratio = times.median / verdict.median_ms
    return row("demo: all sensitivities", times, against=verdict.what, ratio=ratio, goal="<= 1.0", met=ratio <= 1.0)


def grown(repeats: int) -> Row:
    """One path of an end with its waves, harmonics 0, n, 2 n and 3 n, from the unloaded shape to beyond its peak."""
    seed = seed_of(run_of(read_case(END), "GMNA").at(Level(1.4, 12)), WAVES)
    times = timed(partial(waves_from, seed, DEVIATION, WaveNumerics()), repeats)
    error = 100.0 * abs(times.answer.peak / waves_from(seed, DEVIATION, WaveNumerics(count=4)).peak - 1.0)
    met = times.median <= ONE_PATH
    return row("end E3: waves grown, one path", times, error_percent=error, against="n to 4n", goal="10 s", met=met)


def numbers(case: Case, kind: str) -> object:
    """What a batch keeps of an analysis."""
    return run(case, kind, estimate_error=False, lower_bracket=False, pictures=False)


def runs(case: Case, kinds: tuple[str, ...], sure: bool) -> list[object]:
    return [run(case, kind, estimate_error=sure) for kind in kinds]
