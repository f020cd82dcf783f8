"""Whole analyses of the demonstration base, as `buckle.run` does them."""

from functools import partial
from pathlib import Path

from bench_measure import Row, row, timed

from buckle.analysis import run
from buckle.case import Case, read_case

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
    return whole + [row(f"demo in a batch: {kind}", timed(partial(numbers, case, kind), repeats)) for kind in BATCHED]


def numbers(case: Case, kind: str) -> object:
    """What a batch keeps of an analysis."""
    return run(case, kind, estimate_error=False, lower_bracket=False, pictures=False)


def runs(case: Case, kinds: tuple[str, ...], sure: bool) -> list[object]:
    return [run(case, kind, estimate_error=sure) for kind in kinds]
