"""A case file edited in place: only the value changes, and what is read is what was asked for."""

import json
import tomllib

import pytest

from buckle.case import case_from_dict, read_case, replace_keys
from buckle.case.rewrite import rewritten_case
from tests.helpers.paths import ROOT

BASE = ROOT / "cases/demo/base.toml"


@pytest.mark.parametrize(
    "changes",
    [
        {"shape.gauge_mm": 0.2214},
        {"shape.gauge_in": 0.0087},
        {"material.yield_stress_MPa": 251.5},
        {"contents.temperatures_degC": [4, 20, 38, 66.5]},
        {"numerics.mesh_density": 2.0},
        {"shape.gauge_mm": 0.23, "shape.dome_depth_mm": 9.9, "requirements.pressure_kPa": 610.0},
    ],
)
def test_it_reads_as_the_same_case_as_its_tables_would(changes):
    text = BASE.read_text(encoding="utf-8")
    made = case_from_dict(tomllib.loads(rewritten_case(text, changes)))
    asked = case_from_dict(replace_keys(read_case(BASE).tables, changes))
    assert made.input_hash == asked.input_hash


def test_comments_and_lines_stay():
    text = BASE.read_text(encoding="utf-8")
    made = rewritten_case(text, {"shape.gauge_mm": 0.2214})
    assert made == text.replace("gauge_mm = 0.245      ", "gauge_mm = 0.2214      ", 1)
    assert made != text


def test_a_quantity_keeps_the_unit_of_the_file():
    made = rewritten_case('[shape]\nfamily = "cylinder"\nradius_in = 1.0 # the wall\n', {"shape.radius_mm": 50.8})
    assert made == '[shape]\nfamily = "cylinder"\nradius_in = 2.0 # the wall\n'


def test_entries_of_lists_and_of_tables_in_a_line():
    text = "[shape]\npieces = [ { arc_mm = 45.7, turn_deg = -27 }, # dome\n  { line_mm = 2 } ]\n"
    text += '[material]\nhardening = { law = "linear" }\n'
    made = rewritten_case(text, {"shape.pieces[1].line_mm": 2.5, "material.hardening.modulus_MPa": 500.0})
    assert tomllib.loads(made) == {
        "shape": {"pieces": [{"arc_mm": 45.7, "turn_deg": -27}, {"line_mm": 2.5}]},
        "material": {"hardening": {"law": "linear", "modulus_MPa": 500.0}},
    }
    assert "# dome" in made


def test_json_too():
    text = json.dumps({"shape": {"gauge_in": 0.01}, "material": {"grade": "A"}})
    made = rewritten_case(text, {"shape.gauge_mm": 0.508, "numerics.step": 0.5}, is_json=True)
    assert json.loads(made) == {"shape": {"gauge_in": 0.02}, "material": {"grade": "A"}, "numerics": {"step": 0.5}}


@pytest.mark.parametrize(
    ("text", "made"),
    [
        ('[a.b]\nf = "x" # why\n\n[a.c]\n', '[a.b]\nf = "x" # why\n\n[a.b.s]\nt_mm = 2.0\n\n[a.c]\n'),
        (
            "[a.b]\nl = [\n  [1, 2],\n  [3],\n]\n\n[a.c]\n",
            "[a.b]\nl = [\n  [1, 2],\n  [3],\n]\n\n[a.b.s]\nt_mm = 2.0\n\n[a.c]\n",
        ),
        ("[a.b]\n[a.b.s.u]\nv = 1\n", "[a.b]\n\n[a.b.s]\nt_mm = 2.0\n[a.b.s.u]\nv = 1\n"),
        ("[a.b]\ns.w = 1\nx = 2\n", "[a.b]\ns.w = 1\ns.t_mm = 2.0\nx = 2\n"),
        ("[a]\nb = { x = 1 }\n", "[a]\nb = { s.t_mm = 2.0, x = 1 }\n"),
        ("a.b.s.w = 1\n", "a.b.s.w = 1\na.b.s.t_mm = 2.0\n"),
        ("[c]\nx = 1\n", "[c]\nx = 1\n\n[a.b.s]\nt_mm = 2.0\n"),
    ],
)
def test_a_table_that_the_file_lacks_stands_with_what_it_belongs_to(text, made):
    """However that is written: below its header, among dotted keys, within braces; else at the end."""
    assert rewritten_case(text, {"a.b.s.t_mm": 2.0}) == made
    assert tomllib.loads(made) == replace_keys(tomllib.loads(text), {"a.b.s.t_mm": 2.0})
