"""What all shape families share: arguments are checked before use, and a shape that cannot close says what would do."""

import functools
import inspect
import math
from collections.abc import Callable, Iterator, Mapping
from typing import Annotated, Any, ParamSpec, get_args, get_origin, get_type_hints

import numpy as np
from annotated_types import Ge, Gt

from buckle.errors import ShapeError
from buckle.meridian import Meridian
from buckle.shapes.closing import nearest_closing
from buckle.units import NonNegativeLength, PositiveLength, dimension_of

Arguments = ParamSpec("Arguments")
Maker = Callable[Arguments, Meridian]

PositiveNumber = Annotated[float, Gt(0.0)]
ThicknessTable = tuple[tuple[NonNegativeLength, PositiveLength], ...]
"""Pairs (arc length from the start of the walk, thickness), linear between, constant beyond the first and last."""

SMALLEST, LARGEST = 1e-9, 1e9
"""Of what is positive, and of any number [mm or 1]: within, no product or quotient of two leaves what a float holds.
What makes sense as a body is decided once it is built, from its proportions."""


def shape(*mend: str) -> Callable[[Maker[Arguments]], Maker[Arguments]]:
    """Turn a function of keyword dimensions into a shape family.

    Every number is checked against its annotation; when the chain of pieces cannot close, the dimensions named in
    `mend` are tried one by one, and the ShapeError names the one that needs the smallest change and its interval.
    """

    def wrap(function: Maker[Arguments]) -> Maker[Arguments]:
        hints = get_type_hints(function, include_extras=True)
        signature = inspect.signature(function)

        @functools.wraps(function)
        def checked(*args: Arguments.args, **kwargs: Arguments.kwargs) -> Meridian:
            given = signature.bind(*args, **kwargs).arguments
            for name, value in given.items():
                _check(name, value, hints[name])
            try:
                return function(*args, **kwargs)
            except ShapeError as error:
                if error.fault.key in signature.parameters:
                    raise
                advice = _advice(function, given, {key: hints[key] for key in mend}, error)
                if advice is None:
                    raise
                raise advice from error

        return checked

    return wrap


def exactly_one(**alternatives: float | None) -> tuple[str, float]:
    """Return name and value of the only alternative given; raises ShapeError if none or several are."""
    given = [(name, value) for name, value in alternatives.items() if value is not None]
    if len(given) != 1:
        names = ", ".join(alternatives)
        raise ShapeError(given[1][0] if given else next(iter(alternatives)), None, f"give exactly one of {names}")
    return given[0]


def all_or_none(**together: float | None) -> tuple[float, ...] | None:
    """Return the values of a group of arguments, None if none is given; raises ShapeError if only a part of it is."""
    given = tuple(value for value in together.values() if value is not None)
    if given and len(given) < len(together):
        missing = next(name for name, value in together.items() if value is None)
        raise ShapeError(missing, None, f"give all of {', '.join(together)} or none")
    return given or None


def within(key: str, value: float, low: float, high: float) -> None:
    """Raise ShapeError unless a length [mm] lies in the open interval."""
    if not low < value < high:
        raise ShapeError(key, value, "out of range", f"({low:.6g}, {high:.6g}) mm")


def angle_within(key: str, value: float, low: float, high: float) -> None:
    """Raise ShapeError, in degrees, unless an angle [rad] lies in the open interval."""
    if not low < value < high:
        allowed = f"({math.degrees(low):.6g}, {math.degrees(high):.6g}) deg"
        raise ShapeError(key, round(math.degrees(value), 9), "out of range", allowed)


def _check(key: str, value: object, annotation: Any) -> None:
    """Raise ShapeError if a number, or one inside a pair or table, breaks its annotation or is not finite."""
    if isinstance(value, bool) or value is None:
        return
    if isinstance(value, int | float | np.number):
        _check_number(key, float(value), list(_marks(annotation)))
    elif isinstance(value, tuple | list):
        for item in value:
            _check(key, item, annotation)


def _check_number(key: str, value: float, marks: list[object]) -> None:
    if not math.isfinite(value):
        raise ShapeError(key, value, "must be a finite number")
    # Pairs of unlike numbers (a table of s and thickness) are held to the mildest of their bounds here; what follows
    # from their place in the pair is checked by whoever reads them.
    if any(isinstance(mark, Ge) for mark in marks):
        if value < 0.0:
            raise ShapeError(key, value, "must not be negative", ">= 0")
    elif any(isinstance(mark, Gt) for mark in marks):
        if value <= 0.0:
            raise ShapeError(key, value, "must be positive", "> 0")
        if value < SMALLEST:
            raise ShapeError(key, value, "is too small to reckon with", f">= {SMALLEST:g}")
    if abs(value) > LARGEST:
        raise ShapeError(key, value, "is too large to reckon with", f"up to {LARGEST:g}")


def _marks(annotation: Any) -> Iterator[object]:
    """Yield the bounds marked on an annotation, on members of its union and on its items."""
    if get_origin(annotation) is Annotated:
        yield from annotation.__metadata__
    for part in get_args(annotation):
        yield from _marks(part)


def _advice(
    function: Maker[...], given: Mapping[str, Any], mend: Mapping[str, Any], error: ShapeError
) -> ShapeError | None:
    """Return the error that names the dimension needing the smallest change; None if no single one helps.

    Changes within a tenth of each other count as equal: the order of `mend` decides then.
    """
    best, smallest = None, math.inf
    for key, hint in mend.items():
        value, dimension = given.get(key), dimension_of(hint)
        if value is None or dimension is None:
            continue
        closing = nearest_closing(functools.partial(_closes, function, given, key), value, dimension, smallest)
        if closing is not None and round(change := closing.change, 1) < round(smallest, 1):
            best, smallest = (key, closing), change
    if best is None:
        return None
    key, closing = best
    mended = round(math.degrees(closing.value), 9) if closing.dimension == "angle" else closing.value
    problem = f"the shape does not close: {error.fault.key}: {error.fault.problem}"
    return ShapeError(key, mended, problem, str(closing.interval))


def _closes(function: Maker[...], given: Mapping[str, Any], key: str, value: float) -> bool:
    try:
        function(**{**given, key: value})
    except ShapeError:
        return False
    return True
