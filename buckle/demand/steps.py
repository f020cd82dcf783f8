"""The steps of one state as a sheet would show them: each quantity with its symbol, unit and source."""

from collections.abc import Iterator
from dataclasses import dataclass

from buckle.demand.atmosphere import SOURCE as ATMOSPHERE_SOURCE
from buckle.demand.balance import Share, State
from buckle.demand.filling import Filling
from buckle.demand.gases import VIRIAL_SOURCE
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
        Step("headspace at closing", "V_g0", 1e-3 * body.headspace, "ml"),
        Step("liquid, expanded", "V_l", 1e-3 * state.liquid, "ml", DENSITY_SOURCE),
        Step("volume that the container gains", "dV", 1e-3 * state.swelling, "ml"),
        Step("headspace = V_l0 + V_g0 + dV - V_l", "V_g", 1e-3 * state.headspace, "ml"),
        *(step for share in state.shares for step in _of_gas(share, state)),
        Step("water vapour", "p_sat", state.vapour, PRESSURE, VAPOUR_SOURCE),
        Step("inside, absolute: sum of all", "p_abs", state.absolute, PRESSURE),
        Step("outside", "p_out", state.outside, PRESSURE, ATMOSPHERE_SOURCE),
        Step("gauge = p_abs - p_out", "p", state.gauge, PRESSURE),
    )


def _of_gas(share: Share, state: State) -> Iterator[Step]:
    gas, kelvin = share.gas, state.temperature + FREEZING
    yield Step(f"{gas.name}, all that was closed in", "n", 1e3 * share.amount, "mmol")
    if gas.henry is not None:
        yield Step("Henry's constant of water", "k_H", gas.henry(kelvin), PRESSURE, gas.source)
        yield Step("solubility of the drink over water's", "s", gas.drink.factor, "-", gas.drink.source)
    if gas.virial is not None:
        yield Step("second virial coefficient", "B", 1e-3 * gas.virial(kelvin), "cm3/mol", VIRIAL_SOURCE)
        yield Step("compressibility", "Z", gas.compressibility(share.pressure, kelvin), "-")
        yield Step("fugacity", "f", gas.fugacity(share.pressure, kelvin), PRESSURE)
    dissolving = "" if gas.henry is not None else gas.source
    yield Step("in the liquid", "n_l", 1e3 * share.in_liquid, "mmol", dissolving)
    yield Step("in the headspace = n - n_l", "n_g", 1e3 * share.in_headspace, "mmol")
    yield Step(f"partial pressure of {gas.name}", "p_i", share.pressure, PRESSURE)
