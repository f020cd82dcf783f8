"""The tables of sensitivities and tolerances of a margin sheet, the same on a terminal, a page and in Markdown."""

from buckle.record.sheet.content import Sheet
from buckle.record.sheet.sensitivities import Effect, Slope
from buckle.report.sheet.tables import Cell, Row, TableData, ratio, table
from buckle.units import NONE, Units


def effect_table(sheet: Sheet, units: Units) -> TableData:
    """What a step of each number does to the capacity, largest first."""
    made = sheet.sensitivities
    if made is None or not made.effects:
        return table("", (), ())
    moves = any(each.growth.change is not None for each in made.effects)
    rows: list[Row] = [
        [
            each.key,
            f"{each.value:.6g}",
            _step(each, units),
            _change(each.capacity, made.unit, units),
            _relative(each.capacity),
            *([_change(each.growth, "mm", units)] if moves else []),
            _change(each.mass, "g", units),
        ]
        for each in made.effects
    ]
    name = units.quantity(made.quantity)
    columns = ("number", "value", "step", "capacity", "d ln p / d ln x", *(["growth"] if moves else []), "mass")
    note = (
        "changes for one step larger, to first order; where both directions differ the change per step from below"
        " stands before that from above"
    )
    return table(f"What a step of each number makes of {name}", columns, rows, "; ".join([note, *without_slope(sheet)]))


def without_slope(sheet: Sheet) -> tuple[str, ...]:
    """Why the capacity has no one derivative by some numbers, and by which."""
    effects = () if sheet.sensitivities is None else sheet.sensitivities.effects
    without = [each for each in effects if each.capacity.change is None]
    reasons = dict.fromkeys(each.reason for each in without if each.reason)
    return tuple(
        f"by {', '.join(each.key for each in without if each.reason == reason)}: {reason}" for reason in reasons
    )


def _relative(slope: Slope) -> Cell:
    """The derivative of the logarithms; a number that is as good as nil has no sign."""
    value = slope.relative
    return Cell(NONE if value is None else f"{round(value, 3) + 0.0:.3f}", value)


def _step(effect: Effect, units: Units) -> str:
    if effect.unit != "mm":
        return f"{effect.step:g} {effect.unit}"
    return f"{units.number(effect.step, 'mm'):.3g} {units.unit('mm')}"


def _change(slope: Slope, own: str, units: Units) -> Cell:
    """A change with its sign; two where both directions differ."""
    if slope.change is not None:
        read = units.number(slope.change, own)
        return Cell(f"{read:+.3g}" if read else "0", read, units.unit(own))
    if slope.below is None and slope.above is None:
        return Cell(NONE)
    sides = (NONE if each is None else f"{units.number(each, own):+.3g}" for each in (slope.below, slope.above))
    return Cell(f"{' / '.join(sides)} {units.unit(own)}")


def tolerance_table(sheet: Sheet) -> TableData:
    """The least reserve factor at both ends of every tolerance."""
    widths = () if sheet.sensitivities is None else sheet.sensitivities.widths
    rows: list[Row] = [
        [each.key, each.law, f"{each.low:.6g}", f"{each.high:.6g}", *map(_at_end, (each.at_low, each.at_high))]
        for each in widths
    ]
    columns = ("number", "law", "low end", "high end", "reserve at low", "reserve at high")
    note = "one at a time, to first order, an estimate; of a law without bounds the ends lie 3 standard deviations away"
    if any(None in (each.at_low, each.at_high) for each in widths):
        note += "; not known where a load that is judged has no derivative there"
    return table("The least reserve factor at the ends of each tolerance", columns, rows, note)


def _at_end(reserve: float | None) -> Cell:
    return Cell("not known") if reserve is None else ratio(reserve)
