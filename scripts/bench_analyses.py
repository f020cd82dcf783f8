"""Whole analyses of the demonstration base, as `buckle.run` does them."""

from functools import partial
from pathlib import Path

from bench_measure import Row, row, timed

from buckle.analysis import run, run_and_follow
from buckle.case import Case, read_case
from buckle.sensitivity.all import derive

DEMO = Path(__file__).resolve().parents[1] / "cases" / "demo" / "base.toml"
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
    return [*whole, _sensitivities(case, whole[-1]), *_in_a_batch(case, repeats)]


def _in_a_batch(case: Case, repeats: int) -> list[Row]:
    return [row(f"demo in a batch: {kind}", timed(partial(numbers, case, kind), repeats)) for kind in BATCHED]


def _sensitivities(case: Case, verdict: Row) -> Row:
    """All derivatives of the five kinds, from the paths that the verdict has followed, against the verdict itself."""
    found = [run_and_follow(case, kind) for kind in case.analyses.run]
    times = timed(partial(derive, case, found), 3)
    ratio = times.median / verdict.median_ms
    return row("demo: all sensitivities", times, against=verdict.what, ratio=ratio, goal="<= 1.0", met=ratio <= 1.0)


def numbers(case: Case, kind: str) -> object:
    """What a batch keeps of an analysis."""
    return run(case, kind, estimate_error=False, lower_bracket=False, pictures=False)


def runs(case: Case, kinds: tuple[str, ...], sure: bool) -> list[object]:
    return [run(case, kind, estimate_error=sure) for kind in kinds]
