"""JSON Schema of a container's file, so that editors complete and check it: parts, inline or not, and states."""

import json
from collections.abc import Iterable

from buckle.case.schema import Schema, case_schema, table_schema
from buckle.container.models import NAMES, OWN, Filling
from buckle.container.tolerances import TABLE as TOLERANCES

OF_STATE = ("supports", "loads", "analyses", "requirements", "contents", "numerics")
"""Tables that a state of a part may have of its own."""


def container_schema() -> Schema:
    """Return the schema of a container's file, in the dialect 2020-12; the tables of a case stand once, under $defs."""
    tables, needed = case_schema()["properties"], case_schema()["required"]
    own = {name: table_schema(model) for name, model in OWN.items()}
    part: Schema = {"anyOf": [{"$ref": "#/$defs/referenced"}, {"$ref": "#/$defs/inline"}]}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Container file",
        "type": "object",
        "properties": {
            **own,
            **_tables([TOLERANCES]),
            "parts": {**_closed(dict.fromkeys(NAMES, part)), "minProperties": 1},
        },
        "required": ["parts"],
        "additionalProperties": False,
        "$defs": {
            **{f"table_{name}": table for name, table in tables.items()},
            "states": {"type": "object", "additionalProperties": _state()},
            "inline": {**_closed({**_tables(tables), "states": {"$ref": "#/$defs/states"}}), "required": needed},
            "referenced": {**_closed(_referenced(tables)), "required": ["case"]},
        },
    }


def container_schema_text() -> str:
    """Return the schema as the text of cases/container.schema.json."""
    return json.dumps(container_schema(), indent=1) + "\n"


def _tables(names: Iterable[str]) -> Schema:
    return {name: {"$ref": f"#/$defs/table_{name}"} for name in names}


def _referenced(names: Iterable[str]) -> Schema:
    """Keys of a part in a file of its own; what stands here as well counts instead, and nothing of it is needed."""
    said = {name: {"type": "object"} for name in names if name not in ("case", "expect")}
    return {"case": {"type": "string"}, **said, "states": {"$ref": "#/$defs/states"}}


def _state() -> Schema:
    return _closed({**_tables(OF_STATE), **table_schema(Filling)["properties"]})


def _closed(properties: Schema) -> Schema:
    """An object with no other keys."""
    return {"type": "object", "properties": properties, "additionalProperties": False}
