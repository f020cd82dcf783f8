"""The tables of a margin sheet, the same for every format: cells of text, numbers with their full value beside it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from buckle.report.sheet.content import MarginLine, Sheet
from buckle.report.sheet.evidence import Evidence
from buckle.report.sheet.values import percent, size

NONE = "–"
LEAST_CHANGE = 1e-3  # % that is still told


@dataclass(frozen=True)
class Cell:
    """What is read, and the number behind it in full where there is one."""

    text: str
    value: float | None = None


@dataclass(frozen=True)
class Table:
    """A table with a caption; every row has a cell for each column."""

    caption: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


Row = Sequence[Cell | str]


def table(caption: str, columns: Sequence[str], rows: Iterable[Row]) -> Table:
    """Return a table of cells or plain texts."""
    made = [tuple(Cell(each) if isinstance(each, str) else each for each in row) for row in rows]
    return Table(caption, tuple(columns), tuple(made))


def sized(value: float | None, unit: str, *, at_least: bool = False) -> Cell:
    """Return a capacity or demand with its unit."""
    return Cell(("more than " if at_least else "") + size(value, unit), value)


def ratio(value: float | None) -> Cell:
    """Return a ratio in three decimals."""
    return Cell(NONE if value is None else f"{value:.3f}", value)


def share(value: float | None) -> Cell:
    """Return an error estimate."""
    return Cell(NONE if value is None else percent(value), value)


def margin_table(sheet: Sheet) -> Table:
    """All computed margins."""
    columns = ["limit state", "analysis", "event", "capacity", "numerical error", "demand", "reserve factor"]
    sizes = any(line.size_unit is not None for line in sheet.margins)
    rows = [[*_margin_cells(line, sizes=sizes), judged(line)] for line in sheet.margins]
    factor = max((line.partial_factor for line in sheet.margins), default=1.0)
    over = f"capacity / partial factor {factor:g} / demand"
    told = "; of a movement or a strain the capacity is the pressure at which what is allowed of it is reached"
    caption = f"Margins; reserve factor = {over}, 1 or more is met{told if sizes else ''}"
    return table(caption, [*columns, *(["found (allowed)"] if sizes else []), "verdict"], rows)


def movement_table(sheet: Sheet) -> Table:
    """How far the body moves and is strained at the pressures that matter."""
    rows: list[Row] = [
        [
            f"{each.at} ({each.analysis})",
            sized(each.pressure, "bar"),
            *(sized(size, "mm") for size in (each.growth, each.permanent, each.stand_drop)),
            *(sized(strain, "") for strain in (each.face_strain, each.middle_strain)),
        ]
        for each in sheet.movement
    ]
    sizes = ("growth", "growth that stays", "drop of the stand", "strain of a face", "of mid-wall")
    caption = (
        "How far it moves and is strained. Growth is the travel of the apex the way pressure pushes it, against the "
        "foot of the straight wall at the outer edge (that edge, where there is no such wall); strain is the largest "
        "plastic one, over one thickness along the meridian"
    )
    return table(caption, ("under", "pressure", *sizes), rows)


def contents_table(sheet: Sheet) -> Table:
    """What the contents make of every condition."""
    given = () if sheet.contents is None else sheet.contents.conditions
    rows: list[Row] = [
        [
            each.name or NONE,
            _measured(each.temperature, "degC"),
            _measured(each.altitude, "m"),
            _measured(each.time, "min"),
            sized(each.pressure, "bar"),
            sized(each.vapour, "bar"),
            _measured(each.headspace, "ml"),
            sized(each.by_weiss, "bar"),
        ]
        for each in given
    ]
    columns = ("condition", "temperature", "altitude", "time", "pressure", "of it vapour", "headspace", "by Weiss")
    caption = "What the contents make, gauge (vapour absolute), by G7-04; steps and sources: buckle demand"
    return table(caption, columns, rows)


def _measured(value: float | None, unit: str) -> Cell:
    return Cell(NONE if value is None else f"{value:.4g} {unit}", value)


def _found(line: MarginLine) -> Cell:
    if line.size_unit is None:
        return Cell("")
    allowed = "" if line.allowed is None else f" ({size(line.allowed, line.size_unit)})"
    return Cell(f"{size(line.found, line.size_unit)}{allowed}", line.found)


def _margin_cells(line: MarginLine, *, sizes: bool) -> list[Cell | str]:
    return [
        line.limit_state,
        line.method,
        line.event or NONE,
        sized(line.capacity, "bar", at_least=line.at_least),
        share(line.numerical_error_percent),
        sized(line.demand, "bar"),
        ratio(line.reserve_factor),
        *([_found(line)] if sizes else []),
    ]


def judged(line: MarginLine) -> str:
    """Return the verdict of a margin, and whether it governs."""
    return f"{line.verdict}, governs" if line.governs else line.verdict


def beside_table(sheet: Sheet) -> Table:
    """Every hand value beside its computed one."""
    rows = [
        [
            f"{hand.limit_state} ({hand.beside}, {line.event})",
            hand.name,
            sized(hand.computed, hand.unit),
            "out of range" if hand.value is None else sized(hand.value, hand.unit),
            ratio(hand.ratio),
            hand.why,
        ]
        for line in sheet.margins
        for hand in line.hands
    ]
    columns = ("limit state", "hand calculation", "computed", "by hand", "hand / computed", "why they differ")
    return table("Both values, their ratio and what the results say of the difference", columns, rows)


def ladder_table(sheet: Sheet) -> Table:
    """Pressures step by step."""
    rows: list[Row] = [
        [
            rung.kind,
            rung.words,
            rung.event,
            sized(rung.pressure_bar, "bar"),
            ratio(rung.of_previous),
            ratio(rung.of_first),
        ]
        for rung in sheet.ladder
    ]
    columns = ("analysis", "what it is", "event", "pressure", "times the one before", "times the first")
    return table("From linear bifurcation to the deciding analysis", columns, rows)


def place_table(sheet: Sheet) -> Table | None:
    """Relative slenderness and the capacity curve; None without MNA and LBA."""
    where = sheet.place
    if where is None:
        return None
    rows: list[Row] = [
        ["plastic reference (MNA)", sized(where.plastic_bar, "bar")],
        ["elastic critical (LBA)", sized(where.critical_bar, "bar")],
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


def input_table(sheet: Sheet) -> Table:
    """All inputs under the keys of the case file."""
    rows = [[f"{name}.{each.key}", each.value, each.origin] for name, inputs in sheet.inputs.items() for each in inputs]
    return table("Inputs under the keys of the case file", ("key", "value", "origin"), rows)


def settings_table(sheet: Sheet) -> Table:
    """Discretisation of every analysis."""
    keys = list(dict.fromkeys(key for each in sheet.evidence for key in each.settings))
    rows = [[each.kind, each.status, *(each.settings.get(key, NONE) for key in keys)] for each in sheet.evidence]
    return table("Analyses and their discretisation", ("analysis", "ended", *(k.replace("_", " ") for k in keys)), rows)


def convergence_table(sheet: Sheet) -> Table:
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
        told = f"{value:+.2g} %" if abs(value) >= LEAST_CHANGE else f"less than {LEAST_CHANGE:g} %"
        return name, Cell(told, value)
    return NONE, Cell(NONE)


def balance_table(sheet: Sheet) -> Table:
    """Axial equilibrium of the last state before the limit."""
    rows: list[Row] = [
        [
            each.kind,
            Cell(f"{each.applied_N:.6g} N", each.applied_N),
            Cell(f"{each.reaction_N:.6g} N", each.reaction_N),
            Cell(f"{each.imbalance:.1e}", each.imbalance),
        ]
        for each in sheet.evidence
        if each.applied_N is not None and each.reaction_N is not None
    ]
    caption = "Equilibrium along the axis: force of pressure and dead load against reaction of the supports"
    return table(caption, ("analysis", "applied", "reaction", "left over / applied"), rows)


def expectation_table(sheet: Sheet) -> Table:
    """What the case expects, beside what was found."""
    rows: list[Row] = [
        [
            each.quantity,
            each.found,
            each.expected,
            share(each.deviation_percent),
            Cell(NONE if each.tolerance_percent is None else f"{each.tolerance_percent:g} %", each.tolerance_percent),
            "met" if each.met else "not met",
            each.source,
        ]
        for each in sheet.expectations
    ]
    columns = ("quantity", "computed", "expected", "deviation", "tolerance", "", "source")
    return table("Expectations of the case file", columns, rows)
