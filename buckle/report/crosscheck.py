"""How a cross-check is told: the printed table and the machine-readable content."""

from collections.abc import Mapping

from rich.console import Group, RenderableType
from rich.text import Text

from buckle.case import Case
from buckle.cautions import CAUTIONS
from buckle.crosscheck import Crosscheck, Line, Moves, Side
from buckle.marked import plain
from buckle.record.quantities import Record, versions
from buckle.report.console import printed_table
from buckle.report.sheet.tables import Cell, Row, TableData, sized, table
from buckle.units import Units, bar, length_text

WORDS = {
    "limit_pressure": "limit",
    "capacity_pressure": "capacity",
    "capacity_event": "... ends in",
    "axisymmetric_capacity_pressure": "capacity without waves",
    "pressure_at_growth": "pressure at {growth} of growth",
    "bifurcation_pressure": "onset of waves",
    "bifurcation_wave_number": "... waves around",
    "deformation_theory_bifurcation_pressure": "onset by deformation theory",
    "deformation_theory_bifurcation_wave_number": "... waves around",
}


def crosscheck_text(both: Crosscheck, units: Units) -> RenderableType:
    """Return everything printed of a cross-check in a reader's units."""
    remarks = [f"{line.quantity}: {line.remark}." for line in both.lines if line.remark]
    notes = [*left_out(both.case), *(f"{name}: {note}." for name, side in _sides(both) for note in side.notes)]
    parts = [*remarks, *notes, both.expected, *(_discretisation(name, side) for name, side in _sides(both))]
    return Group(
        Text(both.case.title, style="bold"),
        printed_table(_table(both, units)),
        *(Text(units.words(line)) for line in (*parts, *(f"{trouble}." for trouble in both.troubles))),
        Text(units.words(verdict_line(both)), style="bold"),
        Text(" ".join(CAUTIONS), style="dim"),
        "",
    )


def left_out(case: Case) -> tuple[str, ...]:
    """Return what of a case neither shell nor solid has here."""
    perfect = "NOTE: the deviation of the case is left out: shell and solid are both of the perfect shape."
    return () if case.deviation is None else (perfect,)


def verdict_line(both: Crosscheck) -> str:
    """Say in one line whether shell and solid agree."""
    if both.troubles:
        return "VERDICT: none; one of the two could not be followed."
    outside = [_words(line) for line in both.lines if line.met is False]
    if outside:
        return f"VERDICT: shell and solid differ by more than the band: {', '.join(outside)}."
    widest = max((abs(line.difference_percent or 0.0) for line in both.lines if line.met), default=0.0)
    return f"VERDICT: shell and solid agree within the bands; the largest difference is {widest:.2f} %."


def crosscheck_record(both: Crosscheck) -> Record:
    """Return a cross-check as plain data: pressures in bar, in every row the same first six keys."""
    return {
        "title": both.case.title,
        "input_sha256": both.case.input_hash,
        "versions": versions(),
        "analysis": both.kind,
        "met": both.met,
        "rows": [_row(line, both.moves.get(line.key)) for line in both.lines],
        "expected": both.expected,
        "settings": {name: dict(side.settings) for name, side in _sides(both)},
        "notes": [
            *left_out(both.case),
            *(plain(f"{name}: {note}") for name, side in _sides(both) for note in side.notes),
        ],
        "unfinished": list(map(plain, both.troubles)),
        "cautions": list(CAUTIONS),
    }


def _sides(both: Crosscheck) -> tuple[tuple[str, Side], tuple[str, Side]]:
    return ("shell", both.shell), ("solid", both.solid)


def _discretisation(name: str, side: Side) -> str:
    """Elements, layers and what else the numbers depend on, and the time taken."""
    remarks = [f"{key.replace('_', ' ')} {_setting(value)}" for key, value in side.settings.items() if value]
    return f"The {name}: {', '.join(remarks)}; {side.seconds:.1f} s."


def _setting(value: object) -> str:
    if isinstance(value, Mapping):
        return " and ".join(f"{key} {word}" for key, word in value.items())
    return f"{value:g}" if isinstance(value, float) else str(value)


def _row(line: Line, moves: Moves | None) -> Mapping[str, object]:
    pressure = line.is_pressure
    row = {
        "quantity": f"{line.quantity}_bar" if pressure else line.quantity,
        "shell": _in_bar(line.shell, pressure=pressure),
        "solid": _in_bar(line.solid, pressure=pressure),
        "difference_percent": line.difference_percent,
        "band_percent": line.band_percent,
        "met": line.met,
    }
    more = {"growth_mm": line.growth, "remark": plain(line.remark) or None}
    if moves is not None:
        more |= {"shell_moves_percent": moves.shell, "solid_moves_percent": moves.solid}
    return row | {key: value for key, value in more.items() if value is not None}


def _in_bar(value: object, *, pressure: bool) -> object:
    return bar(value) if pressure and isinstance(value, float) else value


def _table(both: Crosscheck, units: Units) -> TableData:
    columns = ["quantity", "shell", "solid", "difference", "band"]
    columns += ["shell moves", "solid moves"] if both.moves else []
    return table(
        f"{both.kind} by the shell and by a solid of revolution",
        [*columns, "verdict"],
        [_cells(both, line, units) for line in both.lines],
        bold=(at for at, line in enumerate(both.lines) if line.met is False),
    )


def _cells(both: Crosscheck, line: Line, units: Units) -> Row:
    moves = both.moves.get(line.key, Moves(None, None))
    return [
        units.words(_words(line)),
        *(_value(value, units, pressure=line.is_pressure) for value in (line.shell, line.solid)),
        _percent(line.difference_percent, "+"),
        _percent(None if line.met is None else line.band_percent),
        *([_percent(moves.shell, "+"), _percent(moves.solid, "+")] if both.moves else []),
        {True: "met", False: "NOT MET", None: ""}[line.met],
    ]


def _percent(value: float | None, sign: str = "") -> Cell:
    return Cell("" if value is None else f"{value:{sign}.2f} %", value)


def _words(line: Line) -> str:
    return WORDS[line.quantity.partition(".")[2]].format(growth="" if line.growth is None else length_text(line.growth))


def _value(value: object, units: Units, *, pressure: bool) -> Cell:
    if pressure and isinstance(value, float):
        return sized(bar(value), "bar", units)
    return Cell("none" if value is None else str(value))
