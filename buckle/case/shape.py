"""[shape]: the keys of a family are the arguments of its function in `buckle.shapes`, each ending in its unit."""

import inspect
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, reduce
from typing import Any, Literal, get_type_hints

from pydantic import create_model

from buckle.case.internal import Unit
from buckle.case.keys import Finding, unknown_word
from buckle.case.locator import KeyPath
from buckle.case.models import FileTable
from buckle.case.sizes import THICKNESSES, check_sizes
from buckle.case.validate import Checked, check_table, value_at
from buckle.errors import ShapeError
from buckle.landmarks import Ring, push, ring
from buckle.meridian import Meridian
from buckle.proportions import Sizes, elements_needed, sizes
from buckle.shapes import FAMILIES
from buckle.units import unit_meant

PATH: KeyPath = ("shape",)


@dataclass(frozen=True)
class MeasuredBody:
    """A meridian and what is measured of it: of its default mesh about how many elements, its ring as it is loaded."""

    meridian: Meridian
    sizes: Sizes
    elements: float
    ring: Ring | None


@dataclass(frozen=True)
class ReadShape(Checked):
    """The validated table with the body of a shape that can be made."""

    body: MeasuredBody | None = None


@cache
def family_models() -> Mapping[str, type[FileTable]]:
    """Return the model of the [shape] table of every family."""
    return {name: _model(name) for name in FAMILIES}


def read_shape(table: object, side: str) -> ReadShape:
    """Return the body of a [shape] table under pressure on a side of its wall.

    The family is judged first, since all other keys depend on it.
    """
    if not isinstance(table, Mapping):
        return ReadShape(None, (Finding(PATH, "must be a table", table),))
    family = table.get("family")
    if not isinstance(family, str) or family not in FAMILIES:
        problem = "missing" if family is None else unknown_word("family", str(family), FAMILIES)
        return ReadShape(None, (Finding((*PATH, "family"), problem, family, ", ".join(FAMILIES)),))
    checked = check_table(family_models()[family], table, PATH)
    if checked.model is None:
        return ReadShape(None, checked.findings)
    try:
        return ReadShape(checked.model, (), checked.keys, body=_body(family, checked, side))
    except ShapeError as error:
        return ReadShape(checked.model, (_located(error, table, checked),), checked.keys)


def _model(family: str) -> type[FileTable]:
    make = FAMILIES[family].make
    hints = get_type_hints(make, include_extras=True)
    parameters = inspect.signature(make).parameters.values()
    required = inspect.Parameter.empty
    fields: dict[str, Any] = {"family": (Literal[family], ...)}
    fields |= {each.name: (hints[each.name], ... if each.default is required else each.default) for each in parameters}
    return create_model(f"Shape_{family}", __base__=FileTable, __doc__=inspect.getdoc(make), **fields)


def _body(family: str, checked: Checked, side: str) -> MeasuredBody:
    make = FAMILIES[family].make
    names = inspect.signature(make).parameters
    meridian = make(**{name: getattr(checked.model, name) for name in names})
    measured = sizes(meridian)
    check_sizes(meridian, measured, dict(_lengths(checked)))
    return MeasuredBody(meridian, measured, elements_needed(meridian, 1.0), ring(meridian, push(meridian, side)))


def _lengths(checked: Checked) -> Iterator[tuple[KeyPath, float]]:
    """Yield every length that the file gives [mm] by its internal path below [shape]."""
    for path, unit in checked.units.items():
        value = reduce(_inside, path[1:], checked.model)
        if unit is not None and unit[0] == "length" and isinstance(value, float):
            yield path[1:], value


def _inside(value: Any, part: str | int) -> Any:
    return value[part] if isinstance(part, int) else getattr(value, part)


def _located(error: ShapeError, table: Mapping[str, Any], checked: Checked) -> Finding:
    """Turn the fault of a shape, at an argument like `pieces[2].arc` or `cap.thickness`, into one at its key."""
    fault, keys = error.fault, checked.keys
    parts = [int(part) if part.isdigit() else part for part in re.findall(r"\w+", fault.key)]
    alone = [(*PATH, name) for name in (parts[-1], *(THICKNESSES if parts[-1] == "thickness" else ()))]
    internal = next((path for path in ((*PATH, *parts), *alone) if path in keys), (*PATH, *parts))
    known = next((internal[:end] for end in range(len(internal), 1, -1) if internal[:end] in keys), PATH)
    path = keys.get(known, PATH)
    problem = fault.problem if known == (*PATH, *parts) else f"{fault.key}: {fault.problem}"
    given = value_at(table, path[1:])
    return Finding(
        path,
        problem + _slip(error, checked.units.get(known)),
        given if known == internal else fault.value,
        fault.allowed,
    )


def _slip(error: ShapeError, unit: Unit | None) -> str:
    """Return ', is it in mm?' where a number in another unit of length would do."""
    if error.likely is None or unit is None or not isinstance(error.fault.value, float):
        return ""
    meant = unit_meant(error.fault.value, *unit, error.likely)
    return f", is it in {meant}?" if meant else ""
