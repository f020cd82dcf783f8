"""Tables of a case with some of their keys said anew, and with what a container hands to its parts."""

from collections.abc import Iterator, Mapping, Sequence
from copy import deepcopy
from typing import Any

from buckle.case.internal import is_number
from buckle.case.keys import Finding, Slot, slots
from buckle.case.models import FileTable, Loads, Requirements
from buckle.case.replace import other_spellings
from buckle.units import convert

WHOLE = ("family", "law")
"""Keys that say what the others of their table mean: a table with one of them replaces the other whole."""
OF_PRESSURE = ("pressure", "service_pressure")
HANDED_LOADS = (*OF_PRESSURE, "axial_force")
HANDED = (*HANDED_LOADS, "partial_factor")
"""Requirements of a container that parts take over where they ask for less themselves, or for nothing."""


def merged(tables: Mapping[str, Any], changes: Mapping[str, Any]) -> dict[str, Any]:
    """Return a copy of tables in which the changes stand instead, key by key, whatever unit they were in."""
    made = deepcopy(dict(tables))
    for key, value in changes.items():
        for spelling in other_spellings(key):
            made.pop(spelling, None)
        both = isinstance(value, Mapping) and isinstance(made.get(key), Mapping)
        if both and not any(word in value for word in WHOLE):
            made[key] = merged(made[key], value)
        else:
            made[key] = deepcopy(value)
    return made


def with_handed(tables: Mapping[str, Any], requirements: object, contents: object) -> dict[str, Any]:
    """Return the tables of a part with the requirements and contents that the container hands to it.

    A container holds one thing: its contents stand instead of those that the file of a part is otherwise judged by.
    """
    made = deepcopy(dict(tables))
    own = made.get("requirements", {})
    if isinstance(requirements, Mapping) and isinstance(own, Mapping):
        handed = {key: value for key, value in requirements.items() if _takes(tables, own, key, value)}
        if handed:
            made["requirements"] = merged(own, handed)
    if isinstance(contents, Mapping) and not is_pressed(tables):
        made["contents"] = deepcopy(dict(contents))
    return made


def untaken_findings(needs: FileTable | None, loads: Sequence[Loads]) -> Iterator[Finding]:
    """Yield what is required of a container and applies to none of its parts, so that nothing is asked for it."""
    inside = any(each.increasing.is_pressure and each.pressure_side == "inside" for each in loads)
    pressed = any(not each.increasing.is_pressure for each in loads)
    for name in HANDED_LOADS:
        taken = inside if name in OF_PRESSURE else pressed
        if getattr(needs, name, None) is None or taken:
            continue
        what = "a pressure that increases from inside" if name in OF_PRESSURE else "an axial force that increases"
        allowed = f"a part, or a state of one, under {what}; or leave it out"
        yield Finding(("requirements", name), f"applies to no part: none is under {what}", allowed=allowed)


def is_pressed(tables: Mapping[str, Any]) -> bool:
    """Tell whether the axial force is what increases on a part."""
    return _load(tables, "increases") == "axial_force"


def _load(tables: Mapping[str, Any], key: str) -> object:
    loads = tables.get("loads")
    return loads.get(key) if isinstance(loads, Mapping) else None


def _takes(tables: Mapping[str, Any], own: Mapping[str, Any], key: str, value: object) -> bool:
    """Tell whether a requirement applies to a part, and asks for more than the part does itself."""
    slot = next((each for each in _handed() if key in each.spellings), None)
    if slot is None or any(
        not _higher(slot, key, value, other, own[other]) for other in slot.spellings if other in own
    ):
        return False
    if slot.name in OF_PRESSURE:  # it acts from within
        return not is_pressed(tables) and _load(tables, "pressure_side") == "inside"
    return slot.name != "axial_force" or is_pressed(tables)


def _higher(slot: Slot, key: str, value: object, other: str, least: object) -> bool:
    """Tell whether a value is higher than another of the same quantity; what is no number is left to be refused."""
    if not is_number(value) or not is_number(least):
        return False
    one, two = (
        convert(float(str(number)), slot.dimension, slot.spellings[spelling]) if slot.dimension else float(str(number))
        for spelling, number in ((key, value), (other, least))
    )
    return one > two


def _handed() -> Iterator[Slot]:
    return (slot for name, slot in slots(Requirements).items() if name in HANDED)
