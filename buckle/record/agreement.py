"""Whether a record of margins agrees with itself: what follows from other parts of it is worked out once more."""

import math
from collections.abc import Iterator, Mapping, Sequence

from buckle.case import Case
from buckle.case.models import like
from buckle.errors import clipped
from buckle.formulas.base import Interval
from buckle.increasing import PRESSURE, Increasing
from buckle.margins.doubts import certain_reserve
from buckle.margins.judge import FIDELITY
from buckle.margins.limits import LIMITS
from buckle.margins.margin import JUDGED, OPEN, Margin, Verdict
from buckle.margins.names import BY_DEFORMATION, COLLAPSE_WITH_WAVES, PASSED
from buckle.margins.verdict import Word, word_of
from buckle.record.margins import hand_method, margin_of, size_of
from buckle.record.reading import number_of, rows_of, texts_of
from buckle.results import BIFURCATION, LIMIT_POINT

Fields = Mapping[str, object]

ROUNDING = 1e-12
"""Parts in one: a record holds bar, which are ten times the MPa that were divided; three roundings of 1e-16 each."""
NO_ANALYSIS = "none"
"""Method of a margin that no analysis was run for."""
_EVENTS = ("limit", "bifurcation", "critical", "capacity", "governing", "first_yield")
"""Loads of an analysis, such as `KIND.NAME_pressure_bar`, each of which is the capacity of one margin."""
_LOWEST = {"limit": LIMIT_POINT, "bifurcation": BIFURCATION, "critical": BIFURCATION}
"""Loads of which the lowest governs an analysis, and what comes there."""
_MOVEMENTS = (  # keys of a state in growth_at_bar
    "growth_mm",
    "permanent_growth_mm",
    "stand_drop_mm",
    "face_strain",
)
_STATES = {need: kind.words for need, kind in LIMITS.items()} | {"axial_force": "axial crush"}
"""Requirements beside the pressure, and the limit state that each makes."""


def disagreements(recorded: Fields, rows: Sequence[Fields]) -> Iterator[str]:
    """Yield what does not follow from the rest of a record with these margins, each as 'place: what is wrong'."""
    inputs = {row.get("key"): row.get("value") for row in rows_of(recorded.get("inputs"))}
    ran = [kind for kind in FIDELITY if f"{kind}.status" in recorded and f"{kind}.waves" not in recorded]
    decider = next((kind for kind in ran if kind != "LA"), "")
    computed: Margin | None = None
    margins = []
    for index, row in enumerate(rows):
        where = _where(index, row)
        if "beside" in row:
            yield from _hand_disagreements(where, row, computed)
            continue
        computed = margin_of(row)
        margins.append(computed)
        if f"{computed.method}.status" not in recorded and computed.method != NO_ANALYSIS:
            yield f"{where}: is of no analysis of this record and stands beside none"
        if not _alike(row.get("reserve_factor"), computed.reserve):
            yield f"{where}: reserve_factor {row.get('reserve_factor')} is not that of its capacity and demand"
        if not agrees(computed, decider, inputs):
            yield f"{where}: verdict {computed.verdict} does not follow from its capacity and demand"
    load = _increasing(margins)
    yield from _wave_disagreements(recorded, load)
    yield from _event_disagreements(recorded, margins, load)
    yield from _verdict_disagreements(recorded, margins, decider)
    yield from _growth_disagreements(recorded, margins)


def _where(index: int, row: Fields) -> str:
    """Return where a margin stands, with as much of its names as a message bears."""
    return f"margins[{index}] ({clipped(str(row['limit_state']))}, {clipped(str(row['method']))})"


def _increasing(margins: Sequence[Margin]) -> Increasing:
    """Return the load that the margins of a record are about."""
    return next((each.increasing for each in margins if not each.increasing.is_pressure), PRESSURE)


def agrees(margin: Margin, decider: str, inputs: Mapping[object, object]) -> bool:
    """Tell whether the verdict of a margin is one that its capacity and demand give.

    `decider` is the analysis kind that decides, `inputs` the values of the case by their keys.
    """
    waved = margin.limit_state == COLLAPSE_WITH_WAVES and like(margin.method) == decider
    decides = (margin.method == decider or waved) and margin.limit_state != PASSED
    decides = decides and (
        like(decider) == "GMNA" or (like(decider) == "GNA" and inputs.get("material.yields") is False)
    )
    if margin.verdict in OPEN:
        return margin.capacity is None or not decides or (margin.at_least and (margin.reserve or 0.0) < 1.0)
    if margin.size is not None and margin.size.allowed is None:
        return margin.verdict is Verdict.NO_REQUIREMENT
    if not decides or margin.capacity is None:
        return not margin.governs and margin.verdict is Verdict.FOR_COMPARISON
    if margin.reserve is None:
        return margin.verdict in (Verdict.NO_REQUIREMENT, Verdict.FOR_COMPARISON)
    return margin.verdict in _given(margin, margin.reserve, inputs.get("requirements.onset"))


def _given(margin: Margin, reserve: float, onset: object) -> tuple[Verdict, ...]:
    """Verdicts that a reserve factor may give; without a verdict on the whole it gives none."""
    enough: tuple[Verdict, ...] = (Verdict.MET,) if reserve > 1.0 else (Verdict.NOT_MET,)
    if math.isclose(reserve, 1.0, rel_tol=ROUNDING):
        enough = (Verdict.MET, Verdict.NOT_MET)
    if not margin.limit_state.endswith(BY_DEFORMATION):
        return (*enough, Verdict.NO_VERDICT)
    if onset == "deformation":
        return (*enough, Verdict.NO_VERDICT)
    certain = certain_reserve(margin.error_percent)
    doubted = onset is None and (reserve < certain or math.isclose(reserve, certain, rel_tol=ROUNDING))
    return (Verdict.DOUBT, Verdict.NO_VERDICT) if doubted else (Verdict.FOR_COMPARISON,)


def _hand_disagreements(where: str, row: Fields, computed: Margin | None) -> Iterator[str]:
    """Yield what is wrong with a hand value beside a computed margin, which stands before it."""
    if computed is None or computed.compared is None or row["limit_state"] != computed.limit_state:
        yield f"{where}: stands beside no computed margin"
        return
    if computed.size is None:
        load = computed.increasing
        key, beside, demand = (
            f"capacity_{load.unit}",
            load.in_margin(computed.compared),
            load.in_margin(computed.demand),
        )
    else:
        key, beside, demand = f"found_{computed.size.unit}", computed.compared, None
    assert beside is not None  # as just seen
    value = number_of(row.get(key))
    if row["beside"] != computed.method or not _alike(number_of(row.get(f"demand_{computed.increasing.unit}")), demand):
        yield f"{where}: its analysis or demand is not that of the margin it stands beside"
    if not _alike(row.get("ratio_hand_to_computed"), value and value / beside):
        recorded = row.get("ratio_hand_to_computed")
        yield f"{where}: ratio_hand_to_computed {recorded} is not that of its two values"
    reserve = value / (computed.partial_factor * demand) if value and demand else None
    if not _alike(row.get("reserve_factor"), reserve):
        yield f"{where}: reserve_factor {row.get('reserve_factor')} is not that of its capacity and demand"
    if row["method"] != hand_method(str(row.get("formula")), str(row.get("kind"))):
        formula, kind = (clipped(str(row.get(key))) for key in ("formula", "kind"))
        yield f"{where}: formula and kind are not those of its method: {formula}, {kind}"
    yield from _range_disagreements(where, row)


def _range_disagreements(where: str, row: Fields) -> Iterator[str]:
    """Yield ranges of use of a hand value that are told as kept to, or as left, and are not."""
    for each in rows_of(row.get("ranges")):
        value, symbol = number_of(each.get("value")), str(each["symbol"])
        low, high = number_of(each.get("low")), number_of(each.get("high"))
        inside = Interval(symbol, -math.inf if low is None else low, math.inf if high is None else high)
        if each.get("met") != (None if value is None else inside.contains(value)):
            met = each.get("met")
            yield f"{where}: met {met} of a range does not follow from its value: {clipped(symbol)}"


def demand_disagreements(case: Case, rows: Sequence[Fields]) -> Iterator[str]:
    """Yield demands of a record that the requirements of its case do not make, and those of the case that it lacks."""
    needs = case.requirements
    load, required = case.loads.increasing, case.required_load
    demands = [load.in_margin(each) for each in (required, needs.service_pressure) if each is not None]
    for index, row in enumerate(rows):
        where = _where(index, row)
        recorded = row.get(f"demand_{load.unit}")
        size = size_of(row) if "beside" not in row else None
        wanted = demands if size is not None else demands[:1] if required is not None else []
        if recorded is not None and not any(_alike(recorded, each) for each in wanted):
            yield f"{where}: demand {recorded} is none of the case file"
        factor = needs.partial_factor if size is None and row["method"] not in ("LA", NO_ANALYSIS) else 1.0
        if "beside" not in row and row.get(f"capacity_{load.unit}") is not None and row.get("partial_factor") != factor:
            yield f"{where}: partial_factor {row.get('partial_factor')} is not that of the case file"
        if (
            size is not None
            and size.allowed is not None
            and not any(_alike(size.allowed, each) for each in _sizes(case))
        ):
            yield f"{where}: allowed {size.allowed} is nothing that the case file allows"
    states = {str(row["limit_state"]) for row in rows}
    for need, state in _STATES.items():
        judged_apart = need == "axial_force" and not load.is_pressure  # what increases is judged by every margin
        if getattr(needs, need) is not None and state not in states and not judged_apart:
            yield f"margins: {state}, which the case file demands, is missing"


def _sizes(case: Case) -> list[float]:
    """What the case allows of movements [mm] and strains."""
    return [size for need in LIMITS if (size := getattr(case.requirements, need)) is not None]


def _wave_disagreements(recorded: Fields, load: Increasing) -> Iterator[str]:
    """Yield what the lowest of the linear bifurcations is not."""
    waves = list(rows_of(recorded.get("LBA.by_wave_number")))
    lowest = min(waves, key=lambda row: abs(number_of(row.get(load.key)) or 0.0), default={})
    for key, own in ((f"critical_{load.key}", load.key), ("wave_number", "wave_number")):
        if not _alike(recorded.get(f"LBA.{key}"), lowest.get(own)):
            yield f"LBA.{key} {recorded.get(f'LBA.{key}')}: is not that of the lowest in LBA.by_wave_number"


def _event_disagreements(recorded: Fields, margins: Sequence[Margin], load: Increasing) -> Iterator[str]:
    """Yield loads of analyses that no margin shows, and governing events that are not the lowest."""
    for kind in FIDELITY:
        shown = [load.in_margin(each.capacity) for each in margins if each.method == kind]
        for event in _EVENTS:
            key = f"{kind}.{event}_{load.key}"
            if key in recorded and not any(_alike(recorded[key], each) for each in shown):
                yield f"{key} {recorded[key]}: no margin of {kind} has it; one is missing or was changed"
        found = {name: recorded.get(f"{kind}.{name}_{load.key}") for name in _LOWEST}
        lowest = min(filter(None, map(number_of, found.values())), key=abs, default=None)
        if not _alike(recorded.get(f"{kind}.governing_{load.key}"), lowest):
            yield f"{kind}.governing_{load.key}: is not the lowest of {', '.join(_LOWEST)}"
        words = {word for name, word in _LOWEST.items() if lowest is not None and _alike(found[name], lowest)}
        if recorded.get(f"{kind}.governing_event", "none") not in (words or {"none"}):
            came = clipped(str(recorded.get(f"{kind}.governing_event")))
            yield f"{kind}.governing_event {came}: is not what comes at that {load.words}"


def _verdict_disagreements(recorded: Fields, margins: Sequence[Margin], decider: str) -> Iterator[str]:
    """Yield what is wrong with the verdict, with what governs, and with the capacity that they rest on."""
    verdicts = [each.verdict for each in margins]
    doubts, missing = (texts_of(recorded.get(key)) for key in ("doubts", "not_judged"))
    judged = [each for each in margins if each.verdict in JUDGED and each.verdict is not Verdict.DOUBT]
    word = Word.NO_VERDICT if Verdict.NO_VERDICT in verdicts else word_of(verdicts, doubts, missing)
    if recorded.get("decided_by") != (decider or None):
        named = clipped(str(recorded.get("decided_by")))
        yield f"decided_by {named}: is not the analysis that decides of those that were run"
    if recorded.get("verdict") != word:
        yield f"verdict {recorded.get('verdict')}: is not what the margins, doubts and what is not judged come to"
    if Verdict.NO_VERDICT in verdicts and not (missing or any(each in verdicts for each in OPEN)):
        yield "not_judged: says nothing of why there is no verdict"
    failed = [key for key, value in recorded.items() if key.endswith(".status") and value == "failed"]
    if failed and not missing:
        yield f"not_judged: says nothing of {clipped(failed[0].removesuffix('.status'))}, which failed"
    if Verdict.DOUBT in verdicts and Verdict.MET in verdicts and not doubts:
        yield "doubts: says nothing of a margin that is in doubt"
    yield from _governing_disagreements(recorded, margins, judged)
    yield from _capacity_disagreements(recorded, margins, decider)


def _governing_disagreements(recorded: Fields, margins: Sequence[Margin], judged: Sequence[Margin]) -> Iterator[str]:
    """Yield what is wrong with the margin that governs, and with the least reserve factor."""
    least = min((each.reserve for each in judged if each.reserve is not None), default=None)
    if not _alike(recorded.get("reserve_factor"), least):
        yield f"reserve_factor {recorded.get('reserve_factor')}: is not the least of the margins"
    governing = [each for each in margins if each.governs]
    if len(governing) > 1 or (judged and not governing):
        yield f"margins: {len(governing)} govern; allowed: one"
    for each in governing:
        if least is not None and not _alike(each.reserve, least):
            yield f"margins ({clipped(each.limit_state)}): governs, but has not the least reserve factor"
        if recorded.get("governing_limit_state") != each.limit_state:
            named = clipped(str(recorded.get("governing_limit_state")))
            yield f"governing_limit_state {named}: is not that of the margin that governs"


def _capacity_disagreements(recorded: Fields, margins: Sequence[Margin], decider: str) -> Iterator[str]:
    """Yield a capacity that is not that of a margin, with its event and its numerical error."""
    load = _increasing(margins)
    capacity = recorded.get(f"{decider}.capacity_{load.key}")
    error, event = (recorded.get(f"{decider}.{key}") for key in ("numerical_error_percent", "capacity_event"))
    if capacity is not None and not any(
        each.method == decider
        and _alike(capacity, load.in_margin(each.capacity))
        and (event, each.size) == (each.event, None)
        and _alike(error, each.error_percent)
        for each in margins
    ):
        yield f"{decider}.capacity_{load.key} {capacity}: no margin has it with this event and error"


def _growth_disagreements(recorded: Fields, margins: Sequence[Margin]) -> Iterator[str]:
    """Yield movements and strains whose size the record does not hold elsewhere."""
    grown = recorded.get(f"growth_at_{_increasing(margins).unit}")
    known = [row.get(key) for row in rows_of(grown) for key in _MOVEMENTS]
    for each in margins:
        found = None if each.size is None else each.size.found
        if found is not None and not any(_alike(found, one) for one in known):
            yield f"margins ({clipped(each.limit_state)}): {found} is no movement or strain of this record"


def _alike(one: object, other: object) -> bool:
    """Tell whether two numbers differ by rounding alone; what is absent is like what is absent."""
    if not isinstance(one, int | float) or not isinstance(other, int | float):
        return one is None and other is None
    return math.isclose(one, other, rel_tol=ROUNDING)
