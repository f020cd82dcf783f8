"""What editors know of a container's file: the tables of a case once, each part by reference or inline."""

import json
import re
import tomllib

from buckle.case.schema import case_schema
from buckle.container.models import NAMES
from buckle.container.reader import TABLES
from buckle.container.schema import container_schema, container_schema_text
from tests.helpers.paths import CONTAINER, ROOT


def test_the_schema_file_is_fresh() -> None:
    """When the keys change on purpose: scripts/schema."""
    assert (ROOT / "cases" / "container.schema.json").read_text() == container_schema_text()


def test_it_knows_the_tables_that_the_reader_does() -> None:
    schema = container_schema()
    assert set(schema["properties"]) == set(TABLES)
    assert set(schema["properties"]["parts"]["properties"]) == set(NAMES)
    assert schema["$defs"]["table_shape"] == case_schema()["properties"]["shape"]


def test_every_reference_leads_somewhere() -> None:
    schema = container_schema()
    named = set(re.findall(r'"#/\$defs/(\w+)"', json.dumps(schema)))
    assert named <= set(schema["$defs"])
    assert {"inline", "referenced", "states"} <= named


def test_the_demonstration_has_no_key_that_it_lacks() -> None:
    """Of the tables of the whole, of its states, and of the part that is written out."""
    schema, tables = container_schema(), tomllib.loads(CONTAINER.read_text())
    defs = schema["$defs"]
    for name in (name for name in tables if name not in ("parts", "blanks")):
        assert set(tables[name]) <= set(schema["properties"][name]["properties"])
    assert set(tables["parts"]["neck"]) <= set(defs["inline"]["properties"])
    for part in ("base", "wall", "end"):
        assert set(tables["parts"][part]) <= set(defs["referenced"]["properties"])
    for state in tables["parts"]["wall"]["states"].values():
        assert set(state) <= set(defs["states"]["additionalProperties"]["properties"])
