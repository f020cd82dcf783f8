"""What the contents of a container make, for people: conditions, the steps of the one that governs, what it means."""

from collections.abc import Iterator

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from buckle.case import Case
from buckle.cautions import CAUTIONS
from buckle.demand.conditions import Demand, Met
from buckle.demand.steps import PRESSURE, steps
from buckle.margins.contents import demand_sentence, holding_sentence, metal_words, where
from buckle.margins.holding import Holding
from buckle.units import to_unit


def demand_sheet(case: Case, demand: Demand, unit: str) -> RenderableType:
    """Return everything that `buckle demand` prints; pressures in `unit`."""
    state = demand.governing.state
    return Group(
        Text(case.title, style="bold"),
        _condition_table(demand, unit),
        _step_table(demand, unit),
        *(Text(f"ASSUMED: {each}.") for each in demand.assumptions),
        *(Text(f"CAUTION: {each}.") for each in (*demand.cautions, *metal_words(case))),
        Text(f"Balance closes to {max(abs(share.gap) for share in state.shares):.0e} of each gas."),
        Text(f"DEMAND: {demand_sentence(case, demand, unit)}", style="bold"),
        Text(" ".join(CAUTIONS), style="dim"),
    )


def contents_lines(case: Case, holding: Holding | None, unit: str) -> Iterator[str]:
    """Yield what a run says of the contents of its case; nothing where there are none."""
    if case.demand is None:
        return
    yield f"DEMAND: {demand_sentence(case, case.demand, unit)}"
    yield from (f"ASSUMED: {each}." for each in case.demand.assumptions)
    yield from (f"CAUTION: {each}." for each in metal_words(case))
    if holding is not None:
        yield holding_sentence(holding, unit)


def _condition_table(demand: Demand, unit: str) -> Table:
    gases = [share.name for share in demand.governing.state.shares]
    table = Table(title="What the contents make (gauge; parts of it absolute)", title_justify="left")
    table.add_column("condition", overflow="fold")
    names = ["degC", "m", "min", f"pressure [{unit}]", *(f"{gas} [{unit}]" for gas in gases), f"vapour [{unit}]"]
    for name in (*names, "headspace [ml]", *([f"by Weiss [{unit}]", "difference"] if _two(demand) else [])):
        table.add_column(name.replace("[", r"\["), justify="right")
    for met in demand.met:
        table.add_row(*_condition_cells(met, unit), style="bold" if met is demand.governing else "")
    return table


def _two(demand: Demand) -> bool:
    return demand.governing.by_weiss is not None


def _condition_cells(met: Met, unit: str) -> list[str]:
    condition, state = met.condition, met.state
    cells = [
        condition.name,
        f"{condition.temperature:g}",
        f"{condition.altitude:g}",
        "" if condition.time is None else f"{condition.time:g}",
        *(_pressure(each, unit) for each in (state.gauge, *(share.pressure for share in state.shares), state.vapour)),
        f"{1e-3 * state.headspace:.4g}",
    ]
    if met.by_weiss is not None:
        apart = met.by_weiss.gauge / state.gauge - 1.0 if state.gauge else 0.0
        cells += [_pressure(met.by_weiss.gauge, unit), f"{100.0 * apart:+.1f} %"]
    return cells


def _step_table(demand: Demand, unit: str) -> Table:
    table = Table(title=f"Steps at {where(demand.governing.condition)}", title_justify="left")
    table.add_column("quantity", overflow="fold")
    table.add_column("symbol")
    table.add_column("value", justify="right")
    table.add_column("unit")
    table.add_column("source", overflow="fold")
    for step in steps(demand.filling, demand.governing.state):
        is_pressure = step.unit == PRESSURE
        value = _pressure(step.value, unit) if is_pressure else f"{step.value:.5g}"
        table.add_row(step.name, step.symbol, value, unit if is_pressure else step.unit, Text(step.source))
    return table


def _pressure(pressure: float, unit: str) -> str:
    return f"{to_unit(pressure, 'pressure', unit):.4g}"
