"""What the contents of a container make, for people: conditions, the steps of the one that governs, what it means."""

from collections.abc import Iterator

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from buckle.case import Case
from buckle.cautions import CAUTIONS
from buckle.demand.conditions import Condition, Demand, Met
from buckle.demand.steps import PRESSURE, steps
from buckle.margins.held import metal_temperature, softening_of
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
        *(Text(f"CAUTION: {each}.") for each in (*demand.cautions, *_metal_words(case))),
        Text(f"Balance closes to {max(abs(share.gap) for share in state.shares):.0e} of each gas."),
        Text(demand_line(case, demand, unit), style="bold"),
        Text(" ".join(CAUTIONS), style="dim"),
    )


def demand_line(case: Case, demand: Demand, unit: str) -> str:
    """Return the demand in one line, and whether it or what the case requires is judged."""
    side = case.loads.pressure_side
    if demand.on(side) <= 0.0:
        return f"DEMAND: none: the contents make no pressure that acts from the {side}; {_extremes(demand, unit)}."
    met = demand.governing if side == "inside" else demand.emptiest
    told = f"DEMAND: {_pressure(demand.on(side), unit)} {unit} from the {side} at {where(met.condition)}"
    asked = case.asked.pressure
    if asked is None:
        return f"{told}; it is judged: the case requires no other pressure."
    if asked >= demand.on(side):
        return f"{told}; the case requires {_pressure(asked, unit)} {unit}, which is not lower and is judged."
    return f"{told}; it is judged: it is higher than the {_pressure(asked, unit)} {unit} that the case requires."


def _extremes(demand: Demand, unit: str) -> str:
    lowest, highest = demand.emptiest, demand.governing
    return (
        f"gauge {_pressure(lowest.state.gauge, unit)} {unit} at {where(lowest.condition)} to"
        f" {_pressure(highest.state.gauge, unit)} {unit} at {where(highest.condition)}"
    )


def holding_line(holding: Holding, unit: str) -> str:
    """Return up to which temperature the contents are held, in one line, with what the metal is taken as."""
    held = holding.held
    carried = f"{_pressure(holding.capacity, unit)} {unit} with its metal at {holding.metal:g} degC"
    metal = "softening as the contents warm" if holding.softened else "not softening: how it does is not known"
    basis = f"(it carries {carried}, {metal}; altitude {holding.altitude:g} m)"
    if held.temperature is None:
        return f"HOLDS at no temperature from 0 degC on {basis}."
    beyond = "; beyond, the liquid leaves no room" if held.full else ""
    least = "at least " if held.at_least or holding.at_least else ""
    # downward: a tenth of a degree more would not be held
    return f"HOLDS to {least}{int(10.0 * held.temperature) / 10.0:g} degC{beyond} {basis}."


def contents_lines(case: Case, holding: Holding | None, unit: str) -> Iterator[str]:
    """Yield what a run says of the contents of its case; nothing where there are none."""
    if case.demand is None:
        return
    yield demand_line(case, case.demand, unit)
    yield from (f"CAUTION: {each}." for each in (*case.demand.cautions, *_metal_words(case)))
    if holding is not None:
        yield holding_line(holding, unit)


def _metal_words(case: Case) -> Iterator[str]:
    """Yield at which temperature the analyses take the metal, and what that leaves out."""
    assert case.demand is not None
    metal, contents, softening = (
        metal_temperature(case),
        case.demand.governing.condition.temperature,
        softening_of(case),
    )
    if contents <= metal and not (case.contents and case.contents.warm_metal):
        return
    if softening is None:
        yield f"the analyses take the metal at {metal:g} degC, the contents are at {contents:g} degC: it is weaker then"
        return
    modulus, stress = softening.at(contents)
    told = f"{100 * (1 - modulus):.2g} % less stiff and {100 * (1 - stress):.2g} % weaker ({softening.source})"
    if case.contents is not None and case.contents.warm_metal:
        yield f"the analyses take the metal at {metal:g} degC, {told}"
    else:
        yield f"the analyses take the metal at {metal:g} degC; at {contents:g} degC it is {told}: contents.warm_metal"


def where(condition: Condition) -> str:
    """Return a condition in words."""
    name = f" ({condition.name})" if condition.name else ""
    return f"{condition.temperature:g} degC, {condition.altitude:g} m{name}"


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
