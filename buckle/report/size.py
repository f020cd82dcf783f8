"""What a sizing came to, for people."""

import math
from collections.abc import Iterator, Sequence

from rich.console import Group, RenderableType
from rich.table import Table as PrintedTable
from rich.text import Text

from buckle.batch.reserves import in_words
from buckle.case import Case
from buckle.cautions import CAUTIONS
from buckle.container.container import Container
from buckle.size.answer import notes, why_none, with_unit
from buckle.size.front import OnFront
from buckle.size.neighbourhood import Checked
from buckle.size.objective import UNITS
from buckle.size.one import Scan
from buckle.size.record import load_unit, price_per_load
from buckle.size.sizing import Sized
from buckle.size.trial import Trial
from buckle.units import Units

UNEXPLAINED = 0.05
"""Share of a slope that differences leave unexplained at a design that is the best of its neighbourhood."""


def scan_text(
    case: Case | Container, scan: Scan, sure: Trial | None, cautions: Sequence[str], units: Units
) -> RenderableType:
    """Return what is printed of a question about one variable."""
    lines = [*_answer_lines(scan, sure), *(f"CAUTION: {each}." for each in cautions)]
    return Group(
        Text(case.title, style="bold"),
        _scan_table(scan, units),
        *(Text(units.words(line)) for line in lines),
        Text(units.words(f"ANSWER: {headline(scan)}"), style="bold"),
        Text(" ".join(CAUTIONS), style="dim"),
    )


def headline(scan: Scan) -> str:
    """Return the answer in one sentence."""
    answer, key = scan.answer, scan.variable.key
    if answer is None:
        return f"none: {why_none(scan)}."
    which = "up to" if answer.holds_above else "down to"
    return (
        f"{with_unit(scan, answer.value)}: at that {key} the least reserve factor is {scan.asked:g}, and no less "
        f"{which} {with_unit(scan, scan.holds_to(answer))}, as far as was looked; governing: "
        f"{answer.trial.governing}; the case has {with_unit(scan, scan.variable.value)}."
    )


def _answer_lines(scan: Scan, sure: Trial | None) -> Iterator[str]:
    answer = scan.answer
    if answer is None:
        return
    yield from (f"NOTE: {each}." for each in notes(scan, answer))
    trial = sure or answer.trial
    error = trial.quantities.get("numerical_error_percent")
    known = "" if error is None else f", known to {error:.2g} %"
    mass = trial.quantities.get("mass_g")
    yield f"Reserve factor {trial.least:.4f}{known}" + ("" if mass is None else f"; mass {mass:.4g} g") + "."
    if trial.quantities.get("doubts"):
        yield f"DOUBT: {trial.quantities['doubts']}."


def _scan_table(scan: Scan, units: Units) -> PrintedTable:
    unit = f" [{scan.variable.unit}]" if scan.variable.unit else ""
    table = PrintedTable(title="What was looked at", title_justify="left")
    table.add_column(Text(f"{scan.variable.key}{unit}"), justify="right")
    table.add_column("reserve factor", justify="right")
    table.add_column("governing", overflow="fold")
    answer = scan.answer
    for value, trial in scan.trials:
        reserve = "" if trial.least is None else f"{trial.least:.4g}"
        words = trial.governing if trial.judged else units.words(f"{trial.status}: {trial.reason}")
        bold = "bold" if answer is not None and value == answer.value else ""
        table.add_row(f"{value:.6g}", reserve, Text(words), style=bold)
    return table


def sized_text(case: Case | Container, sized: Sized, check: Checked | None, units: Units) -> RenderableType:
    """Return what is printed of a lightest design."""
    unit = UNITS[sized.problem.table.minimise]
    lines = [*_cost_lines(case, sized, unit), *_sure_lines(sized, unit), *_check_lines(check)]
    trial = sized.sure if sized.sure.judged else sized.visit.trial
    doubts = trial.quantities.get("doubts")
    return Group(
        Text(case.title, style="bold"),
        _design_table(sized),
        _requirement_table(sized),
        *(Text(units.words(line)) for line in lines),
        *([Text(units.words(f"DOUBT: {doubts}."))] if doubts else []),
        Text(units.words(f"ANSWER: {_sized_sentence(sized, unit)}"), style="bold"),
        Text(" ".join(CAUTIONS), style="dim"),
    )


def _sized_sentence(sized: Sized, unit: str) -> str:
    least, first = sized.visit.objective, sized.first.objective
    change = "" if math.isnan(first) else f", {100.0 * (least / first - 1.0):+.2f} % of the case's {first:.5g} {unit}"
    held = "it holds with meshes twice as fine too" if sized.holds else "IT DOES NOT HOLD with meshes twice as fine"
    return (
        f"{sized.problem.table.minimise.replace('_', ' ')} {least:.5g} {unit}{change}; least reserve factor "
        f"{sized.visit.trial.least:.4f} ({sized.visit.trial.governing}), asked {sized.problem.asked:g}; {held}."
    )


def _design_table(sized: Sized) -> PrintedTable:
    table = PrintedTable(title="The design", title_justify="left")
    table.add_column("key", overflow="fold")
    for name in ("case", "sized", "lowest", "highest"):
        table.add_column(name, justify="right")
    table.add_column("")
    for each in sized.problem.variables:
        value = sized.values[each.key]
        at = "at its bound" if each.key in sized.prices.bounds else ""
        table.add_row(Text(each.key), *(f"{one:.5g}" for one in (each.value, value, each.low, each.high)), at)
    return table


def _requirement_table(sized: Sized) -> PrintedTable:
    table = PrintedTable(title="What is required", title_justify="left")
    table.add_column("requirement", overflow="fold")
    for name in ("reserve factor", "of the case", "asked"):
        table.add_column(name, justify="right")
    trial, first = sized.visit.trial, sized.first.trial
    for name, reserve in trial.reserves.items():
        before = f"{first.reserves[name]:.4f}" if name in first.reserves else ""
        table.add_row(in_words(name), f"{reserve:.4f}", before, f"{sized.problem.needed(name):.4f}")
    return table


def _cost_lines(case: Case | Container, sized: Sized, unit: str) -> Iterator[str]:
    for name in sized.prices.requirements:
        price = price_per_load(sized, name)
        if price:
            yield f"PRICE of {in_words(name)}: {price:.3g} {unit} per {load_unit(case, name)} of its demand."
    for each in sized.problem.variables:
        price = sized.prices.bounds.get(each.key, 0.0) / (each.high - each.low)
        if price:
            yield f"PRICE of the bound of {each.key}: {price:.3g} {unit} per {each.unit or 'unit'}."


def _sure_lines(sized: Sized, unit: str) -> Iterator[str]:
    ends = [f"{each:.5g}" if not math.isnan(each) else "nothing that holds" for each in sized.ends]
    yield f"{len(ends)} searches ended at {', '.join(ends)} {unit}, before the best of them was polished."
    if sized.prices.unexplained > UNEXPLAINED:
        yield (
            f"NOTE: {100.0 * sized.prices.unexplained:.0f} % of the slope of what is least is made up for by no "
            "requirement and no bound: the search has not come to its end, or a limit has a kink there."
        )


def _check_lines(check: Checked | None) -> Iterator[str]:
    if check is None:
        yield "How sure: --check 500 looks at as many designs about it, none of which should be lighter by 0.5 %."
        return
    if not check.lighter:
        found = "with none lighter none was analysed"
    elif not check.better:
        found = "none of these holds"
    else:
        found = f"{len(check.better)} OF THESE HOLD, so that it is not least"
    yield (
        f"Of {check.count} designs within {100.0 * check.reach:.0f} % of each interval about it {check.lighter} are "
        f"lighter by more than {100.0 * check.share:g} %, {check.unbuilt} cannot be made; {found}."
    )


def front_text(sized: Sized, front: Sequence[OnFront]) -> RenderableType:
    """Return the designs of a front as a table."""
    unit = UNITS[sized.problem.table.minimise]
    table = PrintedTable(title="What more reserve, or less growth, costs", title_justify="left")
    for name in ("number", "asked reserve factor", "allowed growth [mm]", "reserve factor", f"least [{unit}]"):
        table.add_column(name.replace("[", r"\["), justify="right")
    table.add_column("governing", overflow="fold")
    for each in front:
        growth = "" if each.growth is None else f"{each.growth:.4g}"
        least = "" if each.visit.trial.least is None else f"{each.visit.trial.least:.4f}"
        cells = (str(each.number), f"{each.asked:.4g}", growth, least, f"{each.visit.objective:.5g}")
        table.add_row(*cells, Text(each.visit.trial.governing))
    return table
