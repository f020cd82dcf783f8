"""Margins as plain rows, one a computed event, one more for every hand value beside it; expectations as rows too."""

from collections.abc import Iterator, Sequence

from buckle.formulas.base import Formula
from buckle.margins.compare import Comparison
from buckle.margins.margin import Hand, Margin, Size, Verdict, reserve_factor
from buckle.margins.verdict import Judgement
from buckle.record.holding import holding_fields
from buckle.record.quantities import Fields
from buckle.record.reading import number_of

COMPUTED = "finite elements, shell of revolution (this calculation)"
PER_MPA = 10.0  # bar


def margin_rows(judgement: Judgement) -> list[dict[str, object]]:
    """Rows under the contract's names, pressures in bar; None where a number does not exist."""
    return [row for margin in judgement.margins for row in _rows(margin)]


def verdict_fields(judgement: Judgement) -> dict[str, object]:
    """The verdict under the contract's names, with everything that its word follows from beside the margins."""
    governing = judgement.governing
    return {
        "verdict": str(judgement.word),
        "reserve_factor": judgement.reserve,
        "governing_limit_state": None if governing is None else governing.limit_state,
        "required": judgement.required,
        "required_pressure_bar": None if judgement.demand is None else PER_MPA * judgement.demand,
        "decided_by": judgement.decided_by or None,
        "wave_numbers_examined": list(judgement.wave_numbers),
        "doubts": list(judgement.doubts) or None,
        "not_judged": list(judgement.unjudged) or None,
        "strain_cautions": list(judgement.cautions) or None,
        "margins": margin_rows(judgement),
        **holding_fields(judgement.holding),
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
        **_pressures(margin, margin.capacity),
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
        sizes = _pressures(margin, hand.value)
        reserve = None if hand.value is None else reserve_factor(hand.value, margin.partial_factor, margin.demand)
    else:
        sizes, reserve = {f"found_{margin.size.unit}": hand.value}, None
    return {
        "limit_state": margin.limit_state,
        **sizes,
        "reserve_factor": reserve,
        "method": f"hand calculation: {formula.name} ({formula.kind})",
        "source": formula.source,
        "verdict": str(Verdict.FOR_COMPARISON) if formula.in_range else "out of range",
        "beside": margin.method,
        "ratio_hand_to_computed": hand.ratio,
        "expression": formula.expression,
        "numbers": _numbers(formula),
        "range": formula.validity,
        "ignores": list(formula.ignores),
        "reason": hand.why,
    }


def _pressures(margin: Margin, capacity: float | None) -> dict[str, object]:
    return {
        "capacity_bar": None if capacity is None else PER_MPA * capacity,
        "demand_bar": None if margin.demand is None else PER_MPA * margin.demand,
    }


def _size(margin: Margin) -> dict[str, object]:
    """What is found of a movement or a strain under the demand, and allowed of it."""
    if margin.size is None:
        return {}
    suffix = f"_{margin.size.unit}" if margin.size.unit else ""
    return {f"found{suffix}": margin.size.found, f"allowed{suffix}": margin.size.allowed}


def _numbers(formula: Formula) -> dict[str, str]:
    return {each.symbol: f"{each.value:.6g} {each.unit}" for each in (*formula.inputs, *formula.steps)}


def margin_of(row: Fields) -> Margin:
    """Return the margin of a computed row: pressures in MPa again, without its hand values."""
    capacity, demand = number_of(row.get("capacity_bar")), number_of(row.get("demand_bar"))
    return Margin(
        limit_state=str(row["limit_state"]),
        method=str(row["method"]),
        event=str(row.get("event", "")),
        capacity=None if capacity is None else capacity / PER_MPA,
        demand=None if demand is None else demand / PER_MPA,
        verdict=Verdict(str(row["verdict"])),
        governs=bool(row.get("governs")),
        wave_number=int(waves) if (waves := number_of(row.get("wave_number"))) is not None else None,
        error_percent=number_of(row.get("numerical_error_percent")),
        at_least=bool(row.get("at_least")),
        partial_factor=number_of(row.get("partial_factor")) or 1.0,
        size=size_of(row),
        reason=str(row.get("reason", "")),
    )


def size_of(row: Fields) -> Size | None:
    """Return the size of a movement or strain that a computed row tells; None of a pressure."""
    for unit, suffix in (("mm", "_mm"), ("", "")):
        if f"found{suffix}" in row or f"allowed{suffix}" in row:
            allowed = number_of(row.get(f"allowed{suffix}"))
            return Size(number_of(row.get(f"found{suffix}")), allowed, unit)
    return None
