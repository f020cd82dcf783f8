"""What stands on a margin sheet, as frozen data made from the record of a run and from nothing else."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from buckle.sheet.margin_sheet_hand import HandSheet, hand_sheet
from buckle.sheet.margin_sheet_ladder import Place, Rung, event_words, place, rungs
from buckle.sheet.margin_sheet_signs import signs
from buckle.sheet.record import Fields

KINDS = ("LA", "LBA", "MNA", "GNA", "GMNA", "GNIA", "GMNIA")
MET, NOT_MET, OPEN = "met", "not met", ("not found", "not run")
_REQUIREMENT = {"bar": "requirements.pressure_bar", "mm": "requirements.growth_mm"}


@dataclass(frozen=True)
class Head:
    """What identifies a sheet; revision '' is a line to be filled in by hand."""

    title: str
    revision: str
    date: str
    input_sha256: str
    versions: Mapping[str, str]


@dataclass(frozen=True)
class MarginLine:
    """A computed capacity against what is demanded, sizes in `unit`."""

    limit_state: str
    method: str
    event: str
    unit: str
    capacity: float | None
    demand: float | None
    reserve_factor: float | None
    numerical_error_percent: float | None
    at_least: bool
    verdict: str
    governs: bool
    reason: str
    hands: tuple[HandSheet, ...] = ()


@dataclass(frozen=True)
class Verdict:
    """The answer: a word, the line that governs, where its demand comes from, what else falls short, how sure."""

    word: str
    governing: MarginLine
    demand_from: str
    missed: tuple[str, ...]
    open: tuple[str, ...]
    how_sure: tuple[str, ...]


@dataclass(frozen=True)
class Input:
    """A quantity as it was used."""

    key: str
    value: str
    origin: str


@dataclass(frozen=True)
class Evidence:
    """Discretisation of one analysis, what coarser ones change, and its axial equilibrium."""

    kind: str
    status: str
    settings: Mapping[str, str]
    convergence_percent: Mapping[str, float]
    numerical_error_percent: float | None
    applied_N: float | None  # noqa: N815 - keys carry their unit
    reaction_N: float | None  # noqa: N815
    notes: tuple[str, ...]

    @property
    def imbalance(self) -> float | None:
        """Applied plus reaction force over the larger of the two."""
        if self.applied_N is None or self.reaction_N is None:
            return None
        return abs(self.applied_N + self.reaction_N) / (max(abs(self.applied_N), abs(self.reaction_N)) or 1.0)


@dataclass(frozen=True)
class Expected:
    """A quantity that the case expects, as read, with what was found; sizes beyond the tolerance are not met."""

    quantity: str
    expected: str
    found: str
    deviation_percent: float | None
    tolerance_percent: float | None
    met: bool
    source: str


@dataclass(frozen=True)
class Sheet:
    """A margin sheet; verdict None where an analysis is unsolved or nothing governs, and `opening` says why."""

    opening: str
    head: Head
    verdict: Verdict | None
    margins: tuple[MarginLine, ...]
    ladder: tuple[Rung, ...]
    place: Place | None
    inputs: Mapping[str, tuple[Input, ...]]
    evidence: tuple[Evidence, ...]
    expectations: tuple[Expected, ...]
    benchmarks: str
    signs: tuple[str, ...]
    limits: tuple[str, ...]
    body: Mapping[str, float]
    cautions: tuple[str, ...]


def sheet_of(told: Fields, date: str, revision: str = "") -> Sheet:
    """Return the sheet of a record as results.json holds it."""
    margins = _margins(told)
    unsolved = tuple(_unsolved(told))
    verdict = None if unsolved else _verdict(told, margins)
    if verdict is None:
        margins = tuple(replace(line, verdict="", governs=False) for line in margins)
    return Sheet(
        opening=_opening(verdict, unsolved),
        head=Head(str(told["title"]), revision, date, str(told["input_sha256"]), _texts(told.get("versions"))),
        verdict=verdict,
        margins=margins,
        ladder=rungs(told),
        place=place(told),
        inputs=_inputs(told),
        evidence=tuple(_evidence(told, kind) for kind in KINDS if f"{kind}.status" in told),
        expectations=tuple(map(_expected, rows_of(told.get("expectations")))),
        benchmarks=_benchmarks(told),
        signs=tuple(signs(_by_key(told))),
        limits=tuple(_limits(told)),
        body={key: value for key in _BODY if isinstance(value := told.get(key), float)},
        cautions=tuple(map(str, _list(told.get("cautions")))),
    )


def _benchmarks(told: Fields) -> str:
    """How the benchmark suite stood at the release that made the record: a count that comes with it, no run of it."""
    counts = told.get("benchmarks")
    if not isinstance(counts, Mapping):
        return "Benchmark suite: not told by the version that made this record."
    release = _texts(told.get("versions")).get("buckle", "not told")
    return (
        "Benchmark suite as it stood at the release (buckle {release}), not run for this sheet: {cases} cases,"
        " {expectations} expectations, {met} met."
    ).format(release=release, **counts)


_BODY = ("mass_g", "enclosed_volume_ml", "surface_area_mm2", "blank_diameter_mm")


# The first lines ----------------------------------------------------------------------------------------------------


def _unsolved(told: Fields) -> Iterator[str]:
    for kind in KINDS:
        if told.get(f"{kind}.status") == "failed":
            remedy = told.get(f"{kind}.remedy")
            yield f"{kind} failed: {told.get(f'{kind}.reason', 'no reason told')}" + (
                f"; try {remedy}" if remedy else ""
            )


def _opening(verdict: Verdict | None, unsolved: Sequence[str]) -> str:
    if unsolved:
        return f"NO VERDICT: an analysis is unsolved. {'. '.join(unsolved)}."
    if verdict is None:
        return "NO VERDICT: no analysis that decides found a capacity."
    line = verdict.governing
    reserve = "no demand given" if line.reserve_factor is None else f"reserve factor {line.reserve_factor:.3f}"
    beyond = "more than " if line.at_least else ""
    return f"{verdict.word.upper()}: {line.limit_state} at {beyond}{size(line.capacity, line.unit)} governs, {reserve}."


def _verdict(told: Fields, margins: Sequence[MarginLine]) -> Verdict | None:
    governing = next((line for line in margins if line.governs), None)
    if governing is None or governing.capacity is None:
        return None
    missed = tuple(line.limit_state for line in margins if line.verdict == NOT_MET)
    still = tuple(f"{line.limit_state} ({line.reason})" for line in margins if line.verdict in OPEN)
    word = NOT_MET if missed else "incomplete" if still else governing.verdict
    return Verdict(
        word, governing, _demand_from(told, governing), missed, still, tuple(_how_sure(told, margins, governing))
    )


def _demand_from(told: Fields, line: MarginLine) -> str:
    key = _REQUIREMENT[line.unit]
    given = next((each for each in rows_of(told.get("inputs")) if each.get("key") == key), None)
    if given is None:
        return "no demand is given"
    source = f", {given['source']}" if given.get("source") else ""
    return f"{key} of the case {given['origin']}{source}"


def _how_sure(told: Fields, margins: Sequence[MarginLine], line: MarginLine) -> Iterator[str]:
    error, reserve = line.numerical_error_percent, line.reserve_factor
    if error is None:
        yield "Numerical error: not estimated for this event."
    else:
        yield (
            f"Numerical error: about {percent(error)}, an estimate and no bound: the change against one run that is"
            " coarser in mesh, layers and steps at once, with a floor (see Evidence)."
        )
        if reserve is not None and abs(reserve - 1.0) * 100.0 <= error:
            yield "The reserve is no larger than the numerical error: a finer mesh may turn the verdict."
    yield "Tolerances of dimensions, gauge and metal: not part of this run; all stand as written in the case file."
    if line.reason:
        yield f"{line.reason[0].upper()}{line.reason[1:]}."
    yield from _other_events(margins, line)
    missed = [str(row.get("quantity")) for row in rows_of(told.get("expectations")) if not row.get("met")]
    if missed:
        yield f"Expectations of the case file missed: {', '.join(missed)} (see Evidence)."
    yield "Limits of the model: see Assumptions and limits."


def _other_events(margins: Sequence[MarginLine], governing: MarginLine) -> Iterator[str]:
    """Tell how far the next event of the deciding analysis lies."""
    for line in margins:
        if line.method == governing.method and line is not governing and line.unit == "bar" and line.capacity:
            times = line.capacity / (governing.capacity or line.capacity)
            yield f"The next event of {line.method}, {line.limit_state}, lies {times:.3f} times as high."


# Margins ------------------------------------------------------------------------------------------------------------


def _margins(told: Fields) -> tuple[MarginLine, ...]:
    """Return the computed rows, each with the hand rows that follow it."""
    lines: list[MarginLine] = []
    for row in rows_of(told.get("margins")):
        if "beside" not in row:
            lines.append(_line(row))
        elif lines and lines[-1].capacity is not None:
            hand = hand_sheet(row, lines[-1].capacity)
            earlier = {(each.name, each.numbers) for line in lines for each in line.hands}
            hand = replace(hand, told_before=(hand.name, hand.numbers) in earlier)
            lines[-1] = replace(lines[-1], hands=(*lines[-1].hands, hand))
    return tuple(lines)


def _line(row: Fields) -> MarginLine:
    unit = "mm" if "capacity_mm" in row or "demand_mm" in row else "bar"
    event = str(row.get("event", ""))
    return MarginLine(
        limit_state=str(row["limit_state"]),
        method=str(row.get("method", "")),
        event=f"{event}, n = {row['wave_number']}" if "wave_number" in row else event,
        unit=unit,
        capacity=_number(row.get(f"capacity_{unit}")),
        demand=_number(row.get(f"demand_{unit}")),
        reserve_factor=_number(row.get("reserve_factor")),
        numerical_error_percent=_number(row.get("numerical_error_percent")),
        at_least=bool(row.get("no_event_up_to_capacity")),
        verdict=str(row.get("verdict", "")),
        governs=bool(row.get("governs")),
        reason=str(row.get("reason", "")),
    )


# The rest -----------------------------------------------------------------------------------------------------------


def _inputs(told: Fields) -> Mapping[str, tuple[Input, ...]]:
    """Return the inputs by table of the case file."""
    tables: dict[str, list[Input]] = {}
    for row in rows_of(told.get("inputs")):
        table, _, key = str(row["key"]).partition(".")
        source = f": {row['source']}" if row.get("source") else ""
        tables.setdefault(table, []).append(Input(key, value_text(row.get("value")), f"{row['origin']}{source}"))
    return {table: tuple(inputs) for table, inputs in tables.items()}


def value_text(value: object) -> str:
    """Return an input as people read it: lists and tables without their brackets."""
    if isinstance(value, Mapping):
        return ", ".join(f"{key} = {value_text(item)}" for key, item in value.items())
    if isinstance(value, list | tuple):
        flat = not any(isinstance(item, list | tuple) for item in value)
        return (", " if flat else "; ").join(value_text(item) for item in value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:.10g}" if isinstance(value, float) else str(value)


def _evidence(told: Fields, kind: str) -> Evidence:
    balance = told.get(f"{kind}.balance")
    forces = balance if isinstance(balance, Mapping) else {}
    changes = told.get(f"{kind}.convergence_percent")
    return Evidence(
        kind,
        _status(told, kind),
        {key: value_text(value) for key, value in _pairs(told.get(f"{kind}.settings"))},
        {key: float(value) for key, value in changes.items()} if isinstance(changes, Mapping) else {},
        _number(told.get(f"{kind}.numerical_error_percent")),
        _number(forces.get("applied_N")),
        _number(forces.get("reaction_N")),
        tuple(map(str, _list(told.get(f"{kind}.notes")))),
    )


def _expected(row: Fields) -> Expected:
    return Expected(
        str(row.get("quantity", "")),
        value_text(row.get("expected")),
        value_text(row["found"]) if "found" in row else "not found",
        _number(row.get("deviation_percent")),
        _number(row.get("tolerance_percent")),
        bool(row.get("met")),
        str(row.get("source", "")),
    )


def _status(told: Fields, kind: str) -> str:
    """Return how an analysis ended, with its event or its reason."""
    status = str(told[f"{kind}.status"])
    if f"{kind}.governing_event" in told:
        return f"{status}: {event_words(told, kind)}"
    reason = told.get(f"{kind}.reason")
    return f"{status}: {reason}" if reason else status


def _by_key(told: Fields) -> dict[str, Fields]:
    return {str(row["key"]): row for row in rows_of(told.get("inputs"))}


def _limits(told: Fields) -> Iterator[str]:
    """Yield the assumptions, those that the inputs decide among them; each says to which side it errs."""
    inputs = _by_key(told)
    if not {"GNIA.status", "GMNIA.status"} & set(told):
        yield "The shape is perfect: no dents, no ovality, no thinning but what the thickness says. Not conservative."
    yield "Axisymmetric shell of one isotropic metal; tab, score, rivet and lettering are not there. Not conservative."
    metal = inputs.get("material.yield_stress_MPa")
    if metal is not None:
        origin = f"{metal['origin']}" + (f", {metal['source']}" if metal.get("source") else "")
        stress = f"{value_text(metal['value'])} MPa"
        yield f"Yield stress {stress} ({origin}) and the curve above it are assumed, not measured."
    for side in ("start_edge", "outer_edge"):
        edge = inputs.get(f"supports.{side}")
        if edge is not None:
            yield f"The {side.replace('_', ' ')} is {edge['value']}; the real neighbour gives. Can err to either side."
    if inputs.get("loads.follower", {}).get("value") is False:
        yield "The pressure keeps its direction when the wall turns. Can err to either side."
    yield "Pressure acts on the middle surface, which moves results by the order of t/R."
    yield "Metal at room temperature; static pressure. Warm metal is weaker: not conservative above it."
    yield "No contact with a table, no impact, no stresses left from forming. Can err to either side."


# Small things -------------------------------------------------------------------------------------------------------


def size(value: float | None, unit: str) -> str:
    """Return a capacity or demand with its unit, in as many digits as it is worth."""
    if value is None:
        return "–"
    return f"{value:.3f} mm" if unit == "mm" else f"{value:.4g} bar"


def percent(value: float) -> str:
    """Return an error estimate in two digits."""
    return f"{value:.2g} %" if abs(value) >= 0.01 else "less than 0.01 %"


def rows_of(value: object) -> Iterator[Fields]:
    """Yield the rows of a list in a record; none where it has no such list."""
    yield from (row for row in _list(value) if isinstance(row, Mapping))


def _list(value: object) -> Sequence[object]:
    return value if isinstance(value, list | tuple) else ()


def _pairs(value: object) -> Iterator[tuple[str, object]]:
    yield from value.items() if isinstance(value, Mapping) else ()


def _texts(value: object) -> Mapping[str, str]:
    return {key: str(each) for key, each in _pairs(value)}


def _number(value: object) -> float | None:
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None
