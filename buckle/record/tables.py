"""Comma-separated tables of a run: the equilibrium paths and the linear bifurcations of every wave number."""

import csv
import io
from collections.abc import Iterable, Sequence

from buckle.increasing import PRESSURE
from buckle.results import Outcome
from buckle.units import to_unit

PATH_COLUMNS = (
    "kind",
    PRESSURE.key,  # or axial_force_N, where that increases
    "apex_travel_mm",
    "growth_mm",
    "volume_change_ml",
    "largest_plastic_strain",
    "newton_steps",
    "stand_drop_mm",  # of a domed base, else empty
)
WAVE_COLUMNS = ("kind", "wave_number", PRESSURE.key)

Cell = str | int | float


def path_table(outcomes: Sequence[Outcome]) -> str:
    """Return path.csv: one row a state of every path, in the order of the analyses; '' if there is no path."""
    rows = [row for outcome in outcomes for row in _path_rows(outcome)]
    return _table(_named(PATH_COLUMNS, outcomes), rows)


def wave_table(outcomes: Sequence[Outcome]) -> str:
    """Return by_wave_number.csv: the critical load of every wave number; '' if there is none."""
    rows = [
        (each.kind, event.wave_number, event.increasing.recorded(event.load))
        for each in outcomes
        for event in each.critical
    ]
    return _table(_named(WAVE_COLUMNS, outcomes), rows)


def _named(columns: Sequence[str], outcomes: Sequence[Outcome]) -> Sequence[str]:
    """Return columns with the name of the load that increases, which is the same in all analyses of a case."""
    key = next((outcome.increasing.key for outcome in outcomes), PRESSURE.key)
    return [key if name == PRESSURE.key else name for name in columns]


def _path_rows(outcome: Outcome) -> Iterable[Sequence[Cell]]:
    path = outcome.path
    if path is None:
        return
    for i in range(len(path.load)):
        yield (
            outcome.kind,
            path.increasing.recorded(float(path.load[i])),
            float(path.apex_travel[i]),
            float(path.growth[i]),
            to_unit(float(path.volume_change[i]), "volume", "ml"),
            float(path.plastic_strain[i]),
            int(path.newton_steps[i]),
            "" if path.stand_drop is None else float(path.stand_drop[i]),
        )


def _table(columns: Sequence[str], rows: Sequence[Sequence[Cell]]) -> str:
    if not rows:
        return ""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows([[_cell(value) for value in row] for row in rows])
    return text.getvalue()


def _cell(value: Cell) -> str:
    """Ten digits of a number, more than any of them is worth; 0.0 added so that -0 is written 0."""
    return f"{value + 0.0:.10g}" if isinstance(value, float) else str(value)
