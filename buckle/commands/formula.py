"""The work behind `buckle formula`: the list of hand calculations, or one of them worked out on a sheet."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any, get_type_hints

from pydantic import BaseModel, ConfigDict, create_model
from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table as PrintedTable
from rich.text import Text

from buckle.case.keys import Finding, unknown_word
from buckle.case.validate import check_table
from buckle.cautions import CAUTIONS
from buckle.commands.output import check_writable, say, write_json
from buckle.errors import CaseError, Fault
from buckle.formulas.base import Formula, Interval, Quantity, Rule
from buckle.formulas.registry import FORMULAS
from buckle.report.notation.ranges import read_range
from buckle.report.notation.substitution import numbers_put_in
from buckle.report.notation.units import System, system_of
from buckle.units import UNITS, Units, convert, to_unit

STRICT = ConfigDict(strict=True, extra="forbid", frozen=True, allow_inf_nan=False)
Fields = dict[str, object]


def show_formulas(words: Sequence[str], json_file: str | None, units: Units, *, quiet: bool) -> int:
    """List the formulas, all or those of one body, or work one out; returns the exit code 0.

    A formula outside its range is an answer, not a fault: the sheet gives the reason and no value. Raises CaseError for
    an unknown name, key or unit, a missing or doubled key, or a value that is no usable number.
    """
    loud = not quiet and json_file != "-"
    check_writable([json_file])
    rules = _rules_of(words)
    if rules is not None:
        if loud:
            say(_list(rules))
        write_json(json_file, [_rule_fields(rule) for rule in rules])
        return 0
    rule = _rule(words[0])
    worked = rule(**read_settings(rule, words[1:]))
    if loud:
        say(sheet(rule, in_system(worked, system_of(units)), units.pressure))
    write_json(json_file, fields(rule, worked))
    return 0


def _rules_of(words: Sequence[str]) -> list[Rule[Any]] | None:
    """Return the rules to list: all without a word, those of a body if the only word is a body's name; else None."""
    if not words:
        return list(FORMULAS.values())
    return [rule for rule in FORMULAS.values() if rule.statement.body == words[0]] or None


def _rule(name: str) -> Rule[Any]:
    """Return the rule of that name. Raises CaseError with the nearest name if there is none."""
    if name not in FORMULAS:
        bodies = dict.fromkeys(rule.statement.body for rule in FORMULAS.values())
        fault = Fault(
            name, unknown_word("formula", name, FORMULAS), None, f"names from the list of {', '.join(bodies)}"
        )
        raise CaseError(str(fault), (fault,))
    return FORMULAS[name]


def read_settings(rule: Rule[Any], settings: Sequence[str]) -> dict[str, float]:
    """Return {keyword: internal value} of words `radius_mm=45.7`. Raises CaseError with every fault at once."""
    table, findings = _table(settings)
    checked = check_table(_model(rule), table, ())
    findings += checked.findings
    if findings:
        faults = [Fault(".".join(map(str, each.path)), each.problem, each.value, each.allowed) for each in findings]
        raise CaseError("\n".join(f"{rule.statement.name}: {fault}" for fault in faults), faults)
    return {name: getattr(checked.model, name) for name in rule.arguments}


def _table(settings: Sequence[str]) -> tuple[dict[str, float | str], list[Finding]]:
    """Return {key: number, or the text if it is none} of the words, and what is wrong with their form."""
    table: dict[str, float | str] = {}
    findings = []
    for word in settings:
        key, equals, text = word.partition("=")
        if not equals or not key:
            findings.append(Finding((word,), "is not KEY=VALUE", allowed="such as radius_mm=45.7"))
        elif key in table:
            findings.append(Finding((key,), "given twice", text))
        else:
            table[key] = _number(text)
    return table, findings


def _number(text: str) -> float | str:
    try:
        return float(text)
    except ValueError:
        return text


def _model(rule: Rule[Any]) -> type[BaseModel]:
    """Return the rule's keywords as a table of a case file, so that keys, units and messages are the same."""
    hints = get_type_hints(rule.work, include_extras=True)
    fields: dict[str, Any] = {
        name: (hints[name], ... if argument.default is None else argument.default)
        for name, argument in rule.arguments.items()
    }
    return create_model(rule.statement.name.replace(".", "_"), __config__=STRICT, **fields)


# What is printed -----------------------------------------------------------------------------------------------------


def _list(rules: Iterable[Rule[Any]]) -> RenderableType:
    table = PrintedTable(title="Hand calculations", title_justify="left")
    table.add_column("name", no_wrap=True)
    table.add_column("unit")
    table.add_column("kind", no_wrap=True)
    table.add_column("what it gives", overflow="fold")
    for rule in rules:
        table.add_row(rule.statement.name, rule.statement.unit, rule.statement.kind, rule.about)
    return Group(table, Text("One worked out: buckle formula NAME key=value ..., keys end in their unit."))


def sheet(rule: Rule[Any], worked: Formula, unit: str) -> RenderableType:
    """Return the calculation as a hand sheet: expression, numbers, steps, value, range, source; pressures in `unit`."""
    parts: list[RenderableType] = [Text(f"{worked.name}: {rule.about}", style="bold")]
    parts += _block("Expression", [Text(worked.expression)])
    parts += _block("Put in", [_quantities(worked.inputs, list(rule.arguments))])
    lines = with_results(worked)
    if lines:
        parts += _block("With numbers", [Text(line) for line in lines])
    rest = [step for step in worked.steps if not any(line.startswith(f"{step.symbol} = ") for line in lines)]
    if rest:
        parts += _block("Also worked out", [_quantities(rest)])
    parts += _block("Value", [Text(_value(rule, worked, unit), style="bold")])
    parts += _block("Range of use", [Text(line) for line in _ranges(worked)])
    parts += _block("Answers", [Text(worked.answers)])
    parts += _block("Kind", [Text(worked.kind)])
    parts += _block("Source", [Text(worked.source)])
    parts += _block("Leaves out", [Text(f"- {each}") for each in worked.ignores])
    return Group(*parts, Text(" ".join(CAUTIONS), style="dim"))


def in_system(worked: Formula, system: System) -> Formula:
    """Return a calculation with all its numbers in another system of units, in which it holds as well."""
    quantities, bounds = system.quantity, [_interval(worked, each, system) for each in worked.statement.ranges]
    value = None if worked.value is None else quantities(Quantity("", worked.value, worked.unit))
    unit = quantities(Quantity("", 1.0, worked.unit)).unit
    return replace(
        worked,
        statement=replace(worked.statement, unit=unit, ranges=tuple(bounds)),
        value=None if value is None else value.value,
        inputs=tuple(map(quantities, worked.inputs)),
        steps=tuple(map(quantities, worked.steps)),
    )


def _interval(worked: Formula, interval: Interval, system: System) -> Interval:
    """Return a range in a system; one whose number was not worked out keeps its own."""
    found = next((each for each in (*worked.inputs, *worked.steps) if each.symbol == interval.symbol), None)
    if found is None:
        return interval
    low, high = (system.quantity(replace(found, value=end)).value for end in (interval.low, interval.high))
    return Interval(interval.symbol, low, high)


def _block(heading: str, lines: Sequence[RenderableType]) -> list[RenderableType]:
    return [Text(heading), *(Padding(line, (0, 0, 0, 2), expand=False) for line in lines)]


def with_results(worked: Formula) -> list[str]:
    """Return each clause with its numbers and what it gives, those first that the others need."""
    results = {step.symbol: with_unit(step) for step in worked.steps}
    if worked.value is not None:
        results.setdefault(worked.expression.partition(" = ")[0], with_unit(Quantity("", worked.value, worked.unit)))
    lines = []
    for line in reversed(numbers_put_in(worked)):
        result = results.get(line.partition(" = ")[0])
        lines.append(line if result is None else f"{line} = {result}")
    return lines


def _quantities(quantities: Sequence[Quantity], names: Sequence[str] = ()) -> PrintedTable:
    grid = PrintedTable.grid(padding=(0, 2))
    for _ in ("symbol", "value", "name"):
        grid.add_column(no_wrap=True)
    for at, quantity in enumerate(quantities):
        grid.add_row(Text(quantity.symbol), Text(f"= {with_unit(quantity)}"), Text(names[at] if names else ""))
    return grid


def with_unit(quantity: Quantity) -> str:
    """Return '45.7 mm', or the number alone."""
    return f"{quantity.value:.6g}" + ("" if quantity.unit == "-" else f" {quantity.unit}")


def _value(rule: Rule[Any], worked: Formula, unit: str) -> str:
    """Return the value in its unit; a pressure in the unit asked for first."""
    if worked.value is None:
        return f"out of range: {worked.reason}"
    own = with_unit(Quantity("", worked.value, worked.unit))
    if not rule.statement.is_pressure or unit == worked.unit:
        return own
    pressure = to_unit(convert(worked.value, "pressure", worked.unit), "pressure", unit)
    return f"{pressure:.6g} {unit} = {own}"


def _ranges(worked: Formula) -> list[str]:
    checked = [_judged(worked, interval) for interval in worked.statement.ranges]
    return [*checked, *(f"to be judged by the reader: {each}" for each in worked.statement.conditions)] or ["no limits"]


def _judged(worked: Formula, interval: Interval) -> str:
    found = [each for each in (*worked.inputs, *worked.steps) if each.symbol == interval.symbol]
    if not found:
        return f"{interval}: not reached"
    text, value, unit = read_range(interval, found[0].value, found[0].unit)
    ending = f" {unit}" if unit else ""
    words = "met" if interval.contains(found[0].value) else "NOT MET"
    return f"{text}{ending}: {words} with {interval.symbol} = {value}{ending}"


# What is written -----------------------------------------------------------------------------------------------------


def _rule_fields(rule: Rule[Any]) -> Fields:
    statement = rule.statement
    return {
        "name": statement.name,
        "about": rule.about,
        "unit": statement.unit,
        "kind": statement.kind,
        "answers": statement.answers,
        "expression": statement.expression,
        "example": {_internal(rule, name): value for name, value in rule.example.items()},
        "keys": {name: list(_spellings(rule, name)) for name in rule.arguments},
        "validity": statement.validity,
        "ignores": list(statement.ignores),
        "source": statement.source,
    }


def _internal(rule: Rule[Any], name: str) -> str:
    """Return the key in the unit that formulas calculate in: 'radius_mm'."""
    argument = rule.arguments[name]
    return name if argument.dimension is None else f"{name}_{argument.unit}"


def _spellings(rule: Rule[Any], name: str) -> Iterable[str]:
    dimension = rule.arguments[name].dimension
    return [name] if dimension is None else [f"{name}_{suffix}" for suffix in UNITS[dimension]]


def fields(rule: Rule[Any], worked: Formula) -> Fields:
    """Return a worked formula as plain data: what the sheet prints, values in the unit named beside each."""
    return {
        **_rule_fields(rule),
        "inputs": [_quantity_fields(quantity) for quantity in worked.inputs],
        "with_numbers": numbers_put_in(worked),
        "steps": [_quantity_fields(quantity) for quantity in worked.steps],
        "value": worked.value,
        "in_range": worked.in_range,
        "reason": worked.reason,
    }


def _quantity_fields(quantity: Quantity) -> Mapping[str, object]:
    value = quantity.value if math.isfinite(quantity.value) else None
    return {"symbol": quantity.symbol, "value": value, "unit": quantity.unit}
