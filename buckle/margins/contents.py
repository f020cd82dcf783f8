"""What is said of the contents of a container, the same wherever it is shown."""

from collections.abc import Iterator

from buckle.case import Case
from buckle.demand.conditions import Condition, Demand
from buckle.margins.held import metal_temperature, softening_of
from buckle.margins.holding import Holding
from buckle.units import pressure_text


def demand_sentence(case: Case, demand: Demand) -> str:
    """Return the demand in one sentence, and whether it or what the case requires is judged; pressures are marked."""
    if demand.acting <= 0.0:
        return f"None: the contents make no pressure that acts from the {demand.side}; {_extremes(demand)}."
    acting = f"{pressure_text(demand.acting)} from the {demand.side} at {where(demand.governing.condition)}"
    asked = case.asked.pressure
    if asked is None:
        return f"{acting}; it is judged: the case requires no other pressure."
    if asked >= demand.acting:
        return f"{acting}; the case requires {pressure_text(asked)}, which is not lower and is judged."
    return f"{acting}; it is judged: it is higher than the {pressure_text(asked)} that the case requires."


def unasked_sentence(vacuum: float) -> str:
    """Return that nobody is asked what a container carries of a vacuum [MPa]; the pressure is marked."""
    return (
        f"the contents make a vacuum of {pressure_text(vacuum)}, and no part is asked what it carries from outside "
        '(a state with pressure_side = "outside")'
    )


def _extremes(demand: Demand) -> str:
    lowest, highest = demand.emptiest, demand.fullest
    return (
        f"gauge {pressure_text(lowest.state.gauge)} at {where(lowest.condition)} to"
        f" {pressure_text(highest.state.gauge)} at {where(highest.condition)}"
    )


def holding_sentence(holding: Holding) -> str:
    """Return up to which temperature the contents are held, in one sentence, with what the metal is taken as.

    Pressures are marked.
    """
    held = holding.held
    factor = "" if holding.partial_factor == 1.0 else f", over the partial factor {holding.partial_factor:g},"
    reached = f"{holding.limited_by} is as much as is allowed at" if holding.limited_by else "it carries"
    carried = f"{reached} {pressure_text(holding.capacity)}{factor} with its metal at {holding.metal:g} degC"
    metal = "softening as the contents warm" if holding.softened else "not softening: how it does is not known"
    basis = f"({carried}, {metal}; altitude {holding.altitude:g} m)"
    if held.temperature is None:
        return f"Holds at no temperature from 0 degC on {basis}."
    beyond = "; beyond, the liquid leaves no room" if held.full else ""
    least = "at least " if held.at_least or holding.at_least else ""
    # downward: a tenth of a degree more would not be held
    return f"Holds to {least}{int(10.0 * held.temperature) / 10.0:g} degC{beyond} {basis}."


def metal_words(case: Case) -> Iterator[str]:
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
    change = f"{100 * (1 - modulus):.2g} % less stiff and {100 * (1 - stress):.2g} % weaker ({softening.source})"
    if case.contents is not None and case.contents.warm_metal:
        yield f"the analyses take the metal at {metal:g} degC, {change}"
    else:
        yield f"the analyses take the metal at {metal:g} degC; at {contents:g} degC it is {change}: contents.warm_metal"


def where(condition: Condition) -> str:
    """Return a condition in words."""
    name = f" ({condition.name})" if condition.name else ""
    return f"{condition.temperature:g} degC, {condition.altitude:g} m{name}"
