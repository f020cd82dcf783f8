"""The values of one key of a study: a list, or a range from one number to another."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Annotated, Any

from annotated_types import Ge, Gt, Le
from pydantic import ConfigDict, create_model

from buckle.case.keys import Finding
from buckle.case.locator import KeyPath
from buckle.case.validate import check_table
from buckle.study.study import LARGEST

STRICT = ConfigDict(strict=True, extra="forbid", frozen=True, allow_inf_nan=False)
_RANGE: dict[str, Any] = {
    "from": (float, ...),
    "to": (float, ...),
    "count": (Annotated[int, Ge(2), Le(LARGEST)] | None, None),
    "step": (Annotated[float, Gt(0.0)] | None, None),
}
Range = create_model("Range", __config__=STRICT, __doc__="From, to, and how many or how far apart.", **_RANGE)


def read_axis(value: object, path: KeyPath) -> tuple[list[Any], list[Finding]]:
    """Return the values that [vary] gives a key, and what is wrong with them."""
    if isinstance(value, list):
        return value, ([] if value else [Finding(path, "has no values", value, "at least one")])
    if not isinstance(value, Mapping):
        return [], [Finding(path, "must be a list or a range", value, "[0.23, 0.25] or { from, to, count or step }")]
    checked = check_table(Range, value, path)
    if checked.model is None:
        return [], list(checked.findings)
    return _spread(checked.model, value, path)


def _spread(given: Any, value: object, path: KeyPath) -> tuple[list[float], list[Finding]]:
    """Return evenly spaced numbers, exact to the last digit written: 0.1 + 2 * 0.1 is 0.3."""
    start, end = Fraction(repr(getattr(given, "from"))), Fraction(repr(given.to))
    if (given.count is None) == (given.step is None):
        return [], [Finding(path, "takes either a count or a step", value, "one of count, step")]
    if end <= start:
        return [], [Finding(path, "leads nowhere", value, "from below to")]
    step = Fraction(repr(given.step)) if given.step else (end - start) / (given.count - 1)
    count = int((end - start) / step) + 1
    if count > LARGEST:
        return [], [Finding(path, f"makes {count} values", value, f"at most {LARGEST}")]
    return [float(start + at * step) for at in range(count)], []
