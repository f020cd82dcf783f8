"""Which keys a table of the case file accepts: internal names with the units of their dimension, and near misses."""

import difflib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any, get_args, get_type_hints

from pydantic import BaseModel

from buckle.case.locator import KeyPath
from buckle.units import UNITS, dimension_of


@dataclass(frozen=True)
class Finding:
    """One thing wrong, at a key path of the file."""

    path: KeyPath
    problem: str
    value: object = None
    allowed: str = ""


@dataclass(frozen=True)
class Slot:
    """What a table may hold under one internal name."""

    name: str
    annotation: Any
    required: bool

    @cached_property
    def dimension(self) -> str | None:
        """Return the name of the dimension; None for a plain number, a word or a table."""
        return dimension_of(self.annotation)

    @cached_property
    def spellings(self) -> Mapping[str, str]:
        """Return {accepted key: unit suffix}, the preferred one first; the bare name if there is no dimension."""
        if self.dimension is None:
            return {self.name: ""}
        return {f"{self.name}_{suffix}": suffix for suffix in UNITS[self.dimension]}

    @property
    def key(self) -> str:
        """Return the key that messages and echoes prefer."""
        return next(iter(self.spellings))

    @property
    def hint(self) -> str:
        """Say what the slot takes, for a message that it is missing."""
        words = [repr(choice) for choice in get_args(self.annotation) if isinstance(choice, str)]
        return ", ".join(self.spellings if self.dimension else words)


@cache  # a sweep validates thousands of cases against the same few models
def slots(model: type[BaseModel]) -> Mapping[str, Slot]:
    """Return what a table of this model may hold, by internal name, in the order of its definition."""
    hints = get_type_hints(model, include_extras=True)
    return {name: Slot(name, hints[name], info.is_required()) for name, info in model.model_fields.items()}


@cache
def accepted_keys(model: type[BaseModel]) -> Mapping[str, Slot]:
    """Return {accepted key: its slot}."""
    return {key: slot for slot in slots(model).values() for key in slot.spellings}


def meant(model: type[BaseModel], key: str) -> Slot | None:
    """Return the slot that a key which is not accepted was probably meant for."""
    for slot in slots(model).values():
        if slot.dimension and (key == slot.name or _strange_unit(slot, key)):
            return slot
    accepted = accepted_keys(model)
    return next((accepted[close] for close in _near(key, accepted)), None)


def misuse(model: type[BaseModel], path: KeyPath, value: object) -> Finding:
    """Say what is wrong with a key that is not accepted: no unit, a strange unit, or simply unknown."""
    key = str(path[-1])
    slot = meant(model, key)
    if slot and slot.dimension and key == slot.name:
        return Finding(path, "a key with a dimension ends in its unit", value, slot.hint)
    if slot and slot.dimension and _strange_unit(slot, key):
        return Finding(
            path, f"unknown unit {key.removeprefix(slot.name + '_')!r} of {slot.dimension}", value, slot.hint
        )
    allowed = ", ".join(other.key for other in slots(model).values())
    return Finding(path, unknown_word("key", key, accepted_keys(model)), value, allowed)


def unknown_word(kind: str, word: str, known: Iterable[str]) -> str:
    """Return 'unknown KIND', with the nearest known word if one is near."""
    return f"unknown {kind}" + "".join(f", did you mean {close!r}?" for close in _near(word, known))


def _near(word: str, known: Iterable[str] | Mapping[str, object]) -> list[str]:
    return difflib.get_close_matches(word, list(known), n=1)


def _strange_unit(slot: Slot, key: str) -> bool:
    """Tell whether a key is the slot's name and one more word."""
    return key.startswith(slot.name + "_") and "_" not in key.removeprefix(slot.name + "_")
