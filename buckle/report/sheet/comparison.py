"""What changed between two records of runs: inputs, versions, and every margin, computed and by hand."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from buckle.errors import clipped
from buckle.record.sheet.content import Sheet
from buckle.record.sheet.values import load_text
from buckle.report.sheet.tables import Cell, Row, TableData, judged, ratio, sized, table
from buckle.units import NONE, Units

ABSENT = "not given"
HEADED = 60  # characters of a value in a heading; the table of inputs has it in full
LIKE = {
    "shape.family": "FAMILY",
    "material": "MATERIAL",
    "supports": "SUPPORTS",
    "loads": "LOADS",
    "contents": "CONTENTS",
    "deviation": "DEVIATION FROM THE PERFECT SHAPE",
    "analyses": "ANALYSES",
    "requirements": "REQUIREMENTS",
    "numerics": "NUMERICS",
}
"""What two revisions of a case must share to be compared by their dimensions alone, and what they are headed as."""


@dataclass(frozen=True)
class Side:
    """One of two revisions, with the name it goes by."""

    name: str
    sheet: Sheet


@dataclass(frozen=True)
class Change:
    """An input or a version that is not the same on both sides."""

    key: str
    before: str
    after: str


@dataclass(frozen=True)
class Moved:
    """A size that both sides or one of them have; in `unit`."""

    what: str
    method: str
    unit: str
    before: float | None
    after: float | None
    reserve_before: float | None = None
    reserve_after: float | None = None
    verdict_before: str = ""
    verdict_after: str = ""
    percent: float | None = None  # of what was before


@dataclass(frozen=True)
class RunComparison:
    """Everything that changed from one revision to the next, in the units of the records; openings are marked."""

    opening: str
    unlike: tuple[str, ...]  # what else than the shape differs, so that margins do not differ by the shape alone
    names: tuple[str, str]
    hashes: tuple[str, str]
    openings: tuple[str, str]
    inputs: tuple[Change, ...]
    versions: tuple[Change, ...]
    margins: tuple[Moved, ...]
    body: tuple[Moved, ...]


def compare_runs(before: Side, after: Side) -> RunComparison:
    """Return what changed from the first to the second."""
    old, new = before.sheet, after.sheet
    inputs = tuple(_changes(_inputs(old), _inputs(new)))
    versions = tuple(_changes(old.head.versions, new.head.versions))
    unlike = tuple(_unlike(inputs, versions))
    return RunComparison(
        " ".join((*unlike, _opening(before, after, len(inputs)))),
        unlike,
        (before.name, after.name),
        (old.head.input_sha256, new.head.input_sha256),
        (old.opening, new.opening),
        inputs,
        versions,
        tuple(_moved(old, new)),
        tuple(_body(old, new)),
    )


def _unlike(inputs: Sequence[Change], versions: Sequence[Change]) -> Iterator[str]:
    """Yield a heading for each table of the case but the shape's that differs, and for versions."""
    tables: dict[str, list[Change]] = {}
    for each in inputs:
        name = each.key if each.key in LIKE else each.key.partition(".")[0]
        if name in LIKE:
            tables.setdefault(LIKE[name], []).append(each)
    if versions:
        tables["VERSIONS"] = list(versions)
    for name, changed in tables.items():
        steps = (f"{each.key} {clipped(each.before, HEADED)} → {clipped(each.after, HEADED)}" for each in changed)
        yield f"DIFFERENT {name}: {'; '.join(steps)}."


def _opening(before: Side, after: Side, count: int) -> str:
    """Say first how the governing margin moved, or why that cannot be told."""
    changed = "no input" if not count else "1 input" if count == 1 else f"{count} inputs"
    opening = f"{before.name} to {after.name}: {changed} changed; "
    old, new = before.sheet.verdict, after.sheet.verdict
    if old is None or new is None:
        without = " and ".join(side.name for side in (before, after) if side.sheet.verdict is None)
        return f"{opening}NO VERDICT of {without}, so that the governing margins cannot be compared."
    was, now = old.governing, new.governing
    words = [f"governing {load_text(was.capacity, was.unit)} becomes {load_text(now.capacity, now.unit)}"]
    if was.reserve_factor is not None and now.reserve_factor is not None:
        words.append(f"reserve factor {was.reserve_factor:.3f} becomes {now.reserve_factor:.3f}")
    if was.limit_state != now.limit_state:
        words.append(f"{was.limit_state} gives way to {now.limit_state}")
    words.append(f"verdict {old.word}" if old.word == new.word else f"verdict {old.word} becomes {new.word}")
    return f"{opening}{', '.join(words)}."


def _inputs(sheet: Sheet) -> Mapping[str, str]:
    return {f"{name}.{each.key}": each.value for name, inputs in sheet.inputs.items() for each in inputs}


def _changes(old: Mapping[str, str], new: Mapping[str, str]) -> Iterator[Change]:
    for key in dict.fromkeys((*old, *new)):
        before, after = old.get(key, ABSENT), new.get(key, ABSENT)
        if before != after:
            yield Change(key, before, after)


def _moved(old: Sheet, new: Sheet) -> Iterator[Moved]:
    """Yield every margin in the order of the new sheet, those that are gone at the end."""
    olds, news = _sizes(old), _sizes(new)
    for key in dict.fromkeys((*news, *olds)):
        was, now = olds.get(key), news.get(key)
        either = now or was
        assert either is not None
        yield Moved(
            what=either.what,
            method=either.method,
            unit=either.unit,
            before=None if was is None else was.after,
            after=None if now is None else now.after,
            reserve_before=None if was is None else was.reserve_after,
            reserve_after=None if now is None else now.reserve_after,
            verdict_before="" if was is None else was.verdict_after,
            verdict_after="" if now is None else now.verdict_after,
            percent=None if was is None or now is None else _percent(was.after, now.after),
        )


def _sizes(sheet: Sheet) -> dict[tuple[str, str], Moved]:
    """Return computed and hand sizes of a sheet by limit state and method."""
    found = {}
    for line in sheet.margins:
        found[line.limit_state, line.method] = Moved(
            line.limit_state,
            line.method,
            line.unit,
            None,
            line.capacity,
            reserve_after=line.reserve_factor,
            verdict_after=judged(line),
        )
        for hand in line.hands:
            method = f"{hand.name} beside {hand.beside}"
            found[line.limit_state, method] = Moved(line.limit_state, method, hand.unit, None, hand.value)
    return found


def _body(old: Sheet, new: Sheet) -> Iterator[Moved]:
    for key in dict.fromkeys((*old.body, *new.body)):
        name, _, unit = key.rpartition("_")
        before, after = old.body.get(key), new.body.get(key)
        yield Moved(name.replace("_", " "), "", unit, before, after, percent=_percent(before, after))


def _percent(before: float | None, after: float | None) -> float | None:
    """Return the change in percent of what was before; none where the sign changes."""
    return None if before is None or after is None or before * after <= 0.0 else 100.0 * (after / before - 1.0)


# Tables ---------------------------------------------------------------------------------------------------------------


def change_table(caption: str, found: tuple[Change, ...], names: tuple[str, str]) -> TableData:
    """Inputs or versions that changed."""
    rows: list[Row] = [[each.key, each.before, each.after, _step(each)] for each in found]
    return table(caption, ("key", *names, "change"), rows)


def _step(change: Change) -> Cell:
    try:
        return _percent_cell(_percent(float(change.before), float(change.after)))
    except ValueError:
        return Cell(NONE)


def moved_table(comparison: RunComparison, units: Units) -> TableData:
    """Every margin on both sides."""
    rows: list[Row] = [
        [
            each.what,
            each.method,
            sized(each.before, each.unit, units),
            sized(each.after, each.unit, units),
            _percent_cell(each.percent),
            ratio(each.reserve_before),
            ratio(each.reserve_after),
            each.verdict_after
            if each.verdict_before == each.verdict_after
            else f"{each.verdict_before or NONE} → {each.verdict_after or NONE}",
        ]
        for each in comparison.margins
    ]
    old, new = comparison.names
    columns = ("limit state", "from", old, new, "change", f"reserve, {old}", f"reserve, {new}", "verdict")
    return table("Every margin; reserve factor = capacity / partial factor / demand", columns, rows)


def body_table(comparison: RunComparison, units: Units) -> TableData:
    """Mass, volume and area on both sides."""
    rows: list[Row] = [
        [
            f"{each.what} [{units.unit(each.unit)}]",
            *(_body_cell(value, each.unit, units) for value in (each.before, each.after)),
            _percent_cell(each.percent),
        ]
        for each in comparison.body
    ]
    return table("The body", ("quantity", *comparison.names, "change"), rows)


def _body_cell(value: float | None, own: str, units: Units) -> Cell:
    if value is None:
        return Cell(NONE)
    read = units.number(value, own)
    return Cell(f"{read:.5g}", read)


def _percent_cell(value: float | None) -> Cell:
    if value is None:
        return Cell(NONE)
    return Cell("none" if abs(value) < 1e-6 else f"{value:+.3g} %", value)
