"""From the [contents] of a case to the pressure that they make, and what that asks of the body and its metal."""

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache

from buckle.case.models import Contents, Requirements
from buckle.demand.conditions import Condition, Demand, work_out
from buckle.demand.drinks import DRINKS, UNKNOWN, Drink
from buckle.demand.filling import Body, Evenly, Filling, carbonated, closed_in_air, nitrogen_dosed
from buckle.units import pressure_text

RIGID_ASSUMED = "the container is taken as rigid: one that gives way sees less (contents.compliance_ml_per_bar)"
ALL_AIR = 1.0
"""Part of the headspace that is air where nothing is flushed out of it: there cannot be more."""


@lru_cache(maxsize=64)  # a batch varies the shape far more often than what is filled in
def demand_of(contents: Contents, side: str) -> Demand:
    """Return what the contents make of their conditions on a side of the wall. Raises ContentsError without a state."""
    found = work_out(filling_of(contents), conditions_of(contents), tuple(_assumptions(contents)), side)
    if contents.gas != "carbon_dioxide" or contents.air_fraction is not None:
        return found
    full = demand_of(contents.model_copy(update={"air_fraction": ALL_AIR}), side)
    return replace(found, assumptions=(*found.assumptions, _without_air(full.acting - found.acting)))


def filling_of(contents: Contents) -> Filling:
    """Return what was closed in, and how the container gives way."""
    swelling = Evenly(contents.compliance, contents.fill_pressure or 0.0)
    body = Body(contents.liquid, contents.headspace, contents.fill_temperature, swelling)
    if contents.gas == "nitrogen":
        assert contents.fill_pressure is not None
        return nitrogen_dosed(body, contents.fill_pressure, _drink(contents))
    if contents.gas == "air":
        return closed_in_air(body, _drink(contents))
    assert contents.carbonation_volumes is not None
    return carbonated(body, contents.carbonation_volumes, _drink(contents), contents.air_fraction or 0.0)


def conditions_of(contents: Contents) -> tuple[Condition, ...]:
    """Return every temperature and altitude that the case names, in the order of its keys."""
    own = contents.altitude
    plain = [Condition(each, own) for each in contents.temperatures]
    named = [
        Condition(each.temperature, own if each.altitude is None else each.altitude, each.name)
        for each in contents.conditions
    ]
    soaked = [Condition(each.temperature, own, "pasteuriser", each.time) for each in contents.pasteuriser]
    return (*plain, *named, *soaked)


def with_demand(requirements: Requirements, demand: Demand | None) -> Requirements:
    """Return the requirements with the higher of the required pressure and the demand on the loaded side."""
    pressure = 0.0 if demand is None else demand.acting
    if pressure <= (requirements.pressure or 0.0):
        return requirements
    return requirements.model_copy(update={"pressure": pressure})


def _drink(contents: Contents) -> Drink:
    if contents.solubility_factor is not None:
        return Drink(contents.solubility_factor, "contents.solubility_factor")
    if contents.drink is not None:
        return DRINKS[contents.drink]
    if contents.gas == "carbon_dioxide":
        return UNKNOWN
    return Drink(1.0, "water's: no source for this gas in drinks; 11 % less would move the pressure by some per cent")


def _without_air(more: float) -> str:
    return (
        "no air is counted in the headspace, as after flushing; left full of air it would raise the highest pressure by"
        f" {pressure_text(more)} (contents.air_fraction)"
    )


def _assumptions(contents: Contents) -> Iterator[str]:
    """Yield what was taken for granted because the case does not say."""
    if contents.gas == "carbon_dioxide" and _drink(contents) is UNKNOWN:
        yield (
            f"the drink is not named: it is taken to dissolve {UNKNOWN.factor:g} of what water does, less than any"
            " known here (contents.drink)"
        )
    if contents.gas == "carbon_dioxide":
        yield (
            "the volumes count all carbon dioxide that is closed in; volumes read in a closed container leave out what"
            " its headspace holds"
        )
    if contents.gas == "air":
        yield (
            "the drink is taken to hold as much air as it can at closing; one without air draws a deeper vacuum, at"
            " most the pressure outside less that of the vapour"
        )
    if not contents.compliance:
        yield RIGID_ASSUMED
