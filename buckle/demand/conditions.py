"""The conditions that a filled container goes through, and the highest pressure of all of them: the demand."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from buckle.demand.balance import State, balance
from buckle.demand.filling import Filling
from buckle.demand.gases import Gas, by_weiss
from buckle.demand.limits import cautions_of

ROUND_OFF = 1e-9
"""MPa: a gauge pressure that is no larger is none, since the balance is found to as much (`balance`)."""


@dataclass(frozen=True)
class Condition:
    """A temperature [degC] and an altitude [m] that a container is at, what it is called and how long it lasts [min].

    The time says nothing to the pressure: liquid and gas are taken as warmed through and in balance, the safe side.
    """

    temperature: float
    altitude: float = 0.0
    name: str = ""
    time: float | None = None


@dataclass(frozen=True)
class Met:
    """A condition and the state there; for carbon dioxide also by the other solubility, where that can be told."""

    condition: Condition
    state: State
    by_weiss: State | None = None


@dataclass(frozen=True)
class Demand:
    """What the contents make of all conditions: gauge pressures in MPa.

    The side, "inside" or "outside", is that of the wall on which pressure is asked for: a vacuum acts from outside.
    """

    filling: Filling
    met: tuple[Met, ...]
    assumptions: tuple[str, ...]
    cautions: tuple[str, ...]
    side: str = "inside"

    @property
    def governing(self) -> Met:
        """The condition of the highest pressure on the side that is asked for."""
        return self.fullest if self.side == "inside" else self.emptiest

    @property
    def fullest(self) -> Met:
        """The condition of the highest pressure inside."""
        return max(self.met, key=lambda each: each.state.gauge)

    @property
    def pressure(self) -> float:
        """The highest gauge pressure inside [MPa]; negative where there is a vacuum in every condition."""
        return self.fullest.state.gauge

    @property
    def acting(self) -> float:
        """The highest pressure on the side that is asked for [MPa]; not above zero where there is none."""
        acting = self.pressure if self.side == "inside" else self.vacuum
        return acting if acting > ROUND_OFF else min(acting, 0.0)

    @property
    def emptiest(self) -> Met:
        """The condition of the lowest pressure."""
        return min(self.met, key=lambda each: each.state.gauge)

    @property
    def vacuum(self) -> float:
        """The highest pressure outside above that inside [MPa]; 0 where there is none."""
        vacuum = -self.emptiest.state.gauge
        return vacuum if vacuum > ROUND_OFF else 0.0


def work_out(
    filling: Filling, conditions: Sequence[Condition], assumptions: Sequence[str] = (), side: str = "inside"
) -> Demand:
    """Return the demand of a filling over conditions, at least one; `assumptions` say what was taken for granted.

    Raises ContentsError where there is no state.
    """
    other = with_weiss(filling)
    met = tuple(Met(each, _state(filling, each), None if other is None else _state(other, each)) for each in conditions)
    return Demand(filling, met, tuple(assumptions), tuple(_cautions(filling, other, met, side)), side)


def _state(filling: Filling, condition: Condition) -> State:
    return balance(filling, condition.temperature, condition.altitude)


def with_weiss(filling: Filling) -> Filling | None:
    """Return the filling with the other solubility of carbon dioxide; None if it holds none."""
    if not any(_is_carbon_dioxide(charge.gas) for charge in filling.charges):
        return None
    charges = tuple(
        replace(charge, gas=by_weiss(charge.gas)) if _is_carbon_dioxide(charge.gas) else charge
        for charge in filling.charges
    )
    return replace(filling, charges=charges)


def _is_carbon_dioxide(gas: Gas) -> bool:
    return gas.name == "carbon dioxide"


def _cautions(filling: Filling, other: Filling | None, met: Sequence[Met], side: str) -> Iterator[str]:
    temperatures = sorted({each.condition.temperature for each in met})
    reaches = [
        reach
        for each in (filling, other)
        if each is not None
        for charge in each.charges
        for reach in charge.gas.reaches
    ]
    yield from cautions_of(list(dict.fromkeys(reaches)), temperatures)
    if other is not None:
        yield (
            "the solubility by G7-04, which counts, scatters by 5.3 % of Henry's constant (root mean square of the data"
            " behind it), and so does the pressure; nothing is added for it"
        )
    if side == "inside" and any(each.state.gauge < -ROUND_OFF for each in met):
        yield "a vacuum loads the wall from outside: it does not judge a case whose pressure acts from inside"
