"""The steps of one state as a sheet would show them: each quantity with its symbol, unit and source."""

from collections.abc import Iterator
from dataclasses import dataclass

from buckle.demand.atmosphere import SOURCE as ATMOSPHERE_SOURCE
from buckle.demand.balance import Share, State
from buckle.demand.filling import Filling
from buckle.demand.gases import SQUEEZE_SOURCE, VIRIAL_SOURCE
from buckle.demand.limits import FREEZING
from buckle.demand.water import DENSITY_SOURCE, VAPOUR_SOURCE


@dataclass(frozen=True)
class Step:
    """A quantity on the way to a pressure: pressures in MPa, volumes in ml, amounts in mmol."""

    name: str
    symbol: str
    value: float
    unit: str
    source: str = ""


PRESSURE = "MPa"


def steps(filling: Filling, state: State) -> tuple[Step, ...]:
    """Return every step from what was closed in to the gauge pressure of a state."""
    body = filling.body
    return (
        Step("liquid at closing", "V_l0", 1e-3 * body.liquid, "ml"),
        Step("of that, as water", "n_w", body.water, "mol"),
        Step("headspace at closing", "V_g0", 1e-3 * body.headspace, "ml"),
        Step("liquid, expanded", "V_l", 1e-3 * state.liquid, "ml", DENSITY_SOURCE),
        Step("volume that the container gains", "dV", 1e-3 * state.swelling, "ml"),
        Step("headspace = V_l0 + V_g0 + dV - V_l", "V_g", 1e-3 * state.headspace, "ml"),
        *(step for share in state.shares for step in _of_gas(share, state, body.water)),
        Step("water vapour", "p_sat", state.vapour, PRESSURE, VAPOUR_SOURCE),
        Step("inside, absolute: sum of all", "p_abs", state.absolute, PRESSURE),
        Step("outside", "p_out", state.outside, PRESSURE, ATMOSPHERE_SOURCE),
        Step("gauge = p_abs - p_out", "p", state.gauge, PRESSURE),
    )


def _of_gas(share: Share, state: State, water: float) -> Iterator[Step]:
    gas, kelvin = share.charge.gas, state.temperature + FREEZING
    yield Step(f"{gas.name}, all that was closed in", "n", 1e3 * share.charge.amount, "mmol", share.charge.origin)
    if gas.virial is not None:
        yield Step("second virial coefficient", "B", 1e-3 * gas.virial(kelvin), "cm3/mol", VIRIAL_SOURCE)
        yield Step("fugacity = p_i exp(B p_i / (R T))", "f", gas.fugacity(share.pressure, kelvin), PRESSURE)
        yield Step("compressibility = 1 + B p_i / (R T)", "Z", gas.compressibility(share.pressure, kelvin), "-")
    if gas.henry is None:
        yield Step("in the liquid", "n_l", 1e3 * share.in_liquid, "mmol", gas.source)
    else:
        yield from _dissolving(share, state, gas.henry(kelvin), water)
    z = "" if gas.virial is None else "Z "
    yield Step(f"in the headspace = n - n_l = p_i V_g / ({z}R T)", "n_g", 1e3 * share.in_headspace, "mmol")
    yield Step(f"partial pressure of {gas.name}", "p_i", share.pressure, PRESSURE)


def _dissolving(share: Share, state: State, constant: float, water: float) -> Iterator[Step]:
    gas, kelvin = share.charge.gas, state.temperature + FREEZING
    f = "p_i" if gas.virial is None else "f"
    yield Step("Henry's constant of water", "k_H", constant, PRESSURE, gas.source)
    yield Step("solubility of the drink over water's", "s", gas.drink.factor, "-", gas.drink.source)
    if gas.partial_volume:
        squeezed = gas.squeezed(state.absolute, kelvin)
        name = f"pressure on the liquid = exp(v p_abs / (R T)), v = {1e-3 * gas.partial_volume:g} cm3/mol"
        yield Step(name, "P", squeezed, "-", SQUEEZE_SOURCE)
    name = f"mole fraction = s {f} / k_H" + (" / P" if gas.partial_volume else "")
    yield Step(name, "x", share.in_liquid / (share.in_liquid + water), "-")
    yield Step("in the liquid = n_w x / (1 - x)", "n_l", 1e3 * share.in_liquid, "mmol")
