"""The layers are binding: imports point down, the sides of a comparison share no code, a library has its place."""

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from buckle.formulas.registry import FORMULAS
from buckle.shapes import FAMILIES
from tests.helpers.paths import ROOT

PACKAGE = ROOT / "buckle"
LAYERS = [
    "marked",
    "errors",
    "units cautions bands inputs shipped expression",
    "increasing material meridian formulas demand",
    "shapes landmarks proportions imperfection",
    "case mesh",
    "container",
    "shell results study",
    "solve solid",
    "waves",
    "analysis",
    "margins store crosscheck",
    "sensitivity",
    "record",
    "batch",
    "size",
    "shortfall",
    "report",
    "commands",
    "cli",
    "__main__",
]
APART = {(unit, "formulas") for unit in ("mesh", "imperfection", "shell", "solve", "solid", "waves", "analysis")}
APART |= {("solid", "shell"), ("results", "shell")}  # the cross-check shares no mechanics with what it checks
ONLY = {  # library -> the units that may import it
    "matplotlib": {"report"},
    "meshio": {"record"},
    "skfem": {"mesh", "shell", "solid"},
    "numba": {"shell", "solid"},
    "rich": {"report", "commands"},
    "tomllib": {"case", "material", "formulas"},
    "jinja2": {"report"},
    "argparse": {"cli"},
}
RANK = {unit: rank for rank, units in enumerate(LAYERS) for unit in units.split()}
FILES = sorted(PACKAGE.rglob("*.py"))
MECHANICS = {"shell", "solve", "solid", "waves", "analysis"}
EVERYWHERE = sorted(path for part in ("buckle", "scripts", "tests") for path in (ROOT / part).rglob("*.py"))
EVERYWHERE += sorted(
    path
    for path in (ROOT / "scripts").iterdir()
    if path.is_file() and path.read_bytes().startswith(b"#!/usr/bin/env python")
)
PRIVATE_WORDS = {"crew", "hire", "tally", "probe", "drawn", "listed", "listing", "place", "places", "floor", "told"}
"""What a stranger would not guess the sense of."""
ONE_SENSE = ("Section", "Table", "Place", "Kind", "Edge")
"""Names that fit too much: whoever meets one may take it for any of several things, unless there is one."""


@cache
def parsed(source: str) -> tuple[ast.Module, tuple[ast.AST, ...]]:
    """The tree of a program and all of its nodes; most are asked for by six tests."""
    tree = ast.parse(source)
    return tree, tuple(ast.walk(tree))


def unit_of(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_imports_point_down(path: Path) -> None:
    unit = unit_of(path)
    if unit == "__init__":
        return
    tree, nodes = parsed(path.read_text(encoding="utf-8"))
    for node in nodes:
        if isinstance(node, ast.Import):
            assert not any(name.name.split(".")[0] == "buckle" for name in node.names), f"line {node.lineno}"
        if not isinstance(node, ast.ImportFrom) or not (node.level or (node.module or "").split(".")[0] == "buckle"):
            continue
        assert node in tree.body or unit == "cli", f"line {node.lineno}: internal import inside a function"
        assert node.level == 0, f"line {node.lineno}: relative import"
        assert "." in node.module, f"line {node.lineno}: write 'from buckle.unit import name'"
        target = node.module.split(".")[1]
        allowed = target == unit or (RANK[target] < RANK[unit] and (unit, target) not in APART)
        assert allowed, f"line {node.lineno}: {unit} may not import {target}"


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_each_library_stays_in_its_units(path: Path) -> None:
    for node in parsed(path.read_text(encoding="utf-8"))[1]:
        names = []
        if isinstance(node, ast.Import):
            names = [name.name for name in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            names = [node.module]
        for name in names:
            top = name.split(".")[0]
            assert unit_of(path) in ONLY.get(top, {unit_of(path)}), f"line {node.lineno}: {top} does not belong here"


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_files_stay_small(path: Path) -> None:
    """One idea per file: at most 400 lines."""
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 400


@pytest.mark.parametrize("path", [path for path in FILES if unit_of(path) in MECHANICS], ids=lambda path: path.stem)
def test_functions_of_the_mechanics_stay_small(path: Path) -> None:
    """At most 40 lines and 6 parameters."""
    for node in parsed(path.read_text(encoding="utf-8"))[1]:
        if isinstance(node, ast.FunctionDef):
            names = [one.arg for one in (*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs)]
            assert len([name for name in names if name not in ("self", "cls")]) <= 6, f"line {node.lineno}"
            assert node.end_lineno - node.lineno < 40, f"line {node.lineno}"


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_the_library_neither_prints_nor_exits(path: Path) -> None:
    if unit_of(path) in ("cli", "__main__"):
        return
    for node in parsed(path.read_text(encoding="utf-8"))[1]:
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            assert node.func.id not in ("print", "exit"), f"line {node.lineno}"


def test_running_and_sweeping_from_python_load_no_pictures() -> None:
    """Nor what prints: a worker of a batch needs mechanics alone."""
    code = "import sys, buckle; buckle.sweep, buckle.run, buckle.judge\n"
    code += "print(*sorted({'matplotlib', 'rich', 'jinja2', 'meshio'} & set(sys.modules)))"
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert said.stdout.split() == []


# Names ----------------------------------------------------------------------------------------------------------------

WORD = re.compile(r"[A-Z]+(?![a-z])|[A-Z]?[a-z]+")


def names_given(source: str) -> Iterator[str]:
    """What a program calls its own: not what it uses of others, such as `np.floor`."""
    for node in parsed(source)[1]:
        match node:
            case ast.FunctionDef(name=name) | ast.ClassDef(name=name) | ast.arg(arg=name) | ast.keyword(arg=str(name)):
                yield name
            case ast.Name(id=name, ctx=ast.Store()) | ast.Attribute(attr=name, ctx=ast.Store()):
                yield name
            case ast.alias():
                yield (node.asname or node.name).split(".")[-1]
            case ast.Dict(keys=keys):
                yield from (key.value for key in keys if isinstance(key, ast.Constant) and isinstance(key.value, str))


def private_names(source: str) -> list[str]:
    """The names in which a private word stands; a sentence, such as a text that is a key, may hold one."""
    return [
        name
        for name in names_given(source)
        if name.isidentifier() and PRIVATE_WORDS & {word.lower() for word in WORD.findall(name)}
    ]


@pytest.mark.parametrize("path", EVERYWHERE, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_name_is_a_private_word(path: Path) -> None:
    assert not PRIVATE_WORDS & {word.lower() for word in WORD.findall(path.stem)}
    assert private_names(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "line",
    [
        "told = 1",
        "def place_of(x): ...",
        "class _Floor: ...",
        "lambda drawn: 0",
        "run(place=1)",
        "from math import floor",
        "import os as probe",
        "self.places = ()",
        "fields = {'listed': 1}",
        "def test_a_fault_is_told(): ...",
    ],
)
def test_a_private_word_is_found(line: str) -> None:
    """Or the test of it could not fail."""
    assert private_names(line)
    assert private_names("number = np.floor(displacement); fields = {'told in bar': 'place'}") == []


def types_given(source: str) -> list[str]:
    """The classes and other names that a module gives at its top."""
    tree, _ = parsed(source)
    named = [node.name for node in tree.body if isinstance(node, ast.ClassDef)]
    values = [node for node in tree.body if isinstance(node, ast.Assign | ast.AnnAssign)]
    targets = [
        target for node in values for target in (node.targets if isinstance(node, ast.Assign) else [node.target])
    ]
    named += [target.id for target in targets if isinstance(target, ast.Name)]
    imports = [(node, alias) for node in tree.body if isinstance(node, ast.ImportFrom) for alias in node.names]
    outside = [alias for node, alias in imports if (node.module or "").split(".")[0] != "buckle" or alias.asname]
    return named + [alias.asname or alias.name for alias in outside]


@pytest.mark.parametrize("name", ONE_SENSE)
def test_a_name_that_fits_much_has_one_sense(name: str) -> None:
    """Neither given twice, nor to something of a library or under another name."""
    giving = [path for path in FILES if name in types_given(path.read_text(encoding="utf-8"))]
    assert len(giving) <= 1, giving


@pytest.mark.parametrize(
    "line",
    [
        "class Table: ...",
        "Table = dict",
        "Table: type = dict",
        "from rich.table import Table",
        "from buckle.x import Y as Table",
    ],
)
def test_a_second_sense_is_found(line: str) -> None:
    """Or the test of it could not fail."""
    assert "Table" in types_given(line)
    assert types_given("from buckle.store import Table") == []


HANDS_BY_FAMILY = PACKAGE / "margins/hand/__init__.py"
"""What is worked out by hand of a family: `shapes`, which knows no formulas, cannot say that itself."""
PARTS = PACKAGE / "container/models.py"
"""The parts of a container, one of which is called as a family is: a neck may be of any."""


def constants(source: str, *, but_of_key: str) -> Iterator[ast.Constant]:
    """The texts in a program, but for the values of one key of the tables written out in it."""
    _, nodes = parsed(source)
    tables = [node for node in nodes if isinstance(node, ast.Dict)]
    left_out = {
        id(value)
        for table in tables
        for key, value in zip(table.keys, table.values, strict=True)
        if isinstance(key, ast.Constant) and key.value == but_of_key
    }
    yield from (each for each in nodes if isinstance(each, ast.Constant) and id(each) not in left_out)


def families_named(source: str) -> list[str]:
    """The families that a program names, but for the [shape] tables that it makes."""
    return [each.value for each in constants(source, but_of_key="family") if each.value in FAMILIES]


def formulas_named(source: str) -> list[str]:
    """The formulas that a program names, or the bodies by which their names begin."""
    beginnings = {f"{rule.statement.body}." for rule in FORMULAS.values()}
    return [each.value for each in constants(source, but_of_key="") if each.value in {*FORMULAS, *beginnings}]


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_no_family_is_asked_for_by_its_name(path: Path) -> None:
    """What differs from family to family is a field of `Family`, so that a new one is one file and one entry."""
    if unit_of(path) != "shapes" and path not in (HANDS_BY_FAMILY, PARTS):
        assert families_named(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_no_formula_is_asked_for_by_its_name(path: Path) -> None:
    """Its statement says its body, what it answers and how the edge is held; the rule itself knows what it gave."""
    if unit_of(path) != "formulas":
        assert formulas_named(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "line",
    [
        'case.family == "spherical_cap"',
        'case.family in ("domed_base", "spherical_cap")',
        '{"spherical_cap": "apex"}.get(case.family)',
        'FREE = "meridian"',
    ],
)
def test_a_family_that_is_named_is_found(line: str) -> None:
    """Or the test of it could not fail."""
    assert families_named(line)
    assert families_named('{"family": "spherical_cap", "radius_mm": 3.0}') == []


@pytest.mark.parametrize("line", ['formula.name.startswith("sphere.")', 'formula.name == "plate.clamped_limit"'])
def test_a_formula_that_is_named_is_found(line: str) -> None:
    """Or the test of it could not fail."""
    assert formulas_named(line)
