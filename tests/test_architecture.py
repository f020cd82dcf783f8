"""The layers are binding: imports point down, the sides of a comparison share no code, a library has its place."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

from tests.helpers.paths import ROOT

PACKAGE = ROOT / "buckle"
LAYERS = [
    "errors",
    "units cautions bands inputs shipped",
    "material meridian formulas demand",
    "shapes landmarks",
    "case mesh imperfection",
    "shell results",
    "solve solid",
    "analysis",
    "margins store crosscheck",
    "record",
    "size batch",
    "report",
    "commands",
    "cli",
    "__main__",
]
APART = {(unit, "formulas") for unit in ("mesh", "imperfection", "shell", "solve", "solid", "analysis")}
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


def unit_of(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_imports_point_down(path: Path) -> None:
    unit = unit_of(path)
    if unit == "__init__":
        return
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for node in ast.walk(tree):
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
def test_each_library_has_its_place(path: Path) -> None:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
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


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_the_library_neither_prints_nor_exits(path: Path) -> None:
    if unit_of(path) in ("cli", "__main__"):
        return
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            assert node.func.id not in ("print", "exit"), f"line {node.lineno}"


def test_running_and_sweeping_from_python_load_no_pictures() -> None:
    """Nor what prints: a worker of a batch needs mechanics alone."""
    code = "import sys, buckle; buckle.sweep, buckle.run, buckle.judge\n"
    code += "print(*sorted({'matplotlib', 'rich', 'jinja2', 'meshio'} & set(sys.modules)))"
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert said.stdout.split() == []
