"""Margins as plain rows, one a computed event, one more for every hand value beside it; expectations as rows too."""

from collections.abc import Iterator, Sequence

from buckle.formulas.base import Formula
from buckle.margins.compare import Comparison
from buckle.margins.margin import Hand, Margin, Verdict, reserve_factor
from buckle.margins.verdict import Judgement

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
