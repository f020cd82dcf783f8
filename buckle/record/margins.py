"""Margins as plain rows, one a computed event, one more for every hand value beside it; expectations as rows too."""

from collections.abc import Iterator, Sequence

from buckle.case import Case
from buckle.formulas.base import Formula, Interval, Quantity
from buckle.increasing import PRESSURE, PULL, PUSH, Increasing
from buckle.margins.compare import Comparison
from buckle.margins.judge import demanded, requires
from buckle.margins.margin import Hand, Margin, Size, Verdict, reserve_factor
from buckle.margins.verdict import Judgement
from buckle.record.holding import holding_fields
from buckle.record.quantities import Fields
from buckle.record.reading import number_of

OUT_OF_RANGE = "out of range"
"""Verdict of a hand row whose formula does not hold for its numbers."""
COMPUTED = "finite elements, shell of revolution (this calculation)"


def margin_rows(judgement: Judgement) -> list[dict[str, object]]:
    """Rows under the contract's names, pressures in bar, forces in N; None where a number does not exist."""
    return [row for margin in judgement.margins for row in _rows(margin)]


def verdict_fields(judgement: Judgement) -> dict[str, object]:
    """The verdict under the contract's names, with everything that its word follows from beside the margins."""
    governing = judgement.governing
    return {
        "verdict": str(judgement.word),
        "reserve_factor": judgement.reserve,
        "governing_limit_state": None if governing is None else governing.limit_state,
        **_asked(judgement.required, judgement.demand, judgement.increasing, judgement.wave_numbers),
        "decided_by": judgement.decided_by or None,
        "doubts": list(judgement.doubts) or None,
        "not_judged": list(judgement.unjudged) or None,
        "strain_cautions": list(judgement.cautions) or None,
        "margins": margin_rows(judgement),
        **holding_fields(judgement.holding),
    }


def asked_fields(case: Case) -> dict[str, object]:
    """Return what of a record's verdict follows from its case alone: what is required, and the waves examined."""
    return _asked(requires(case), demanded(case), case.loads.increasing, case.analyses.wave_numbers)


def _asked(required: bool, demand: float | None, increasing: Increasing, waves: Sequence[int]) -> dict[str, object]:
    return {
        "required": required,
        f"required_{increasing.key}": increasing.in_margin(demand),
        "wave_numbers_examined": list(waves),
    }


def expectation_rows(comparisons: Sequence[Comparison]) -> list[dict[str, object]]:
    """Rows of what a case expects; `found` None where the quantity does not exist."""
    return [
        {
            "quantity": each.quantity,
            "expected": each.expected,
            "found": each.found,
            "deviation_percent": each.deviation_percent,
            "tolerance_percent": each.tolerance_percent,
            "met": each.met,
            "source": each.source,
        }
        for each in comparisons
    ]


def _rows(margin: Margin) -> Iterator[dict[str, object]]:
    yield {
        "limit_state": margin.limit_state,
        **_loads(margin, margin.capacity),
        "partial_factor": margin.partial_factor,
        "reserve_factor": margin.reserve,
        **_size(margin),
        "method": margin.method,
        "source": COMPUTED,
        "verdict": str(margin.verdict),
        "event": margin.event or None,
        "governs": margin.governs,
        "wave_number": margin.wave_number,
        "numerical_error_percent": margin.error_percent,
        "at_least": margin.at_least or None,
        "reason": margin.reason or None,
    }
    for hand in margin.hand:
        yield _hand_row(margin, hand)


def _hand_row(margin: Margin, hand: Hand) -> dict[str, object]:
    formula = hand.formula
    if margin.size is None:
        sizes = _loads(margin, hand.value)
        reserve = None if hand.value is None else reserve_factor(hand.value, margin.partial_factor, margin.demand)
    else:
        sizes, reserve = {f"found_{margin.size.unit}": hand.value}, None
    return {
        "limit_state": margin.limit_state,
        **sizes,
        "reserve_factor": reserve,
        "method": hand_method(formula.name, formula.kind),
        "formula": formula.name,
        "kind": formula.kind,
        "source": formula.source,
        "verdict": str(Verdict.FOR_COMPARISON) if formula.in_range else OUT_OF_RANGE,
        "beside": margin.method,
        "ratio_hand_to_computed": hand.ratio,
        "expression": formula.expression,
        "inputs": list(map(_quantity, formula.inputs)),
        "steps": list(map(_quantity, formula.steps)),
        "ranges": [_range(formula, interval) for interval in formula.statement.ranges],
        "conditions": list(formula.statement.conditions),
        "ignores": list(formula.ignores),
        "reason": hand.why,
    }


def _loads(margin: Margin, capacity: float | None) -> dict[str, object]:
    load = margin.increasing
    return {
        f"capacity_{load.unit}": load.in_margin(capacity),
        f"demand_{load.unit}": load.in_margin(margin.demand),
    }


def _size(margin: Margin) -> dict[str, object]:
    """What is found of a movement or a strain under the demand, and allowed of it."""
    if margin.size is None:
        return {}
    suffix = f"_{margin.size.unit}" if margin.size.unit else ""
    return {f"found{suffix}": margin.size.found, f"allowed{suffix}": margin.size.allowed}


def hand_method(name: str, kind: str) -> str:
    """Return the method of a hand row: the formula's name, and what sort of claim its value is."""
    return f"hand calculation: {name} ({kind})"


def _quantity(quantity: Quantity) -> dict[str, object]:
    """A number of a formula; unit '-' is none, and a number that is not finite has no value."""
    return {"symbol": quantity.symbol, "value": quantity.value, "unit": quantity.unit}


def _range(formula: Formula, interval: Interval) -> dict[str, object]:
    """A range of use beside the number that must lie in it; neither value nor `met` where that was not worked out."""
    found = next((each for each in (*formula.inputs, *formula.steps) if each.symbol == interval.symbol), None)
    return {
        "symbol": interval.symbol,
        "low": interval.low,
        "high": interval.high,
        "value": None if found is None else found.value,
        "unit": None if found is None else found.unit,
        "met": None if found is None else interval.contains(found.value),
    }


def margin_of(row: Fields) -> Margin:
    """Return the margin of a computed row: loads in MPa or N again, without its hand values."""
    load = increasing_of(row)
    return Margin(
        limit_state=str(row["limit_state"]),
        method=str(row["method"]),
        event=str(row.get("event", "")),
        capacity=load.of_margin(number_of(row.get(f"capacity_{load.unit}"))),
        demand=load.of_margin(number_of(row.get(f"demand_{load.unit}"))),
        verdict=Verdict(str(row["verdict"])),
        governs=bool(row.get("governs")),
        wave_number=int(waves) if (waves := number_of(row.get("wave_number"))) is not None else None,
        error_percent=number_of(row.get("numerical_error_percent")),
        at_least=bool(row.get("at_least")),
        partial_factor=number_of(row.get("partial_factor")) or 1.0,
        size=size_of(row),
        reason=str(row.get("reason", "")),
        increasing=load,
    )


def increasing_of(row: Fields) -> Increasing:
    """Return the load that a row of a margin, computed or by hand, is about: a force by the unit of its keys."""
    forces = [number_of(row.get(f"{name}_{PUSH.unit}")) for name in ("capacity", "demand")]
    sizes = [force for force in forces if force is not None]
    if not sizes:
        return PRESSURE
    return PUSH if sizes[0] < 0.0 else PULL


def size_of(row: Fields) -> Size | None:
    """Return the size of a movement or strain that a computed row tells; None of a pressure."""
    for unit, suffix in (("mm", "_mm"), ("", "")):
        if f"found{suffix}" in row or f"allowed{suffix}" in row:
            allowed = number_of(row.get(f"allowed{suffix}"))
            return Size(number_of(row.get(f"found{suffix}")), allowed, unit)
    return None
