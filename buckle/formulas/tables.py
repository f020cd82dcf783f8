"""Tables that curves are read from: monotone interpolation between their points, never beyond them."""

import tomllib
from collections.abc import Mapping, Sequence
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any

import numpy as np
import scipy


@cache
def read_table(name: str) -> Mapping[str, Any]:
    """Return the shipped table of that file name; its `origin` says in words where the numbers come from."""
    return MappingProxyType(tomllib.loads(files("buckle.formulas").joinpath(name).read_text("utf-8")))


def interpolate(x: float, points: Sequence[float], values: Sequence[float]) -> float | None:
    """Return the monotone piecewise cubic through the points at x, or None beyond the first or last point."""
    if not points[0] <= x <= points[-1]:
        return None
    return float(scipy.interpolate.PchipInterpolator(points, values)(x))


def nearest(x: float, points: Sequence[float], values: Sequence[float]) -> float:
    """Return the value at the point nearest to x."""
    return float(values[int(np.argmin(np.abs(np.subtract(points, x))))])
