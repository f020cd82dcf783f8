"""What stands on a margin sheet, as frozen data made from the record of a run and from nothing else."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from buckle.increasing import PRESSURE, PUSH
from buckle.margins import Verdict as OfMargin
from buckle.margins import Word
from buckle.margins.wording import Said, event_words, governing_of, sentence
from buckle.record.margins import margin_of
from buckle.record.quantities import KINDS, Fields
from buckle.record.reading import list_of, number_of, pairs_of, rows_of, texts_of
from buckle.record.sheet.contents import Contents, contents_of
from buckle.record.sheet.evidence import Evidence, evidence_of
from buckle.record.sheet.hand import Beside, beside_of
from buckle.record.sheet.head import Head, head_of
from buckle.record.sheet.ladder import OnCurve, Rung, on_curve, rungs
from buckle.record.sheet.sensitivities import Sensitivities, sensitivities_of
from buckle.record.sheet.signs import signs
from buckle.record.sheet.values import percent, value_text


@dataclass(frozen=True)
class MarginLine:
    """A computed capacity against what is demanded, as recorded; of a movement [mm] or strain also its size."""

    limit_state: str
    method: str
    event: str
    capacity: float | None
    demand: float | None
    partial_factor: float
    reserve_factor: float | None
    numerical_error_percent: float | None
    at_least: bool
    verdict: str
    governs: bool
    reason: str
    found: float | None = None
    allowed: float | None = None
    size_unit: str | None = None  # None: a load has no size
    unit: str = "bar"  # or 'N', of capacity and demand
    hands: tuple[Beside, ...] = ()


@dataclass(frozen=True)
class Verdict:
    """The answer: what it says, the line that governs, where its demand comes from, how sure."""

    said: Said
    governing: MarginLine
    demand_from: str
    how_sure: tuple[str, ...]

    @property
    def word(self) -> str:
        """The one word."""
        return str(self.said.word)


@dataclass(frozen=True)
class Input:
    """A quantity as it was used."""

    key: str
    value: str
    origin: str


@dataclass(frozen=True)
class Expected:
    """A quantity that the case expects and what was found (None: nothing), as recorded."""

    quantity: str
    expected: object
    found: object
    deviation_percent: float | None
    tolerance_percent: float | None
    met: bool
    source: str


@dataclass(frozen=True)
class Moving:
    """How far the body moves [mm] and is strained under a load [bar] or [N]; `at` is what that load is."""

    at: str
    analysis: str
    load: float
    growth: float
    permanent: float | None
    stand_drop: float | None
    face_strain: float | None
    middle_strain: float | None
    unit: str = "bar"  # or 'N', of the load


@dataclass(frozen=True)
class Sheet:
    """A margin sheet; verdict None where there is none to give although something is required: `opening` says why.

    Numbers are in the units of the record; quantities in texts are marked (`buckle.marked`).
    """

    opening: str
    head: Head
    verdict: Verdict | None
    margins: tuple[MarginLine, ...]
    movement: tuple[Moving, ...]
    cautions_of_body: tuple[str, ...]
    cautions_of_strain: tuple[str, ...]
    contents: Contents | None
    ladder: tuple[Rung, ...]
    on_curve: OnCurve | None
    inputs: Mapping[str, tuple[Input, ...]]
    evidence: tuple[Evidence, ...]
    expectations: tuple[Expected, ...]
    benchmarks: str
    signs: tuple[str, ...]
    limits: tuple[str, ...]
    body: Mapping[str, float]
    cautions: tuple[str, ...]
    sensitivities: Sensitivities | None = None


def sheet_of(recorded: Fields, date: str, revision: str = "") -> Sheet:
    """Return the sheet of a record as results.json holds it."""
    margins = _margins(recorded)
    said = said_of(recorded)
    return Sheet(
        opening=sentence(said),
        head=head_of(recorded, date, revision),
        verdict=_verdict(recorded, said, margins),
        margins=margins,
        movement=tuple(map(_moving, rows_of(recorded.get("growth_at_bar") or recorded.get("growth_at_N")))),
        cautions_of_body=texts_of(recorded.get("body_cautions")),
        cautions_of_strain=texts_of(recorded.get("strain_cautions")),
        contents=contents_of(recorded),
        ladder=rungs(recorded),
        on_curve=on_curve(recorded),
        inputs=_inputs(recorded),
        evidence=tuple(evidence_of(recorded, kind) for kind in KINDS if f"{kind}.status" in recorded),
        expectations=tuple(map(_expected, rows_of(recorded.get("expectations")))),
        benchmarks=_benchmarks(recorded),
        signs=tuple(signs(_by_key(recorded))),
        limits=tuple(_limits(recorded)),
        body={key: value for key in _BODY if isinstance(value := recorded.get(key), float)},
        cautions=texts_of(recorded.get("cautions")),
        sensitivities=sensitivities_of(recorded),
    )


def _benchmarks(recorded: Fields) -> str:
    """How the benchmark suite stood at the release that made the record: a count that comes with it, no run of it."""
    counts = recorded.get("benchmarks")
    if not isinstance(counts, Mapping):
        return "Benchmark suite: not told by the version that made this record."
    release = dict(pairs_of(recorded.get("versions"))).get("buckle", "not told")
    return (
        "Benchmark suite as it stood at the release (buckle {release}), not run for this sheet: {cases} cases,"
        " {expectations} expectations, {met} met."
    ).format(release=release, **counts)


_BODY = ("mass_g", "enclosed_volume_ml", "surface_area_mm2", "blank_diameter_mm")


# The first lines ----------------------------------------------------------------------------------------------------


def said_of(recorded: Fields) -> Said:
    """Return the verdict of a record as data."""
    margins = [margin_of(row) for row in rows_of(recorded.get("margins")) if "beside" not in row]
    governing = next((margin for margin in margins if margin.governs), None)
    return Said(
        Word(str(recorded["verdict"])),
        None if governing is None else governing_of(governing),
        tuple(margin.limit_state for margin in margins if margin.verdict is OfMargin.NOT_MET),
        texts_of(recorded.get("doubts")),
        texts_of(recorded.get("not_judged")),
        tuple(int(n) for n in list_of(recorded.get("wave_numbers_examined")) if isinstance(n, int)),
    )


def _verdict(recorded: Fields, said: Said, margins: Sequence[MarginLine]) -> Verdict | None:
    line = next((line for line in margins if line.governs), None)
    if line is None or line.capacity is None or (said.word is Word.NO_VERDICT and line.verdict == Word.NO_VERDICT):
        return None
    return Verdict(said, line, _demand_from(recorded, line), tuple(_how_sure(recorded, margins, line)))


_DEMANDS = tuple(f"requirements.{key}" for key in ("pressure_bar", "service_pressure_bar", "axial_force_N"))


def _demand_from(recorded: Fields, line: MarginLine) -> str:
    given = [
        each
        for each in rows_of(recorded.get("inputs"))
        if str(each.get("key")) in _DEMANDS and each.get("value") in (line.demand, line.demand and -line.demand)
    ]
    inside = _by_key(recorded).get("loads.pressure_side", {}).get("value") == "inside"
    made = number_of(recorded.get("demand_bar" if inside else "demand_vacuum_bar"))
    if not given and made is not None and line.demand is not None and math.isclose(made, line.demand, rel_tol=1e-9):
        return "the contents of the case, which make more than it requires"
    if not given:
        return "no demand is given" if line.demand is None else "a requirement of the case"
    source = f", {given[0]['source']}" if given[0].get("source") else ""
    return f"{given[0]['key']} of the case {given[0]['origin']}{source}"


def _how_sure(recorded: Fields, margins: Sequence[MarginLine], line: MarginLine) -> Iterator[str]:
    yield from (f"Doubt: {doubt}." for doubt in list_of(recorded.get("doubts")))
    error = line.numerical_error_percent
    if error is None:
        yield "Numerical error: not estimated for this event."
    else:
        yield (
            f"Numerical error: about {percent(error)}, an estimate and no bound: the change against one run that is"
            " coarser in mesh, layers and steps at once, with a floor (see Evidence)."
        )
    if not recorded.get("reserve_at_tolerances"):
        yield "Tolerances of dimensions, gauge and metal: not part of this run; all stand as written in the case file."
    else:
        yield (
            "Tolerances of dimensions, gauge and metal: all stand as written in the case file here; what one at a time"
            " makes of the reserve, to first order, stands below the margins."
        )
    if line.reason:
        yield f"{line.reason[0].upper()}{line.reason[1:]}."
    yield from _other_events(margins, line)
    missed = [str(row.get("quantity")) for row in rows_of(recorded.get("expectations")) if not row.get("met")]
    if missed:
        yield f"Expectations of the case file missed: {', '.join(missed)} (see Evidence)."
    yield "Limits of the model: see Assumptions and limits."


def _other_events(margins: Sequence[MarginLine], governing: MarginLine) -> Iterator[str]:
    """Tell how far the next event of the deciding analysis lies."""
    for line in margins:
        if line.method == governing.method and line is not governing and line.size_unit is None and line.capacity:
            times = line.capacity / (governing.capacity or line.capacity)
            yield f"The next event of {line.method}, {line.limit_state}, lies {times:.3f} times as high."


# Margins ------------------------------------------------------------------------------------------------------------


def _margins(recorded: Fields) -> tuple[MarginLine, ...]:
    """Return the computed rows, each with the hand rows that follow it."""
    lines: list[MarginLine] = []
    for row in rows_of(recorded.get("margins")):
        if "beside" not in row:
            lines.append(_line(row))
        elif lines and (computed := lines[-1].capacity if lines[-1].size_unit is None else lines[-1].found) is not None:
            hand = beside_of(row, computed, lines[-1].unit if lines[-1].size_unit is None else lines[-1].size_unit)
            earlier = {(each.name, each.numbers) for line in lines for each in line.hands}
            hand = replace(hand, shown_before=(hand.name, hand.numbers) in earlier)
            lines[-1] = replace(lines[-1], hands=(*lines[-1].hands, hand))
    return tuple(lines)


def _line(row: Fields) -> MarginLine:
    """Return a computed row with its loads as they are recorded."""
    margin = margin_of(row)
    size, unit = margin.size, margin.increasing.unit
    return MarginLine(
        limit_state=margin.limit_state,
        method=margin.method,
        event=event_words(margin.event, margin.wave_number),
        capacity=number_of(row.get(f"capacity_{unit}")),
        demand=number_of(row.get(f"demand_{unit}")),
        partial_factor=margin.partial_factor,
        reserve_factor=number_of(row.get("reserve_factor")),
        numerical_error_percent=margin.error_percent,
        at_least=margin.at_least,
        verdict=str(margin.verdict),
        governs=margin.governs,
        reason=margin.reason,
        found=None if size is None else size.found,
        allowed=None if size is None else size.allowed,
        size_unit=None if size is None else size.unit,
        unit=unit,
    )


def _moving(row: Fields) -> Moving:
    return Moving(
        str(row.get("at", "")),
        str(row.get("analysis", "")),
        number_of(row.get(PRESSURE.key, row.get(PUSH.key))) or 0.0,
        number_of(row.get("growth_mm")) or 0.0,
        number_of(row.get("permanent_growth_mm")),
        number_of(row.get("stand_drop_mm")),
        number_of(row.get("face_strain")),
        number_of(row.get("middle_strain")),
        (PUSH if PUSH.key in row else PRESSURE).unit,
    )


# The rest -----------------------------------------------------------------------------------------------------------


def _inputs(recorded: Fields) -> Mapping[str, tuple[Input, ...]]:
    """Return the inputs by table of the case file."""
    tables: dict[str, list[Input]] = {}
    for row in rows_of(recorded.get("inputs")):
        table, _, key = str(row["key"]).partition(".")
        source = f": {row['source']}" if row.get("source") else ""
        tables.setdefault(table, []).append(Input(key, value_text(row.get("value")), f"{row['origin']}{source}"))
    return {table: tuple(inputs) for table, inputs in tables.items()}


def _expected(row: Fields) -> Expected:
    return Expected(
        str(row.get("quantity", "")),
        row.get("expected"),
        row.get("found"),
        number_of(row.get("deviation_percent")),
        number_of(row.get("tolerance_percent")),
        bool(row.get("met")),
        str(row.get("source", "")),
    )


def _by_key(recorded: Fields) -> dict[str, Fields]:
    return {str(row["key"]): row for row in rows_of(recorded.get("inputs"))}


def _limits(recorded: Fields) -> Iterator[str]:
    """Yield the assumptions, those that the inputs decide among them; each says to which side it errs."""
    inputs = _by_key(recorded)
    waved = any(f"{kind}.waves" in recorded for kind in ("GNIA", "GMNIA"))
    if waved or not {"GNIA.status", "GMNIA.status"} & set(recorded):
        perfect = "perfect but for small waves around, of one number" if waved else "perfect"
        missing = "no dents, no ovality, no thinning but what the thickness says"
        yield f"The shape is {perfect}: {missing}. Not conservative."
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
    if inputs.get("supports.stand", {}).get("value"):
        yield (
            f"It stands on the circle that is lowest before the load, as a {inputs['supports.stand']['value']}; a stand"
            " that rolls is carried elsewhere, and real friction lies between a roller and a pinned stand. Can err to"
            " either side."
        )
    if inputs.get("loads.follower", {}).get("value") is False:
        yield "The pressure keeps its direction when the wall turns. Can err to either side."
    yield "Pressure acts on the middle surface, which moves results by the order of t/R."
    if inputs.get("contents.warm_metal", {}).get("value") is True:
        yield "Metal as warm as in the condition that the contents make most pressure in; static pressure."
    else:
        yield "Metal at room temperature; static pressure. Warm metal is weaker: not conservative above it."
    yield "No contact with a table, no impact, no stresses left from forming. Can err to either side."
