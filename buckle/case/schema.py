"""JSON Schema of the case file, so that editors complete and check it: every accepted key with its unit is listed."""

import json
from typing import Any

from pydantic import BaseModel

from buckle.case.deviates import DEVIATIONS
from buckle.case.keys import Slot, slots
from buckle.case.models import (
    HARDENING,
    NEEDED,
    SECTIONS,
    Correlation,
    Expectation,
    Metal,
    SizeTable,
    ToleranceTable,
)
from buckle.case.shape import family_models
from buckle.material import grades

Schema = dict[str, Any]
_DROPPED = ("title", "default", "$defs")


def case_schema() -> Schema:
    """Return the schema of a case file, in the dialect 2020-12."""
    tables = {name: table_schema(model) for name, model in SECTIONS.items()}
    tables["material"]["properties"]["grade"] = {"enum": list(grades())}
    tables["material"]["properties"]["hardening"] = {"oneOf": [table_schema(law) for law in HARDENING.values()]}
    tables["shape"] = {"oneOf": [table_schema(model) for model in family_models().values()]}
    tables["deviation"] = {"oneOf": [table_schema(model) for model in DEVIATIONS.values()]}
    tables["tolerances"] = _tolerances()
    tables["size"] = table_schema(SizeTable)
    tables["expect"] = {"type": "array", "items": table_schema(Expectation)}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Case file",
        "type": "object",
        "properties": tables,
        "required": list(NEEDED),
        "additionalProperties": False,
    }


def schema_text() -> str:
    """Return the schema as the text of cases/case.schema.json."""
    return json.dumps(case_schema(), indent=1) + "\n"


def _tolerances() -> Schema:
    """Return the schema of [tolerances]: keys of the case, in quotes or nested, each with a number or a table."""
    entry = {"anyOf": [{"type": "number", "minimum": 0.0}, table_schema(ToleranceTable), {"type": "object"}]}
    return {
        "description": "[tolerances]: how far numbers of the case may be off, or how they scatter.",
        "type": "object",
        "properties": {"correlated": {"type": "array", "items": table_schema(Correlation)}},
        "additionalProperties": entry,
    }


def table_schema(model: type[BaseModel]) -> Schema:
    """Return the schema of a table; of the keys of a quantity that it needs exactly one may stand."""
    whole = model.model_json_schema()
    nested = _nested(model)
    values = {name: _plain(value, nested) for name, value in whole["properties"].items()}
    # A grade may supply whatever [material] leaves out, so that nothing of it is required.
    needed = [slot for slot in slots(model).values() if slot.required and model is not Metal]
    return {
        "description": whole["description"].split("\n")[0],
        "type": "object",
        "properties": {key: values[slot.name] for slot in slots(model).values() for key in slot.spellings},
        "required": [slot.key for slot in needed if not slot.dimension],
        "additionalProperties": False,
    } | ({"allOf": rules} if (rules := [_one_of(slot) for slot in needed if slot.dimension]) else {})


def _one_of(slot: Slot) -> Schema:
    return {"oneOf": [{"required": [key]} for key in slot.spellings]}


def _nested(model: type[BaseModel]) -> dict[str, type[BaseModel]]:
    """Return the models of tables inside a table by the name under which pydantic refers to them."""
    return {inner.__name__: inner for slot in slots(model).values() for inner in _models_in(slot.annotation)}


def _models_in(annotation: Any) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [inner for part in getattr(annotation, "__args__", ()) for inner in _models_in(part)]


def _plain(value: Any, nested: dict[str, type[BaseModel]]) -> Any:
    """Return what pydantic says of a value, tables put in place and null left out: a TOML file cannot say it."""
    if isinstance(value, list):
        return [_plain(item, nested) for item in value]
    if not isinstance(value, dict):
        return value
    if "$ref" in value:
        return table_schema(nested[value["$ref"].rsplit("/", 1)[-1]])
    kept = {key: _plain(item, nested) for key, item in value.items() if key not in _DROPPED}
    choices = [choice for choice in kept.get("anyOf", []) if choice != {"type": "null"}]
    return choices[0] if len(choices) == 1 else kept | ({"anyOf": choices} if choices else {})
