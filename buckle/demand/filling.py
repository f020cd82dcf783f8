"""What was closed into a container: its volumes at closing, the amount of each gas, how the container gives way."""

from collections.abc import Callable
from dataclasses import dataclass

from buckle.demand.atmosphere import SEA_LEVEL
from buckle.demand.drinks import Drink
from buckle.demand.gases import AIR, GAS_CONSTANT, VOLUME, Gas, carbon_dioxide, nitrogen, oxygen
from buckle.demand.limits import FREEZING
from buckle.demand.water import density, moles, vapour_pressure
from buckle.errors import ContentsError
from buckle.units import pressure_text

Swelling = Callable[[float], float]
"""Volume [mm3] that a container gains over the volume at closing, against the gauge pressure [MPa]; never falling."""

OXYGEN_IN_AIR = 0.2095
"""Mole fraction; the rest is counted as nitrogen."""


@dataclass(frozen=True)
class Evenly:
    """A container that gains volume in proportion to the gauge pressure above that at closing [mm3/MPa, MPa]."""

    compliance: float = 0.0
    closed_at: float = 0.0

    def __call__(self, gauge: float) -> float:
        """Return the volume gained [mm3]."""
        return self.compliance * (gauge - self.closed_at)


RIGID = Evenly()


@dataclass(frozen=True)
class Body:
    """A container at closing: liquid and headspace [mm3] at the fill temperature [degC], and how it swells."""

    liquid: float
    headspace: float
    fill_temperature: float
    swelling: Swelling = RIGID

    @property
    def mass(self) -> float:
        """Mass of the liquid [kg], with the density of water."""
        return self.liquid * density(self.fill_temperature) * 1e-9

    @property
    def water(self) -> float:
        """Amount of the liquid [mol], as water."""
        return moles(self.mass)

    @property
    def closed_volume(self) -> float:
        """Liquid and headspace [mm3] at closing."""
        return self.liquid + self.headspace

    @property
    def kelvin(self) -> float:
        """Fill temperature [K]."""
        return self.fill_temperature + FREEZING

    def liquid_at(self, temperature: float) -> float:
        """Volume of the liquid [mm3] at a temperature [degC]: it expands as water does."""
        return self.mass * 1e9 / density(temperature)


@dataclass(frozen=True)
class Charge:
    """A gas that was closed in with its amount [mol], in headspace and liquid together; `origin` says how it came."""

    gas: Gas
    amount: float
    origin: str = ""


@dataclass(frozen=True)
class Filling:
    """A closed container: its body, and every gas in it."""

    body: Body
    charges: tuple[Charge, ...]


def carbonated(body: Body, volumes: float, drink: Drink, air_fraction: float) -> Filling:
    """Close a drink with volumes of carbon dioxide per volume of liquid, all of it that is in the container.

    The air fraction is that part of the headspace which is air at closing, at 1 atm and under the drink's vapour.
    """
    dissolved = volumes * body.liquid / VOLUME
    air = air_fraction * _dry(body) * body.headspace / (GAS_CONSTANT * body.kelvin)
    basis = f"{volumes:g} x V_l0 / (22.263 l/mol): volumes of gas at 0 degC and 1 atm, 1.977 g/l"
    filled = f"{air_fraction:g} x (1 atm - p_sat0) V_g0 / (R T_0), closed at {body.fill_temperature:g} degC"
    return Filling(body, (Charge(carbon_dioxide(drink), dissolved, basis), Charge(AIR, air, filled)))


def nitrogen_dosed(body: Body, fill_pressure: float, drink: Drink) -> Filling:
    """Close a still drink under nitrogen at a gauge pressure [MPa] at the fill temperature, in balance."""
    partial = fill_pressure + _dry(body)
    return Filling(body, (_balanced(nitrogen(drink), partial, body),))


def closed_in_air(body: Body, drink: Drink) -> Filling:
    """Close a drink under air and its own vapour at 1 atm, liquid and gas in balance: hot-filled, or still."""
    dry = _dry(body)
    shares = ((nitrogen(drink), 1.0 - OXYGEN_IN_AIR), (oxygen(drink), OXYGEN_IN_AIR))
    return Filling(body, tuple(_balanced(gas, share * dry, body) for gas, share in shares))


def _balanced(gas: Gas, partial: float, body: Body) -> Charge:
    """Return a gas with its amount at a partial pressure [MPa] in balance at the fill temperature."""
    held = gas.in_liquid(partial, body.water, body.kelvin, partial)
    basis = f"at {pressure_text(partial)} in headspace and liquid, in balance at {body.fill_temperature:g} degC"
    return Charge(gas, held + gas.in_headspace(partial, body.headspace, body.kelvin), basis)


def _dry(body: Body) -> float:
    """Return what the vapour leaves of 1 atm at closing [MPa]. Raises ContentsError if the liquid boils."""
    left = SEA_LEVEL - vapour_pressure(body.kelvin)
    if left <= 0.0:
        problem = "the liquid boils at 1 atm, so that nothing but vapour would be closed in"
        raise ContentsError("fill_temperature", body.fill_temperature, problem, "below 100 degC")
    return left
