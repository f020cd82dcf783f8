"""[contents]: what is filled in, the pressure that it makes, and what that asks of the body and its metal."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

from buckle.case.keys import Finding, accepted_keys
from buckle.case.locator import KeyPath
from buckle.case.metal import ReadMetal
from buckle.case.models import Contents, Requirements
from buckle.case.validate import Checked, check_table, in_file
from buckle.demand.conditions import Condition, Demand, work_out
from buckle.demand.drinks import DRINKS, UNKNOWN, Drink
from buckle.demand.filling import Body, Evenly, Filling, carbonated, closed_in_air, nitrogen_dosed
from buckle.errors import ContentsError
from buckle.material import Grade, Material, warmed
from buckle.units import pressure_text

PATH: KeyPath = ("contents",)
RIGID_ASSUMED = "the container is taken as rigid: one that gives way sees less (contents.compliance_ml_per_bar)"
ALL_AIR = 1.0
"""Part of the headspace that is air where nothing is flushed out of it: there cannot be more."""
MEASURES = {"carbon_dioxide": "carbonation_volumes", "nitrogen": "fill_pressure"}
"""How much of a gas there is, is told by its own measure; air is closed in at the pressure of the atmosphere."""
OF_CARBONATED = ("drink", "air_fraction")


@dataclass(frozen=True)
class ReadContents(Checked):
    """The table with the demand of sound contents, and the metal as warm as they make it, or as it is without them."""

    demand: Demand | None = None
    material: Material | None = None


def read_contents(table: object, metal: ReadMetal, side: str) -> ReadContents:
    """Return what a [contents] table asks of a metal on a side of the wall."""
    checked = check_table(Contents, table, PATH)
    if checked.model is None:
        return ReadContents(None, checked.findings, checked.keys, material=metal.material)
    found, demand = list(own_findings(checked.model)), None
    if not found:
        try:
            demand = demand_of(checked.model, side)
        except ContentsError as error:
            found = [Finding((*PATH, error.fault.key), error.fault.problem, allowed=error.fault.allowed)]
    found += _warm_findings(checked.model, metal.grade)
    if found:
        findings = tuple(in_file(found, checked.keys, {"contents": table}))
        return ReadContents(checked.model, findings, checked.keys, material=metal.material)
    return ReadContents(
        checked.model, (), checked.keys, demand=demand, material=warm_metal(checked.model, metal, demand)
    )


def warm_metal(contents: Contents | None, metal: ReadMetal, demand: Demand | None) -> Material | None:
    """Return the metal, warm as in the governing condition where the contents ask for it."""
    if contents is None or not contents.warm_metal or metal.material is None or metal.grade is None or demand is None:
        return metal.material
    return warmed(metal.material, metal.grade.softens, demand.governing.condition.temperature)


def own_findings(contents: Contents) -> Iterator[Finding]:
    """Each gas has its own measure and keys, a drink one solubility, and there must be somewhere to be at."""
    needed, gas = MEASURES.get(contents.gas), contents.gas
    key = next((key for key, slot in accepted_keys(Contents).items() if slot.name == needed), "leave it out")
    if needed and getattr(contents, needed) is None:
        yield Finding((*PATH, key), f"missing, {gas} is measured by it", allowed=key)
    for name in MEASURES.values():
        if name != needed and getattr(contents, name) is not None:
            yield Finding((*PATH, name), f"means nothing for {gas}", allowed=key)
    for name in OF_CARBONATED:
        if gas != "carbon_dioxide" and getattr(contents, name) is not None:
            yield Finding((*PATH, name), f"means nothing for {gas}", allowed="leave it out")
    if contents.drink is not None and contents.solubility_factor is not None:
        yield Finding((*PATH, "solubility_factor"), "the drink has its own factor", allowed="one of the two")
    if not (contents.temperatures or contents.conditions or contents.pasteuriser):
        allowed = "temperatures_degC, [[contents.conditions]] or pasteuriser"
        problem = "missing: nothing says how warm the container gets"
        yield Finding((*PATH, "temperatures_degC"), problem, allowed=allowed)


def _warm_findings(contents: Contents, grade: Grade | None) -> Iterator[Finding]:
    """How metal softens is known of shipped grades only."""
    if contents.warm_metal and (grade is None or not grade.softens):
        allowed = "false, or a shipped grade in [material]"
        yield Finding((*PATH, "warm_metal"), "how this metal softens is not known", allowed=allowed)


@lru_cache(maxsize=64)  # a batch varies the shape far more often than what is filled in
def demand_of(contents: Contents, side: str) -> Demand:
    """Return what the contents make of their conditions on a side of the wall. Raises ContentsError without a state."""
    drink = _drink(contents)
    conditions, assumptions = _conditions(contents), tuple(_assumptions(contents, drink))
    found = work_out(_filling(contents, drink), conditions, assumptions, side)
    if contents.gas != "carbon_dioxide" or contents.air_fraction is not None:
        return found
    full = demand_of(contents.model_copy(update={"air_fraction": ALL_AIR}), side)
    return replace(found, assumptions=(*found.assumptions, _without_air(full.acting - found.acting)))


def _filling(contents: Contents, drink: Drink) -> Filling:
    """Return what was closed in, and how the container gives way."""
    swelling = Evenly(contents.compliance, contents.fill_pressure or 0.0)
    body = Body(contents.liquid, contents.headspace, contents.fill_temperature, swelling)
    if contents.gas == "nitrogen":
        assert contents.fill_pressure is not None
        return nitrogen_dosed(body, contents.fill_pressure, drink)
    if contents.gas == "air":
        return closed_in_air(body, drink)
    assert contents.carbonation_volumes is not None
    return carbonated(body, contents.carbonation_volumes, drink, contents.air_fraction or 0.0)


def _conditions(contents: Contents) -> tuple[Condition, ...]:
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


def _assumptions(contents: Contents, drink: Drink) -> Iterator[str]:
    """Yield what was taken for granted because the case does not say."""
    if contents.gas == "carbon_dioxide" and drink is UNKNOWN:
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
