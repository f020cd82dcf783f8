"""The layers are binding: imports point down, the sides of a comparison share no code, a library has its place."""

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path

import pytest

from buckle.formulas.registry import FORMULAS
from buckle.shapes import FAMILIES
from tests.helpers.paths import ROOT

PACKAGE = ROOT / "buckle"
LAYERS = [
    "marked",
    "errors",
    "units cautions bands inputs process shipped expression",
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


@dataclass(frozen=True)
class Program:
    """A file of Python read once for all that is asked of it."""

    source: str
    path: Path = PACKAGE

    @cached_property
    def tree(self) -> ast.Module:
        return ast.parse(self.source)

    @cached_property
    def nodes(self) -> tuple[ast.AST, ...]:
        return tuple(ast.walk(self.tree))

    def at(self, node: ast.AST) -> str:
        """Where a node is, in words."""
        return f"{self.path.relative_to(ROOT)}, line {node.lineno}"


def read(path: Path) -> Program:
    return Program(path.read_text(encoding="utf-8"), path)


@cache
def unit_of(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


@cache
def part_of(path: Path) -> str:
    """The directory of a file, two levels deep at the most: buckle/report, tests/shell, scripts."""
    return "/".join(path.relative_to(ROOT).parent.parts[:2])


@pytest.fixture(scope="module", params=sorted({unit_of(path) for path in FILES}))
def unit(request: pytest.FixtureRequest) -> str:
    """Each unit in turn: a test a file would be thousands, most of whose time would go into starting each."""
    return request.param


@pytest.fixture(scope="module")
def programs(unit: str) -> list[Program]:
    """The files of a unit, forgotten before those of the next are read."""
    return [read(path) for path in FILES if unit_of(path) == unit]


def all_nodes(programs: list[Program]) -> Iterator[tuple[Program, ast.AST]]:
    return ((program, node) for program in programs for node in program.nodes)


def test_imports_point_down(unit: str, programs: list[Program]) -> None:
    if unit == "__init__":
        return
    for program, node in all_nodes(programs):
        at = program.at(node) if isinstance(node, ast.Import | ast.ImportFrom) else ""
        if isinstance(node, ast.Import):
            assert not any(name.name.split(".")[0] == "buckle" for name in node.names), at
        if not isinstance(node, ast.ImportFrom) or not (node.level or (node.module or "").split(".")[0] == "buckle"):
            continue
        assert node in program.tree.body or unit == "cli", f"{at}: internal import inside a function"
        assert node.level == 0, f"{at}: relative import"
        assert "." in node.module, f"{at}: write 'from buckle.unit import name'"
        target = node.module.split(".")[1]
        allowed = target == unit or (RANK[target] < RANK[unit] and (unit, target) not in APART)
        assert allowed, f"{at}: {unit} may not import {target}"


def test_each_library_stays_in_its_units(unit: str, programs: list[Program]) -> None:
    for program, node in all_nodes(programs):
        names = []
        if isinstance(node, ast.Import):
            names = [name.name for name in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            names = [node.module]
        for name in names:
            top = name.split(".")[0]
            assert unit in ONLY.get(top, {unit}), f"{program.at(node)}: {top} does not belong here"


def test_files_stay_small(programs: list[Program]) -> None:
    """One idea per file: at most 400 lines."""
    for program in programs:
        assert len(program.source.splitlines()) <= 400, program.path


def test_functions_of_the_mechanics_stay_small(unit: str, programs: list[Program]) -> None:
    """At most 40 lines and 6 parameters."""
    for program, node in all_nodes(programs):
        if unit in MECHANICS and isinstance(node, ast.FunctionDef):
            names = [one.arg for one in (*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs)]
            assert len([name for name in names if name not in ("self", "cls")]) <= 6, program.at(node)
            assert node.end_lineno - node.lineno < 40, program.at(node)


def test_the_library_neither_prints_nor_exits(unit: str, programs: list[Program]) -> None:
    if unit in ("cli", "__main__"):
        return
    for program, node in all_nodes(programs):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            assert node.func.id not in ("print", "exit"), program.at(node)


def test_running_and_sweeping_from_python_load_no_pictures() -> None:
    """Nor what prints, nor what few cases ask for: a worker of a batch needs mechanics alone."""
    late = {"matplotlib", "rich", "jinja2", "meshio", "scipy.optimize", "scipy.interpolate", "scipy.special"}
    code = "import sys, buckle; buckle.sweep, buckle.run, buckle.judge\n"
    code += f"print(*sorted({late} & set(sys.modules)))"
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert said.stdout.split() == []


# Names ----------------------------------------------------------------------------------------------------------------

WORD = re.compile(r"[A-Z]+(?![a-z])|[A-Z]?[a-z]+")


def names_given(program: Program) -> Iterator[str]:
    """What a program calls its own: not what it uses of others, such as `np.floor`."""
    for node in program.nodes:
        match node:
            case ast.FunctionDef(name=name) | ast.ClassDef(name=name) | ast.arg(arg=name) | ast.keyword(arg=str(name)):
                yield name
            case ast.Name(id=name, ctx=ast.Store()) | ast.Attribute(attr=name, ctx=ast.Store()):
                yield name
            case ast.alias():
                yield (node.asname or node.name).split(".")[-1]
            case ast.Dict(keys=keys):
                yield from (key.value for key in keys if isinstance(key, ast.Constant) and isinstance(key.value, str))


def private_names(program: Program) -> list[str]:
    """The names in which a private word stands; a sentence, such as a text that is a key, may hold one."""
    return [
        name
        for name in names_given(program)
        if name.isidentifier() and PRIVATE_WORDS & {word.lower() for word in WORD.findall(name)}
    ]


@pytest.mark.parametrize("part", sorted({part_of(path) for path in EVERYWHERE}))
def test_no_name_is_a_private_word(part: str) -> None:
    for path in (path for path in EVERYWHERE if part_of(path) == part):
        assert not PRIVATE_WORDS & {word.lower() for word in WORD.findall(path.stem)}, path
        assert private_names(read(path)) == [], path


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
    assert private_names(Program(line))
    assert private_names(Program("number = np.floor(displacement); fields = {'told in bar': 'place'}")) == []


def types_given(program: Program) -> list[str]:
    """The classes and other names that a module gives at its top."""
    named = [node.name for node in program.tree.body if isinstance(node, ast.ClassDef)]
    values = [node for node in program.tree.body if isinstance(node, ast.Assign | ast.AnnAssign)]
    targets = [
        target for node in values for target in (node.targets if isinstance(node, ast.Assign) else [node.target])
    ]
    named += [target.id for target in targets if isinstance(target, ast.Name)]
    imports = [(node, alias) for node in program.tree.body if isinstance(node, ast.ImportFrom) for alias in node.names]
    outside = [alias for node, alias in imports if (node.module or "").split(".")[0] != "buckle" or alias.asname]
    return named + [alias.asname or alias.name for alias in outside]


def test_a_name_that_fits_much_has_one_sense() -> None:
    """Neither given twice, nor to something of a library or under another name."""
    giving = [(name, path) for path in FILES for name in {*types_given(read(path))}.intersection(ONE_SENSE)]
    names = [name for name, _ in giving]
    assert len(names) == len({*names}), giving


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
    assert "Table" in types_given(Program(line))
    assert types_given(Program("from buckle.store import Table")) == []


HANDS_BY_FAMILY = PACKAGE / "margins/hand/__init__.py"
"""What is worked out by hand of a family: `shapes`, which knows no formulas, cannot say that itself."""
PARTS = PACKAGE / "container/models.py"
"""The parts of a container, one of which is called as a family is: a neck may be of any."""


def constants(program: Program, *, but_of_key: str) -> Iterator[ast.Constant]:
    """The texts in a program, but for the values of one key of the tables written out in it."""
    tables = [node for node in program.nodes if isinstance(node, ast.Dict)]
    left_out = {
        id(value)
        for table in tables
        for key, value in zip(table.keys, table.values, strict=True)
        if isinstance(key, ast.Constant) and key.value == but_of_key
    }
    yield from (each for each in program.nodes if isinstance(each, ast.Constant) and id(each) not in left_out)


def families_named(program: Program) -> list[str]:
    """The families that a program names, but for the [shape] tables that it makes."""
    return [each.value for each in constants(program, but_of_key="family") if each.value in FAMILIES]


def formulas_named(program: Program) -> list[str]:
    """The formulas that a program names, or the bodies by which their names begin."""
    beginnings = {f"{rule.statement.body}." for rule in FORMULAS.values()}
    return [each.value for each in constants(program, but_of_key="") if each.value in {*FORMULAS, *beginnings}]


def test_no_family_is_asked_for_by_its_name(unit: str, programs: list[Program]) -> None:
    """What differs from family to family is a field of `Family`, so that a new one is one file and one entry."""
    for program in programs:
        if unit != "shapes" and program.path not in (HANDS_BY_FAMILY, PARTS):
            assert families_named(program) == [], program.path


def test_no_formula_is_asked_for_by_its_name(unit: str, programs: list[Program]) -> None:
    """Its statement says its body, what it answers and how the edge is held; the rule itself knows what it gave."""
    for program in programs:
        if unit != "formulas":
            assert formulas_named(program) == [], program.path


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
    assert families_named(Program(line))
    assert families_named(Program('{"family": "spherical_cap", "radius_mm": 3.0}')) == []


@pytest.mark.parametrize("line", ['formula.name.startswith("sphere.")', 'formula.name == "plate.clamped_limit"'])
def test_a_formula_that_is_named_is_found(line: str) -> None:
    """Or the test of it could not fail."""
    assert formulas_named(Program(line))
