"""Rows of the store as records of its journal, and back."""

from collections.abc import Mapping
from typing import Any

from buckle.store.rows import About, DesignRow, Mended, Pages, Result, Row, RowStatus

_KINDS: dict[str, type[Row]] = {
    "study": About,
    "design": DesignRow,
    "result": Result,
    "pages": Pages,
    "mended": Mended,
}
_NAMES = {kind: name for name, kind in _KINDS.items()}
_TYPES: Mapping[str, type | tuple[type, ...]] = {
    "study": str,
    "fingerprint": str,
    "title": str,
    "varied": list,
    "keep": list,
    "count": int,
    "random": bool,
    "number": int,
    "key": str,
    "inputs": dict,
    "status": str,
    "reason": str,
    "quantities": dict,
    "seconds": (int, float),
    "files": dict,
}


def encoded(row: Row) -> dict[str, Any]:
    """Return a row as a record."""
    return {"kind": _NAMES[type(row)], **vars(row)}


def decoded(record: Mapping[str, Any] | None) -> Row | None:
    """Return the row of a record; None for an unreadable one, and for one that is none of this version's."""
    fields = dict(record or {})
    kind = _KINDS.get(str(fields.pop("kind", "")))
    if kind is None or not all(isinstance(value, _TYPES.get(name, ())) for name, value in fields.items()):
        return None
    try:
        if kind is Result:
            fields["status"] = RowStatus(fields["status"])
        if kind is About:
            fields |= {name: tuple(fields[name]) for name in ("varied", "keep")}
        return kind(**fields)
    except (KeyError, TypeError, ValueError):  # a field too many or missing, a status unknown
        return None
