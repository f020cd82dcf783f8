"""Expectations of a benchmark case against what came out."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from buckle.case import Case


@dataclass(frozen=True)
class Comparison:
    """One expected quantity: what came out, how far it is, whether that is close enough."""

    quantity: str
    expected: Any
    found: Any
    deviation_percent: float | None
    tolerance_percent: float | None
    met: bool
    source: str
    reason: str


def compare(case: Case, record: Mapping[str, Any]) -> tuple[Comparison, ...]:
    """Hold the flat results record of a case against its expectations; a missing quantity is not met."""
    return tuple(_compare(each, record.get(each.quantity)) for each in case.expect)


def _compare(expect: Any, found: Any) -> Comparison:
    allowed = expect.value if isinstance(expect.value, tuple) else (expect.value,)
    best, deviation = min(((value, _deviation(value, found)) for value in allowed), key=lambda pair: pair[1])
    tolerance = expect.tolerance_percent or 0.0
    return Comparison(
        quantity=expect.quantity,
        expected=expect.value,
        found=found,
        deviation_percent=deviation if math.isfinite(deviation) and isinstance(best, int | float) else None,
        tolerance_percent=expect.tolerance_percent,
        met=deviation <= tolerance + 1e-12,
        source=expect.source,
        reason=expect.reason,
    )


def _deviation(expected: Any, found: Any) -> float:
    """Distance in percent of the expected value; words and flags are equal or infinitely far."""
    numbers = all(isinstance(value, int | float) and not isinstance(value, bool) for value in (expected, found))
    if not numbers:
        return 0.0 if expected == found else math.inf
    return abs(found - expected) if expected == 0.0 else 100.0 * abs(found / expected - 1.0)
