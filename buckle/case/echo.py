"""What was read, after defaults and units: one line for each quantity with its origin, and a hash of all of it."""

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from pydantic import BaseModel

from buckle.case.internal import is_number
from buckle.case.keys import Slot, slots
from buckle.case.locator import KeyPath
from buckle.units import to_unit

DIGITS = 12
"""Significant digits of an echoed value: enough to tell two inputs apart, too few to show the noise of a conversion."""


@dataclass(frozen=True)
class EchoLine:
    """One quantity as the program took it: key with unit, value in that unit, and where it came from."""

    key: str
    value: object
    origin: Literal["file", "grade", "default"]
    source: str = ""


@dataclass(frozen=True)
class Origins:
    """Which internal paths the file gave, and the sources of those that a grade gave."""

    keys: Mapping[KeyPath, KeyPath]
    grade_sources: Mapping[str, str]


def echo_table(model: BaseModel, path: KeyPath, origins: Origins) -> Iterator[EchoLine]:
    """Yield a line for every quantity of a table that has a value."""
    for slot in slots(type(model)).values():
        value = getattr(model, slot.name)
        if value is not None:
            yield _line(slot, value, path, origins)


def canonical(value: Any) -> Any:
    """Return plain data for JSON: models as dictionaries, tuples as lists, -0.0 as 0.0, whole numbers as they are."""
    if isinstance(value, BaseModel):
        return {name: canonical(getattr(value, name)) for name in type(value).model_fields}
    if isinstance(value, Mapping):
        return {str(key): canonical(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [canonical(item) for item in value]
    return value + 0.0 if isinstance(value, float) else value


def input_hash(data: Mapping[str, Any]) -> str:
    """Return the SHA-256 of the canonical JSON (sorted keys, no blanks, no NaN) of validated tables."""
    text = json.dumps(canonical(data), sort_keys=True, separators=(",", ":"), allow_nan=False)
    return hashlib.sha256(text.encode()).hexdigest()


def _line(slot: Slot, value: object, path: KeyPath, origins: Origins) -> EchoLine:
    key = ".".join(map(str, (*path, slot.key)))
    written = canonical(_in_unit(value, slot))
    if (*path, slot.name) in origins.keys:
        return EchoLine(key, written, "file")
    if slot.name in origins.grade_sources:
        return EchoLine(key, written, "grade", origins.grade_sources[slot.name])
    return EchoLine(key, written, "default")


def _in_unit(value: Any, slot: Slot) -> Any:
    """Return a value in the unit of the slot's preferred key, tables inside it under their own preferred keys."""
    if isinstance(value, BaseModel):
        inner = slots(type(value)).values()
        shown = {each: getattr(value, each.name) for each in inner if getattr(value, each.name) is not None}
        return {each.key: _in_unit(item, each) for each, item in shown.items()}
    if isinstance(value, tuple):
        return tuple(_in_unit(item, slot) for item in value)
    if slot.dimension and is_number(value):
        return float(f"{to_unit(value, slot.dimension, slot.spellings[slot.key]):.{DIGITS}g}")
    return value
