"""Derivatives as rows of a record, and what tolerances make of the least reserve factor."""

import math
from collections.abc import Iterator, Sequence

from buckle.record.quantities import Fields
from buckle.sensitivity.all import Derived, End
from buckle.sensitivity.sensitivity import Sensitivity


def sensitivity_fields(made: Derived, ends: Sequence[End] = ()) -> Fields:
    """Return derivatives and ends of tolerances under the names of results.json, without numbers that do not exist.

    A derivative is in the unit of its quantity by that of its key; `relative` is that of the logarithms.
    """
    rows = [_row(name, made.values.get(name), row) for name, own in made.rows.items() for row in own]
    return {
        "sensitivities": rows or None,
        "sensitivities_failed": dict(made.failed) or None,
        "reserve_at_tolerances": list(map(_end, ends)) or None,
    }


def _row(name: str, value: float | None, row: Sensitivity) -> Fields:
    apart = dict(_sides(row)) if not math.isfinite(row.derivative) else {}
    return {
        "quantity": name,
        "key": row.key,
        "value": row.value,
        "derivative": row.derivative if math.isfinite(row.derivative) else None,
        "relative": row.relative / value if value and math.isfinite(row.derivative) else None,
        **apart,
        "reason": row.reason or None,
    }


def _sides(row: Sensitivity) -> Iterator[tuple[str, float]]:
    """Yield the derivatives from below and above that exist."""
    for name, side in (("from_below", row.left), ("from_above", row.right)):
        if math.isfinite(side):
            yield name, side


def _end(end: End) -> Fields:
    return {
        "key": end.tolerance.key,
        "law": end.tolerance.law or None,
        "low": end.tolerance.low,
        "high": end.tolerance.high,
        "reserve_at_low": end.at_low,
        "reserve_at_high": end.at_high,
    }
