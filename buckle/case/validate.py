"""A table under internal names against its model: every fault at once, told in the words and units of the file."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from buckle.case.internal import Internal, Unit, internalise
from buckle.case.keys import Finding, slots
from buckle.case.locator import KeyPath
from buckle.units import to_unit

_KINDS = {
    "float_type": "a number",
    "int_type": "a whole number",
    "string_type": "a text in quotes",
    "bool_type": "true or false",
    "tuple_type": "a list",
    "model_type": "a table",
}
_BOUNDS = {"greater_than": (">", "gt"), "greater_than_equal": (">=", "ge"), "less_than": ("<", "lt")}
_BOUNDS |= {"less_than_equal": ("<=", "le")}


@dataclass(frozen=True)
class Checked:
    """A validated table, or None with its findings; `keys` leads from internal paths back to the file's.

    `units` are those of the file's keys, by internal path.
    """

    model: Any
    findings: tuple[Finding, ...] = ()
    keys: Mapping[KeyPath, KeyPath] = field(default_factory=dict)
    units: Mapping[KeyPath, Unit | None] = field(default_factory=dict)


def check_table(model: type[BaseModel], table: object, path: KeyPath, base: Mapping[str, Any] | None = None) -> Checked:
    """Validate a table as the file has it; `base` holds internal values for what the table leaves out."""
    read = internalise(model, table, path)
    supplied = {(*path, slots(model)[name].key) for name in base or {}}
    findings = [finding for finding in read.findings if finding.problem != "missing" or finding.path not in supplied]
    try:
        checked = model.model_validate({**(base or {}), **read.values})
    except ValidationError as error:
        findings += _model_findings(error.errors(include_url=False), table, path, read, findings)
        return Checked(None, tuple(findings), read.keys, read.units)
    return Checked(None if findings else checked, tuple(findings), read.keys, read.units)


def in_file(findings: Iterable[Finding], keys: Mapping[KeyPath, KeyPath], tables: object) -> Iterator[Finding]:
    """Yield findings at internal paths as findings at the file's keys, with the values that stand there."""
    for each in findings:
        path = keys.get(each.path, each.path)
        yield Finding(path, each.problem, value_at(tables, path), each.allowed)


def value_at(table: Any, path: KeyPath) -> object:
    """Return what stands at a path below a table; None if nothing does."""
    for key in path:
        try:
            table = table[key]
        except (KeyError, IndexError, TypeError):
            return None
    return table


def _model_findings(
    errors: Sequence[ErrorDetails], table: object, path: KeyPath, read: Internal, known: Sequence[Finding]
) -> list[Finding]:
    """Return one finding for each key that pydantic faults, the deepest first and none about what is known."""
    groups: dict[KeyPath, list[ErrorDetails]] = {}
    for error in errors:
        groups.setdefault(_deepest(path, error["loc"], read), []).append(error)
    findings: list[Finding] = []
    for internal in sorted(groups, key=len, reverse=True):
        where = read.keys.get(internal, path)
        if not any(_related(where, finding.path) for finding in (*known, *findings)):
            problem, allowed = _words(groups[internal], read.units.get(internal))
            findings.append(Finding(where, problem, value_at(table, where[len(path) :]), allowed))
    return findings


def _deepest(path: KeyPath, location: KeyPath, read: Internal) -> KeyPath:
    """Follow a location as far as the file goes, past what pydantic puts in, such as the name of a union's member."""
    for part in location:
        path = (*path, part) if (*path, part) in read.keys else path
    return path


def _related(one: KeyPath, other: KeyPath) -> bool:
    """Tell whether one path is the other or holds it."""
    shared = min(len(one), len(other))
    return one[:shared] == other[:shared]


def _words(errors: Sequence[ErrorDetails], unit: Unit | None) -> tuple[str, str]:
    """Return the problem and what is allowed; of a union's errors those that are not about the type come first."""
    telling = [error for error in errors if error["type"] not in _KINDS]
    if not telling:
        return "must be " + " or ".join(dict.fromkeys(_KINDS[error["type"]] for error in errors)), ""
    kind, context = telling[0]["type"], telling[0].get("ctx", {})
    if kind in _BOUNDS:
        sign, bound = _BOUNDS[kind]
        return "out of range", f"{sign} {_bound(context[bound], unit)}"
    if kind == "literal_error":
        return "unknown word", str(context["expected"])
    if kind == "finite_number":
        return "must be a finite number", ""
    if kind in ("too_short", "string_too_short", "missing"):
        return "too short", f"at least {context['min_length']}" if "min_length" in context else "more entries"
    if kind == "too_long":
        return "too long", f"at most {context['max_length']}"
    return telling[0]["msg"], ""


def _bound(internal: float, unit: Unit | None) -> str:
    return f"{to_unit(internal, *unit):.6g} {unit[1]}" if unit else f"{internal:g}"
