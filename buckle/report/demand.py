"""What the contents of a container make, for people: conditions, the steps of the one that governs, what it means."""

from rich.console import Group, RenderableType
from rich.table import Table as PrintedTable
from rich.text import Text

from buckle.case import Case
from buckle.cautions import CAUTIONS
from buckle.demand.conditions import Demand, Met
from buckle.demand.steps import PRESSURE, steps
from buckle.margins.contents import demand_sentence, metal_words, where
from buckle.units import Units


def demand_sheet(case: Case, demand: Demand, units: Units) -> RenderableType:
    """Return everything that `buckle demand` prints, in a reader's units."""
    state = demand.governing.state
    return Group(
        Text(case.title, style="bold"),
        _condition_table(demand, units),
        _step_table(demand, units),
        *(Text(units.words(f"ASSUMED: {each}.")) for each in demand.assumptions),
        *(Text(units.words(f"CAUTION: {each}.")) for each in (*demand.cautions, *metal_words(case))),
        Text(f"Balance closes to {max(abs(share.gap) for share in state.shares):.0e} of each gas."),
        Text(units.words(f"DEMAND: {demand_sentence(case, demand)}"), style="bold"),
        Text(" ".join(CAUTIONS), style="dim"),
    )


def _condition_table(demand: Demand, units: Units) -> PrintedTable:
    unit, gases = units.pressure, [share.name for share in demand.governing.state.shares]
    table = PrintedTable(title="What the contents make (gauge; parts of it absolute)", title_justify="left")
    table.add_column("condition", overflow="fold")
    names = ["degC", "m", "min", f"pressure [{unit}]", *(f"{gas} [{unit}]" for gas in gases), f"vapour [{unit}]"]
    for name in (*names, "headspace [ml]", *([f"by Weiss [{unit}]", "difference"] if _two(demand) else [])):
        table.add_column(name.replace("[", r"\["), justify="right")
    for met in demand.met:
        table.add_row(*_condition_cells(met, units), style="bold" if met is demand.governing else "")
    return table


def _two(demand: Demand) -> bool:
    return demand.governing.by_weiss is not None


def _condition_cells(met: Met, units: Units) -> list[str]:
    condition, state = met.condition, met.state
    pressures = (state.gauge, *(share.pressure for share in state.shares), state.vapour)
    cells = [
        condition.name,
        f"{condition.temperature:g}",
        f"{condition.altitude:g}",
        "" if condition.time is None else f"{condition.time:g}",
        *(units.digits(each, "MPa") for each in pressures),
        f"{1e-3 * state.headspace:.4g}",
    ]
    if met.by_weiss is not None:
        apart = met.by_weiss.gauge / state.gauge - 1.0 if state.gauge else 0.0
        cells += [units.digits(met.by_weiss.gauge, "MPa"), f"{100.0 * apart:+.1f} %"]
    return cells


def _step_table(demand: Demand, units: Units) -> PrintedTable:
    table = PrintedTable(title=f"Steps at {where(demand.governing.condition)}", title_justify="left")
    table.add_column("quantity", overflow="fold")
    table.add_column("symbol")
    table.add_column("value", justify="right")
    table.add_column("unit")
    table.add_column("source", overflow="fold")
    for step in steps(demand.filling, demand.governing.state):
        is_pressure = step.unit == PRESSURE
        value = units.digits(step.value, "MPa") if is_pressure else f"{step.value:.5g}"
        table.add_row(
            step.name, step.symbol, value, units.pressure if is_pressure else step.unit, Text(units.words(step.source))
        )
    return table
