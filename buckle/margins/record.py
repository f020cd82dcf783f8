"""Margins as plain rows, one a computed event, one more for every hand value beside it; expectations as rows too."""

from collections.abc import Iterator, Sequence

from buckle.formulas.base import Formula
from buckle.margins.compare import Comparison
from buckle.margins.judge import Judgement
from buckle.margins.margin import Hand, Margin, Verdict

COMPUTED = "finite elements, shell of revolution (this calculation)"
_PER_UNIT = {"MPa": ("bar", 10.0), "mm": ("mm", 1.0)}


def margin_rows(judgement: Judgement) -> list[dict[str, object]]:
    """Rows under the contract's names, pressures in bar; None where a number does not exist."""
    return [row for margin in judgement.margins for row in _rows(margin)]


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
        **_sizes(margin, margin.capacity),
        "reserve_factor": margin.reserve,
        "method": margin.method,
        "source": COMPUTED,
        "verdict": str(margin.verdict),
        "event": margin.event or None,
        "governs": margin.governs,
        "wave_number": margin.wave_number,
        "numerical_error_percent": margin.error_percent,
        "no_event_up_to_capacity": margin.at_least or None,
        "reason": margin.reason or None,
    }
    for hand in margin.hand:
        yield _hand_row(margin, hand)


def _hand_row(margin: Margin, hand: Hand) -> dict[str, object]:
    formula = hand.formula
    reserve = None
    if hand.value and margin.demand:
        reserve = hand.value / margin.demand if margin.unit == "MPa" else margin.demand / hand.value
    return {
        "limit_state": margin.limit_state,
        **_sizes(margin, hand.value),
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


def _sizes(margin: Margin, capacity: float | None) -> dict[str, object]:
    unit, factor = _PER_UNIT[margin.unit]
    return {
        f"capacity_{unit}": None if capacity is None else factor * capacity,
        f"demand_{unit}": None if margin.demand is None else factor * margin.demand,
    }


def _numbers(formula: Formula) -> dict[str, str]:
    return {each.symbol: f"{each.value:.6g} {each.unit}" for each in (*formula.inputs, *formula.steps)}
