"""[shape]: the keys of a family are the arguments of its function in `buckle.shapes`, each ending in its unit."""

import inspect
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Literal, get_type_hints

import numpy as np
from pydantic import create_model

from buckle.case.keys import Finding, unknown_word
from buckle.case.locator import KeyPath
from buckle.case.models import Section
from buckle.case.validate import check_table, value_at
from buckle.errors import Fault, ShapeError
from buckle.meridian import Meridian
from buckle.shapes import FAMILIES

PATH: KeyPath = ("shape",)
THICKNESSES = ("thickness", "gauge", "wall_gauge")


@dataclass(frozen=True)
class ReadShape:
    """The meridian, or None with its findings; the family and its validated dimensions for the echo."""

    meridian: Meridian | None
    findings: tuple[Finding, ...]
    family: str = ""
    shape: Any = None
    keys: Mapping[KeyPath, KeyPath] = field(default_factory=dict)


@cache
def family_models() -> Mapping[str, type[Section]]:
    """Return the model of the [shape] table of every family."""
    return {name: _model(name) for name in FAMILIES}


def read_shape(table: object) -> ReadShape:
    """Return the meridian of a [shape] table; the family is judged first, since all other keys depend on it."""
    if not isinstance(table, Mapping):
        return ReadShape(None, (Finding(PATH, "must be a table", table),))
    family = table.get("family")
    if not isinstance(family, str) or family not in FAMILIES:
        problem = "missing" if family is None else unknown_word("family", str(family), FAMILIES)
        return ReadShape(None, (Finding((*PATH, "family"), problem, family, ", ".join(FAMILIES)),))
    checked = check_table(family_models()[family], table, PATH)
    if checked.model is None:
        return ReadShape(None, checked.findings, family)
    try:
        return ReadShape(_build(family, checked.model), (), family, checked.model, checked.keys)
    except ShapeError as error:
        return ReadShape(None, (_located(error.fault, table, checked.keys),), family, checked.model, checked.keys)


def _model(family: str) -> type[Section]:
    make = FAMILIES[family].make
    hints = get_type_hints(make, include_extras=True)
    parameters = inspect.signature(make).parameters.values()
    required = inspect.Parameter.empty
    fields: dict[str, Any] = {"family": (Literal[family], ...)}
    fields |= {each.name: (hints[each.name], ... if each.default is required else each.default) for each in parameters}
    return create_model(f"Shape_{family}", __base__=Section, __doc__=inspect.getdoc(make), **fields)


def _build(family: str, model: Any) -> Meridian:
    make = FAMILIES[family].make
    names = inspect.signature(make).parameters
    meridian = make(**{name: getattr(model, name) for name in names})
    _check_thinness(meridian, model)
    return meridian


def _check_thinness(meridian: Meridian, model: Any) -> None:
    """Refuse what no shell theory is about: a wall thicker than half of the widest radius."""
    at = meridian.at_s(np.linspace(0.0, meridian.length, 101))
    widest, thickest = float(np.max(at.r)), float(np.max(at.thickness))
    if thickest > 0.5 * widest:
        key = next((name for name in THICKNESSES if getattr(model, name, None) == thickest), "thickness")
        raise ShapeError(key, thickest, "no shell is so thick, check the unit", f"(0, {0.5 * widest:.6g}) mm")


def _located(fault: Fault, table: Mapping[str, Any], keys: Mapping[KeyPath, KeyPath]) -> Finding:
    """Turn the fault of a shape, at an argument like `pieces[2].arc` or `cap.thickness`, into one at its key."""
    parts = [int(part) if part.isdigit() else part for part in re.findall(r"\w+", fault.key)]
    alone = [(*PATH, name) for name in (parts[-1], *(THICKNESSES if parts[-1] == "thickness" else ()))]
    internal = next((path for path in alone if path in keys), (*PATH, *parts))
    known = next((internal[:end] for end in range(len(internal), 1, -1) if internal[:end] in keys), PATH)
    path = keys.get(known, PATH)
    problem = fault.problem if known == (*PATH, *parts) else f"{fault.key}: {fault.problem}"
    given = value_at(table, path[1:])
    return Finding(path, problem, given if known == internal else fault.value, fault.allowed)
