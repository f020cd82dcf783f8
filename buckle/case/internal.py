"""From keys that end in their unit to internal names and values: `gauge_in = 0.01` becomes `gauge` = 0.254 mm."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import BaseModel

from buckle.case.keys import Finding, Slot, accepted_keys, meant, misuse, slots
from buckle.case.locator import KeyPath
from buckle.units import convert, dimension_of, to_unit

SANE: Mapping[str, tuple[float, float]] = {
    "length": (-1e5, 1e5),
    "angle": (-2 * math.pi, 2 * math.pi),
    "stress": (-1e6, 1e6),
    "pressure": (-1e5, 1e5),
    "force": (-1e8, 1e8),
    "temperature": (-273.15, 1000.0),
    "density": (-3e4, 3e4),
    "volume": (-1e9, 1e9),
    "altitude": (-1e3, 2e4),
    "time": (0.0, 1e6),
    "compliance": (0.0, 1e6),
}
"""Internal values beyond which a number is taken for a slip of the unit; no container comes near them."""


Unit = tuple[str, str]
"""Dimension and suffix of a key."""


@dataclass
class Internal:
    """A table under internal names, the file's key path behind each internal one, and what was wrong on the way."""

    values: dict[str, Any] = field(default_factory=dict)
    keys: dict[KeyPath, KeyPath] = field(default_factory=dict)
    units: dict[KeyPath, "Unit | None"] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)


@dataclass(frozen=True)
class _Value:
    """Where a value stands, inside and in the file, the unit of its key, and where its findings go."""

    internal: KeyPath
    path: KeyPath
    unit: Unit | None
    found: Internal

    def item(self, index: int) -> "_Value":
        """Return one item of a list."""
        return _Value((*self.internal, index), (*self.path, index), self.unit, self.found).noted()

    def noted(self) -> "_Value":
        """Remember the file's key and unit behind the internal path."""
        self.found.keys[self.internal] = self.path
        self.found.units[self.internal] = self.unit
        return self


def internalise(model: type[BaseModel], table: object, path: KeyPath) -> Internal:
    """Return a table under internal names in internal units; only its keys and the size of its numbers are judged."""
    found = Internal()
    found.values.update(_read_table(model, table, _Value(path, path, None, found)))
    return found


def is_number(value: object) -> bool:
    """Tell whether a value read from a file is a number; true and false are not."""
    return isinstance(value, int | float) and not isinstance(value, bool)


def _read_table(model: type[BaseModel], table: object, at: _Value) -> dict[str, Any]:
    """Return {internal name: internal value} of a table and note its findings."""
    findings = at.found.findings
    if not isinstance(table, Mapping):
        findings.append(Finding(at.path, "must be a table", table))
        return {}
    strange = [key for key in table if key not in accepted_keys(model)]
    findings.extend(misuse(model, (*at.path, key), table[key]) for key in strange)
    blamed = {slot.name for slot in (meant(model, key) for key in strange) if slot}
    values = {}
    for slot in slots(model).values():
        present = [key for key in slot.spellings if key in table]
        if len(present) == 1:
            values[slot.name] = _read_slot(slot, present[0], table, at)
        elif present:
            findings.append(_two_units(present, table, at))
        elif slot.required and slot.name not in blamed:
            findings.append(Finding((*at.path, slot.key), "missing", allowed=slot.hint))
    return values


def _read_slot(slot: Slot, key: str, table: Mapping[str, Any], at: _Value) -> Any:
    unit = (slot.dimension, slot.spellings[key]) if slot.dimension else None
    inside = _Value((*at.internal, slot.name), (*at.path, key), unit, at.found).noted()
    return _converted(slot.annotation, table[key], inside)


def _two_units(present: list[str], table: Mapping[str, Any], at: _Value) -> Finding:
    given = {key: table[key] for key in present}
    return Finding((*at.path, present[1]), "one quantity in two units", given, "one of them")


def _converted(annotation: Any, value: object, at: _Value) -> Any:
    """Return the value with its numbers in internal units, lists as tuples and tables under internal names."""
    kind = _matching(annotation, value)
    if isinstance(value, list | tuple):
        kinds = _item_kinds(kind, len(value))
        return tuple(_converted(kinds[index], item, at.item(index)) for index, item in enumerate(value))
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        return _read_table(kind, value, at)
    return _number(value, at.unit, at) if at.unit and dimension_of(annotation) and is_number(value) else value


def _matching(annotation: Any, value: object) -> Any:
    """Strip marks, and of a union choose the member that could hold the value: a tuple for a list."""
    if get_origin(annotation) is Annotated:
        return _matching(get_args(annotation)[0], value)
    if get_origin(annotation) in (Union, UnionType):
        members = [_matching(member, value) for member in get_args(annotation) if member is not type(None)]
        wants_list = isinstance(value, list | tuple)
        return next((member for member in members if (get_origin(member) is tuple) == wants_list), members[0])
    return annotation


def _item_kinds(kind: Any, count: int) -> list[Any]:
    """Return the annotation of each of the items that a list has; None beyond those of a tuple type."""
    inner = get_args(kind) if get_origin(kind) is tuple else ()
    if Ellipsis in inner:
        return [inner[0]] * count
    return [*inner[:count], *[None] * (count - len(inner))]


@cache  # exact conversions take their time, and a batch reads the same few units over and over
def _sane(dimension: str, suffix: str) -> tuple[float, float]:
    low, high = SANE[dimension]
    return to_unit(low, dimension, suffix), to_unit(high, dimension, suffix)


def _number(value: Any, unit: Unit, at: _Value) -> float:
    """Return the number in internal units, with a finding if it cannot be meant; NaN and infinity are judged later."""
    dimension, suffix = unit
    low, high = _sane(dimension, suffix)
    if low <= value <= high or not abs(value) < math.inf:
        return convert(value, dimension, suffix)
    allowed = f"{low:.6g} to {high:.6g} {suffix}"
    at.found.findings.append(Finding(at.path, "out of all proportion, check the unit", value, allowed))
    return math.nan
