"""Blocks that a study file describes by bounds or by tolerances, and the samples that follow from them."""

from collections.abc import Mapping
from typing import Any

from buckle.case.correlated import correlation_matrix
from buckle.case.dotted import leaves
from buckle.case.internal import is_number
from buckle.case.keys import Finding
from buckle.case.locator import KeyPath
from buckle.case.validate import check_table
from buckle.case.values import value_in
from buckle.study.models import FARTHEST, Fill, SpreadTable, Tolerance
from buckle.study.samples import Spread, draw, fill
from buckle.study.value_blocks import Read

NEEDS = {"normal": ("deviation",), "truncated": ("deviation", "half_width"), "uniform": ("half_width",)}


def read_fill(table: Any) -> Read:
    """[fill]: a space-filling design between bounds."""
    checked = check_table(Fill, table, ("fill",))
    if checked.model is None:
        return {}, list(checked.findings)
    given = checked.model
    bounds = leaves(given.bounds)
    findings = [
        Finding(("fill", "bounds", *path), "must be [low, high]", pair, "two numbers, low below high")
        for path, pair in bounds.values()
        if not _is_interval(pair)
    ]
    if not bounds:
        findings.append(Finding(("fill", "bounds"), "names no key", None, '"shape.gauge_mm" = [0.2, 0.3]'))
    power = 1 << (given.count.bit_length() - 1)
    if given.method == "sobol" and given.count != power:
        problem = "Sobol's sequence is even only at powers of two"
        findings.append(Finding(("fill", "count"), problem, given.count, f"{power} or {2 * power}"))
    if findings:
        return {}, findings
    box = {key: (float(pair[0]), float(pair[1])) for key, (_, pair) in bounds.items()}
    return {("fill", "bounds"): fill(box, given.method, given.count, given.seed)}, []


def _is_interval(pair: Any) -> bool:
    if not isinstance(pair, list) or len(pair) != 2 or not all(map(is_number, pair)):
        return False
    return bool(-FARTHEST < pair[0] < pair[1] < FARTHEST)


def read_tolerance(table: Any, base: Mapping[str, Any]) -> Read:
    """[tolerance]: random samples about the base case's values."""
    checked = check_table(Tolerance, table, ("tolerance",))
    if checked.model is None:
        return {}, list(checked.findings)
    given = checked.model
    findings: list[Finding] = []
    spreads: dict[str, Spread] = {}
    keys = leaves(given.keys)
    if not keys:
        findings.append(
            Finding(("tolerance", "keys"), "names no key", None, '"shape.gauge_mm" = { distribution, ... }')
        )
    for key, (path, entry) in keys.items():
        spread, wrong = _read_spread(entry, ("tolerance", "keys", *path), value_in(key, base))
        findings += wrong
        if spread:
            spreads[key] = spread
    correlation, wrong = correlation_matrix(given.correlated, list(keys), ("tolerance",), "[tolerance.keys]")
    findings += wrong
    if findings:
        return {}, findings
    return {("tolerance", "keys"): draw(spreads, correlation, given.count, given.seed)}, []


def _read_spread(entry: Any, path: KeyPath, nominal: Any) -> tuple[Spread | None, list[Finding]]:
    checked = check_table(SpreadTable, entry, path)
    if checked.model is None:
        return None, list(checked.findings)
    given, needs = checked.model, NEEDS[checked.model.distribution]
    findings = [
        Finding((*path, name), f"{'missing' if name in needs else 'means nothing'} with {given.distribution!r}", value)
        for name in ("deviation", "half_width")
        if ((value := getattr(given, name)) is None) == (name in needs)
    ]
    mean = nominal if given.mean is None else given.mean
    if not is_number(mean):
        findings.append(Finding((*path, "mean"), "missing, the base case has no number there", nominal))
    if findings:
        return None, findings
    return Spread(given.distribution, float(mean), given.deviation or 0.0, given.half_width or 0.0), []
