"""The tables of a margin sheet as data, the same on a terminal, a page and in Markdown: numbers with their units."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from buckle.increasing import PRESSURE
from buckle.record.sheet.content import Expected, MarginLine, Sheet
from buckle.record.sheet.evidence import Evidence
from buckle.record.sheet.hand import Beside
from buckle.record.sheet.values import load_words, percent, quantity_value, value_text
from buckle.units import NONE, Units

LEAST_CHANGE = 1e-3  # % that is still told
GOVERNS = ", governs"
"""Behind the verdict of the margin that governs."""


@dataclass(frozen=True)
class Cell:
    """What is read, and the number behind it in full where there is one, in a unit ('': it has none, or tells it)."""

    text: str
    value: float | None = None
    unit: str = ""

    @property
    def whole(self) -> str:
        """The text with its unit."""
        return f"{self.text} {self.unit}" if self.unit and self.value is not None else self.text


@dataclass(frozen=True)
class TableData:
    """A table with a title and what must be known to read it; every row has a cell for each column.

    `bold` are the rows that matter most.
    """

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    note: str = ""
    bold: frozenset[int] = frozenset()

    @property
    def caption(self) -> str:
        """Title and note."""
        return f"{self.title}; {self.note}" if self.note else self.title

    def unit(self, column: int) -> str:
        """Return the one unit of all numbers of a column; '' where they have none, or several."""
        found = {row[column].unit for row in self.rows if row[column].value is not None}
        return found.pop() if len(found) == 1 else ""

    def is_numeric(self, column: int) -> bool:
        """Tell whether a column has numbers."""
        return any(row[column].value is not None for row in self.rows)


Row = Sequence[Cell | str]


def table(
    title: str, columns: Sequence[str], rows: Iterable[Row], note: str = "", bold: Iterable[int] = ()
) -> TableData:
    """Return a table of cells or plain texts."""
    made = [tuple(Cell(each) if isinstance(each, str) else each for each in row) for row in rows]
    return TableData(title, tuple(columns), tuple(made), note, frozenset(bold))


def sized(value: float | None, own: str, units: Units, *, at_least: bool = False) -> Cell:
    """Return a number that is given in its own unit ('bar', 'N', 'mm', '') in the unit that it is read in."""
    before = "" if not at_least else "beyond " if own == "N" else "> "
    return Cell(before + units.digits(value, own), None if value is None else units.number(value, own), units.unit(own))


def ratio(value: float | None) -> Cell:
    """Return a ratio in three decimals."""
    return Cell(NONE if value is None else f"{value:.3f}", value)


def share(value: float | None) -> Cell:
    """Return an error estimate."""
    return Cell(NONE if value is None else percent(value), value)


# What is judged -------------------------------------------------------------------------------------------------------


def margin_table(sheet: Sheet, units: Units) -> TableData:
    """All computed margins."""
    sizes = any(line.size_unit is not None for line in sheet.margins)
    columns = ["limit state", "analysis", "event", "capacity", "numerical error", "demand", "reserve factor"]
    factor = max((line.partial_factor for line in sheet.margins), default=1.0)
    over = f"capacity / partial factor {factor:g} / demand"
    note = "; of a movement or a strain the capacity is the pressure at which what is allowed of it is reached"
    return table(
        f"Margins (reserve factor = {over})",
        [*columns, *(["found (allowed)"] if sizes else []), "verdict"],
        [_margin_row(line, units, sizes=sizes) for line in sheet.margins],
        f"1 or more is met{note if sizes else ''}",
        (at for at, line in enumerate(sheet.margins) if line.governs),
    )


def contents_table(sheet: Sheet, units: Units) -> TableData:
    """What the contents make of every condition."""
    given = () if sheet.contents is None else sheet.contents.conditions
    rows: list[Row] = [
        [
            each.name or NONE,
            _measured(each.temperature, "degC"),
            _measured(each.altitude, "m"),
            _measured(each.time, "min"),
            sized(each.pressure, "bar", units),
            sized(each.vapour, "bar", units),
            _measured(each.headspace, "ml"),
            sized(each.by_weiss, "bar", units),
        ]
        for each in given
    ]
    columns = ("condition", "temperature", "altitude", "time", "pressure", "of it vapour", "headspace", "by Weiss")
    caption = "What the contents make, gauge (vapour absolute), by G7-04; steps and sources: buckle demand"
    return table(caption, columns, rows)


def _measured(value: float | None, unit: str) -> Cell:
    return Cell(NONE if value is None else f"{value:.4g}", value, unit)


def _margin_row(line: MarginLine, units: Units, *, sizes: bool) -> Row:
    return [
        line.limit_state,
        line.method,
        line.event or NONE,
        sized(line.capacity, line.unit, units, at_least=line.at_least),
        share(line.numerical_error_percent),
        sized(line.demand, line.unit, units),
        ratio(line.reserve_factor),
        *([_found(line, units)] if sizes else []),
        judged(line),
    ]


def _found(line: MarginLine, units: Units) -> Cell:
    if line.size_unit is None:
        return Cell("")
    allowed = "" if line.allowed is None else f" ({units.text(line.allowed, line.size_unit)})"
    found = None if line.found is None else units.number(line.found, line.size_unit)
    return Cell(f"{units.text(line.found, line.size_unit)}{allowed}", found)


def judged(line: MarginLine) -> str:
    """Return the verdict of a margin, and whether it governs."""
    return f"{line.verdict}{GOVERNS}" if line.governs else line.verdict


def movement_table(sheet: Sheet, units: Units) -> TableData:
    """How far the body moves and is strained at the pressures that matter."""
    stands = any(each.stand_drop is not None for each in sheet.movement)
    sizes = ["growth", "growth that stays", *(["drop of the stand"] if stands else [])]
    rows: list[Row] = [
        [
            each.at,
            sized(each.load, each.unit, units),
            *(sized(size, "mm", units) for size in (each.growth, each.permanent)),
            *([sized(each.stand_drop, "mm", units)] if stands else []),
            *(_strain(strain) for strain in (each.face_strain, each.middle_strain)),
        ]
        for each in sheet.movement
    ]
    kinds = ", ".join(dict.fromkeys(each.analysis for each in sheet.movement))
    note = (
        "growth is the travel of the apex the way pressure pushes it, against the foot of the straight wall at the"
        " outer edge (that edge, where there is no such wall); strain is the largest plastic one, over one thickness"
        " along the meridian"
    )
    columns = (
        "under",
        _of_loads(each.unit for each in sheet.movement),
        *sizes,
        "strain of a face",
        "strain of mid-wall",
    )
    return table(f"How far it moves and is strained ({kinds})", columns, rows, note)


def _strain(value: float | None) -> Cell:
    return Cell(NONE if value is None else f"{value:.2g}", value)


def beside_table(sheet: Sheet, units: Units) -> TableData:
    """Every hand value beside its computed one."""
    columns = ("analysis", "formula", "computed", "by hand", "hand / computed", "why they differ")
    rows = [_beside_row(line, hand, units) for line in sheet.margins for hand in line.hands]
    return table("Hand calculation beside it", columns, rows)


def _beside_row(line: MarginLine, hand: Beside, units: Units) -> Row:
    return [
        f"{hand.beside}, {line.event}",
        hand.name,
        sized(hand.computed, hand.unit, units),
        "out of range" if hand.value is None else sized(hand.value, hand.unit, units),
        ratio(hand.ratio),
        units.words(hand.why),
    ]


def expectation_table(sheet: Sheet, units: Units) -> TableData:
    """What the case expects, beside what was found."""
    columns = ("quantity", "computed", "expected", "deviation", "tolerance", "", "source")
    return table("Expectations of the case file", columns, [_expected(each, units) for each in sheet.expectations])


def _expected(each: Expected, units: Units) -> Row:
    return [
        units.quantity(each.quantity),
        quantity_value(each.quantity, each.found, units),
        quantity_value(each.quantity, each.expected, units),
        share(each.deviation_percent),
        Cell(NONE if each.tolerance_percent is None else f"{each.tolerance_percent:g} %", each.tolerance_percent),
        "met" if each.met else "NOT MET",
        each.source,
    ]


# Step by step ---------------------------------------------------------------------------------------------------------


def ladder_table(sheet: Sheet, units: Units) -> TableData:
    """Pressures step by step."""
    rows: list[Row] = [
        [
            rung.kind,
            rung.words,
            rung.event,
            sized(rung.load, rung.unit, units),
            ratio(rung.of_previous),
            ratio(rung.of_first),
        ]
        for rung in sheet.ladder
    ]
    columns = (
        "analysis",
        "what it is",
        "event",
        _of_loads(rung.unit for rung in sheet.ladder),
        "times the one before",
        "times the first",
    )
    return table("From linear bifurcation to the deciding analysis", columns, rows)


def _of_loads(units: Iterable[str]) -> str:
    """Return what a column of loads is called, all of which are recorded in one unit."""
    return load_words(next(iter(units), PRESSURE.unit))


def curve_table(sheet: Sheet, units: Units) -> TableData | None:
    """Relative slenderness and the capacity curve; None without MNA and LBA."""
    where = sheet.on_curve
    if where is None:
        return None
    rows: list[Row] = [
        ["plastic reference (MNA)", sized(where.plastic, where.unit, units)],
        ["elastic critical (LBA)", sized(where.critical, where.unit, units)],
        ["relative slenderness, square root of MNA / LBA", ratio(where.slenderness)],
        [f"{where.kind} / MNA of this body", ratio(where.reached)],
        ["elastic perfect shell, 1 / slenderness squared", ratio(where.elastic)],
    ]
    if where.curve is not None and where.alpha is not None and where.radius_over_thickness is not None:
        words = (
            f"capacity curve of a clamped spherical dome, R/t = {where.radius_over_thickness:.4g}, best fabrication"
            f" class, alpha = {where.alpha:.3f}, beta = 0.70, eta = 1, squash limit 0.20 (form of EN 1993-1-6:2025"
            " and ECCS 2008, form and constants from memory)"
        )
        rows.append([words, ratio(where.curve)])
    return table("Place on the capacity curve; for orientation, no check against a code", ("quantity", "value"), rows)


# Inputs and evidence --------------------------------------------------------------------------------------------------


def input_table(sheet: Sheet) -> TableData:
    """All inputs under the keys of the case file, each in the unit of its key."""
    rows = [[f"{name}.{each.key}", each.value, each.origin] for name, inputs in sheet.inputs.items() for each in inputs]
    return table("Inputs under the keys of the case file", ("key", "value", "origin"), rows)


def settings_table(sheet: Sheet, units: Units) -> TableData:
    """Discretisation of every analysis."""
    keys = list(dict.fromkeys(key for each in sheet.evidence for key in each.settings))
    rows = [
        [each.kind, units.words(each.ended), *(_setting(each, key, units) for key in keys)] for each in sheet.evidence
    ]
    names = (units.quantity(key).replace("_", " ") for key in keys)
    return table("Analyses and their discretisation", ("analysis", "ended", *names), rows)


def _setting(each: Evidence, key: str, units: Units) -> str:
    value = each.settings.get(key)
    if isinstance(value, float):
        value = units.of_quantity(key, value)
    return NONE if value is None else value_text(value)


def convergence_table(sheet: Sheet) -> TableData:
    """What coarser discretisations change."""
    rows: list[Row] = [
        [each.kind, *_changed(each), share(each.numerical_error_percent)]
        for each in sheet.evidence
        if each.convergence_percent or each.numerical_error_percent is not None
    ]
    caption = (
        "What decides, once more with everything coarser at once (mesh density / 1.4; two thirds of the layers in"
        " plastic, one less in elastic analyses; steps twice as long), or finer by as much where coarser does not meet"
        " it. The numerical error is the root of the squares of that change, times a factor, and of a floor, since two"
        " runs may agree by chance: an estimate, no bound. docs/errors.md of the source counts how often the truth lies"
        " outside"
    )
    return table(caption, ("analysis", "run again with", "change", "numerical error"), rows)


def _changed(each: Evidence) -> tuple[str, Cell]:
    """What was changed and what that changes."""
    for name, value in each.convergence_percent.items():
        change = f"{value:+.2g} %" if abs(value) >= LEAST_CHANGE else f"less than {LEAST_CHANGE:g} %"
        return name, Cell(change, value)
    return NONE, Cell(NONE)


def balance_table(sheet: Sheet) -> TableData:
    """Axial equilibrium of the last state before the limit."""
    rows: list[Row] = [
        [
            each.kind,
            Cell(f"{each.applied_N:.6g}", each.applied_N, "N"),
            Cell(f"{each.reaction_N:.6g}", each.reaction_N, "N"),
            Cell(f"{each.imbalance:.1e}", each.imbalance),
        ]
        for each in sheet.evidence
        if each.applied_N is not None and each.reaction_N is not None
    ]
    caption = "Equilibrium along the axis: force of all loads against reaction of the supports"
    return table(caption, ("analysis", "applied", "reaction", "left over / applied"), rows)
