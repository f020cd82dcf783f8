"""Whether a record of margins agrees with itself: what follows from other parts of it is worked out once more."""

import math
from collections.abc import Iterator, Mapping, Sequence

from buckle.case import Case
from buckle.margins.judge import FIDELITY
from buckle.margins.margin import Margin, Verdict
from buckle.results import BIFURCATION, LIMIT_POINT

Fields = Mapping[str, object]

ROUNDING = 1e-12
"""Parts in one: a record holds bar, which are ten times the MPa that were divided; three roundings of 1e-16 each."""
PASSED = "first limit point"
"""Limit state that a path has passed, which decides nothing."""
NO_ANALYSIS = "none"
"""Method of a margin that no analysis was run for."""
_EVENTS = ("limit", "bifurcation", "critical", "capacity", "governing", "first_yield")
"""Pressures of an analysis, `KIND.NAME_pressure_bar`, each of which is the capacity of one margin."""
_LOWEST = {"limit": LIMIT_POINT, "bifurcation": BIFURCATION, "critical": BIFURCATION}
"""Pressures of which the lowest governs an analysis, and what comes there."""
_STATES = {"growth": "growth under pressure", "permanent_growth": "growth that stays", "axial_force": "axial crush"}
"""Requirements beside the pressure, and the limit state that each makes."""


def disagreements(told: Fields, rows: Sequence[Fields]) -> Iterator[str]:
    """Yield what does not follow from the rest of a record with these margins, each as 'place: what is wrong'."""
    decider = next((kind for kind in FIDELITY if f"{kind}.status" in told and kind != "LA"), "")
    computed: Margin | None = None
    margins = []
    for index, row in enumerate(rows):
        place = f"margins[{index}] ({row['limit_state']}, {row['method']})"
        if "beside" in row:
            yield from _hand_disagreements(place, row, computed)
            continue
        computed = _margin(row)
        margins.append(computed)
        if f"{computed.method}.status" not in told and computed.method != NO_ANALYSIS:
            yield f"{place}: is of no analysis of this record and stands beside none"
        if not _alike(row.get("reserve_factor"), computed.reserve):
            yield f"{place}: reserve_factor {row.get('reserve_factor')} is not that of its capacity and demand"
        if not agrees(computed, decider):
            yield f"{place}: verdict {computed.verdict} does not follow from its capacity and demand"
    yield from _wave_disagreements(told)
    pressures = [each for each in margins if each.unit == "MPa"]
    yield from _event_disagreements(told, pressures)
    yield from _governing_disagreements(told, margins, decider)
    yield from _growth_disagreements(told, [each for each in margins if each.unit == "mm"])


def agrees(margin: Margin, decider: str) -> bool:
    """Tell whether the verdict of a margin is the one that its capacity and demand give; decider: analysis kind."""
    size = margin.unit == "mm"
    decides = size or (margin.method == decider and margin.limit_state != PASSED)
    if margin.capacity is None:
        return margin.verdict is not Verdict.MET
    if not decides:
        return not margin.governs and margin.verdict is Verdict.FOR_COMPARISON
    if margin.demand is None:
        return margin.verdict is Verdict.NO_REQUIREMENT
    if math.isclose(margin.capacity, margin.demand, rel_tol=ROUNDING):
        return margin.verdict in (Verdict.MET, Verdict.NOT_MET)
    enough = margin.capacity < margin.demand if size else margin.capacity > margin.demand
    return margin.verdict is (Verdict.MET if enough else Verdict.NOT_MET)


def _margin(row: Fields) -> Margin:
    """Return the margin of a row, sizes in MPa or mm."""
    size = "capacity_mm" in row or "demand_mm" in row
    unit, factor = ("mm", 1.0) if size else ("bar", 10.0)
    capacity, demand = _number(row.get(f"capacity_{unit}")), _number(row.get(f"demand_{unit}"))
    return Margin(
        limit_state=str(row["limit_state"]),
        method=str(row["method"]),
        event=str(row.get("event", "")),
        capacity=None if capacity is None else capacity / factor,
        demand=None if demand is None else demand / factor,
        unit="mm" if size else "MPa",
        verdict=Verdict(str(row["verdict"])),
        governs=bool(row.get("governs")),
        error_percent=_number(row.get("numerical_error_percent")),
    )


def _hand_disagreements(place: str, row: Fields, computed: Margin | None) -> Iterator[str]:
    """Yield what is wrong with a hand value beside a computed margin, which stands before it."""
    if computed is None or computed.capacity is None or row["limit_state"] != computed.limit_state:
        yield f"{place}: stands beside no computed margin; that is missing or was changed"
        return
    unit, factor = ("mm", 1.0) if computed.unit == "mm" else ("bar", 10.0)
    value, demand = _number(row.get(f"capacity_{unit}")), _number(row.get(f"demand_{unit}"))
    if row["beside"] != computed.method or not _alike(demand, computed.demand and factor * computed.demand):
        yield f"{place}: its analysis or demand is not that of the margin it stands beside"
    told = row.get("ratio_hand_to_computed")
    if not _alike(told, value / (factor * computed.capacity) if value and computed.capacity else value):
        yield f"{place}: ratio_hand_to_computed {told} is not that of its two values"
    reserve = (demand / value if unit == "mm" else value / demand) if value and demand else None
    if not _alike(row.get("reserve_factor"), reserve):
        yield f"{place}: reserve_factor {row.get('reserve_factor')} is not that of its capacity and demand"


def demand_disagreements(case: Case, rows: Sequence[Fields]) -> Iterator[str]:
    """Yield demands of a record that the requirements of its case do not make, and those of the case that it lacks."""
    needs = case.requirements
    pressure = None if needs.pressure is None else 10.0 * needs.pressure
    growths = [each for each in (needs.growth, needs.permanent_growth) if each is not None]
    for index, row in enumerate(rows):
        told = row.get("demand_bar", row.get("demand_mm"))
        allowed = growths if "demand_mm" in row else [pressure]
        if told is not None and not any(_alike(told, each) for each in allowed):
            yield f"margins[{index}] ({row['limit_state']}, {row['method']}): demand {told} is none of the case file"
    states = {str(row["limit_state"]) for row in rows}
    for need, wanted in _STATES.items():
        if getattr(needs, need) is not None and wanted not in states:
            yield f"margins: {wanted}, which the case file demands, is missing"


def _wave_disagreements(told: Fields) -> Iterator[str]:
    """Yield what the lowest of the linear bifurcations is not."""
    waves = list(_rows(told.get("LBA.by_wave_number")))
    lowest = min(waves, key=lambda row: _number(row["pressure_bar"]) or 0.0, default={})
    for key, own in (("critical_pressure_bar", "pressure_bar"), ("wave_number", "wave_number")):
        if not _alike(told.get(f"LBA.{key}"), lowest.get(own)):
            yield f"LBA.{key} {told.get(f'LBA.{key}')}: is not that of the lowest in LBA.by_wave_number"


def _event_disagreements(told: Fields, margins: Sequence[Margin]) -> Iterator[str]:
    """Yield pressures of analyses that no margin shows, and governing events that are not the lowest."""
    for kind in FIDELITY:
        shown = [10.0 * each.capacity for each in margins if each.method == kind and each.capacity is not None]
        for event in _EVENTS:
            key = f"{kind}.{event}_pressure_bar"
            if key in told and not any(_alike(told[key], each) for each in shown):
                yield f"{key} {told[key]}: no margin of {kind} has it; one is missing or was changed"
        found = {name: told.get(f"{kind}.{name}_pressure_bar") for name in _LOWEST}
        lowest = min(filter(None, map(_number, found.values())), default=None)
        if not _alike(told.get(f"{kind}.governing_pressure_bar"), lowest):
            yield f"{kind}.governing_pressure_bar: is not the lowest of {', '.join(_LOWEST)}"
        words = {word for name, word in _LOWEST.items() if lowest is not None and _alike(found[name], lowest)}
        if told.get(f"{kind}.governing_event", "none") not in (words or {"none"}):
            yield f"{kind}.governing_event {told.get(f'{kind}.governing_event')}: is not what comes at that pressure"


def _governing_disagreements(told: Fields, margins: Sequence[Margin], decider: str) -> Iterator[str]:
    """Yield what is wrong with the margin that governs."""
    governing = [each for each in margins if each.governs]
    found = any(each.method == decider and each.unit == "MPa" and each.capacity is not None for each in margins)
    if len(governing) > 1 or (found and not governing):
        yield f"margins: {len(governing)} govern; allowed: one of {decider}"
    capacity = told.get(f"{decider}.capacity_pressure_bar")
    for each in governing:
        if capacity is not None and not _alike(capacity, each.capacity and 10.0 * each.capacity):
            yield f"{decider}.capacity_pressure_bar {capacity}: is not that of the margin that governs"
        if capacity is not None and told.get(f"{decider}.capacity_event") != each.event:
            yield f"{decider}.capacity_event: is not that of the margin that governs"
        if not _alike(told.get(f"{decider}.numerical_error_percent"), each.error_percent):
            yield f"{decider}.numerical_error_percent: is not that of the margin that governs"


def _growth_disagreements(told: Fields, margins: Sequence[Margin]) -> Iterator[str]:
    """Yield growths whose size the record does not hold elsewhere."""
    known = [row.get("growth_mm") for row in _rows(told.get("growth_at_bar"))] + [told.get("permanent_growth_mm")]
    for each in margins:
        if each.capacity is not None and not any(_alike(each.capacity, one) for one in known):
            yield f"margins ({each.limit_state}): {each.capacity} mm is no growth of this record"


def _alike(one: object, other: object) -> bool:
    """Tell whether two numbers differ by rounding alone; what is absent is like what is absent."""
    if not isinstance(one, int | float) or not isinstance(other, int | float):
        return one is None and other is None
    return math.isclose(one, other, rel_tol=ROUNDING)


def _number(value: object) -> float | None:
    return float(value) if isinstance(value, int | float) else None


def _rows(value: object) -> Iterator[Fields]:
    yield from (row for row in value if isinstance(row, Mapping)) if isinstance(value, list) else ()
