"""Arrays have a shape and a unit: the docstring of whoever takes or gives one says both.

The rule is one that a machine can hold. A public function, method or property of the mechanics with an array among its
arguments or results has a docstring with at least one shape, in words of the list below: `(points, 5)`; and, unless its
arrays are numbers of unknowns, nodes or elements, with at least one unit: `[N/mm]`, or `[-]` where there is none. Each
array in a public class has the same in the comment beside it or in what is said of the class. That every array of
several has its own the rule cannot see.
"""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.helpers.paths import ROOT

PACKAGE = ROOT / "buckle"
UNITS = ("shell", "solve", "solid", "waves", "analysis")
FILES = sorted(path for unit in UNITS for path in (PACKAGE / unit).glob("*.py"))

DIMENSIONS = "points angles layers harmonics elements nodes vertices sides unknowns size width rows fields functions"
DIMENSIONS += " stations states columns components"
WORD = rf"(?:\d+|{'|'.join(DIMENSIONS.split())})"
ENTRY = rf"{WORD}(?: {WORD})?(?: [/+] \d+)?"
SHAPE = re.compile(rf"\((?:{ENTRY},|{ENTRY}(?:, {ENTRY})+)\)")
"""(points,), (points, 5), (elements, 5 points, unknowns), (2, layers / 2, layers / 2)."""
SYMBOL = r"(?:mm\d?|N|MPa|rad|-|%|1)"
UNIT = re.compile(rf"\[{SYMBOL}(?:[ /]{SYMBOL})*(?:, {SYMBOL}(?:[ /]{SYMBOL})*)*\]")
"""[mm], [N/mm], [mm, rad], [-]."""


def arrays_of(tree: ast.Module) -> tuple[set[str], set[str]]:
    """Names that stand for arrays of numbers in a module, and those that stand for arrays of indices or flags."""
    numbers, indices = {"ndarray"}, set()
    for node in tree.body:
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            words = set(re.findall(r"\w+", ast.unparse(node.value)))
            if "float64" in words or ("NDArray" not in words and words & numbers and "np" not in words):
                numbers.add(node.targets[0].id)
            elif "NDArray" in words:
                indices.add(node.targets[0].id)
    return numbers, indices


def public_functions(tree: ast.Module) -> Iterator[ast.FunctionDef]:
    for node in tree.body:
        members = node.body if isinstance(node, ast.ClassDef) and not node.name.startswith("_") else [node]
        yield from (one for one in members if isinstance(one, ast.FunctionDef) and not one.name.startswith("_"))


def public_arrays(tree: ast.Module, lines: list[str]) -> Iterator[tuple[ast.AnnAssign, str, str]]:
    """Fields of public classes, with their names and what is said of them."""
    for owner in tree.body:
        if isinstance(owner, ast.ClassDef) and not owner.name.startswith("_"):
            for field in owner.body:
                if isinstance(field, ast.AnnAssign):
                    said = f"{ast.get_docstring(owner)} {lines[field.lineno - 1]}"
                    yield field, f"{owner.name}.{ast.unparse(field.target)}", said


def words_of(*annotations: ast.expr | None) -> set[str]:
    return {word for each in annotations if each is not None for word in re.findall(r"\w+", ast.unparse(each))}


def words_of_annotations(function: ast.FunctionDef) -> set[str]:
    arguments = [*function.args.posonlyargs, *function.args.args, *function.args.kwonlyargs]
    return words_of(*(each.annotation for each in arguments), function.returns)


def lacking(path: Path) -> Iterator[str]:
    """What is not said, by line and name."""
    text = path.read_text(encoding="utf-8")
    tree = ast.parse(text)
    numbers, indices = arrays_of(tree)
    said = [(one.lineno, one.name, words_of_annotations(one), ast.get_docstring(one)) for one in public_functions(tree)]
    fields = public_arrays(tree, text.splitlines())
    said += [(field.lineno, name, words_of(field.annotation), words) for field, name, words in fields]
    for line, name, annotations, words in sorted(said):
        if annotations & (numbers | indices) and not SHAPE.search(words or ""):
            yield f"line {line}: {name} states no shape"
        if annotations & numbers and not UNIT.search(words or ""):
            yield f"line {line}: {name} states no unit"


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_arrays_state_shape_and_unit(path: Path) -> None:
    assert list(lacking(path)) == []


def test_the_rule_sees_what_is_missing(tmp_path: Path) -> None:
    made = tmp_path / "made.py"
    made.write_text(
        "Array = NDArray[np.float64]\nIndex = NDArray[np.int64]\n"
        'def bare(x: Array) -> float:\n    """Nothing (of it) [sic]."""\n'
        'def shaped(x: Array) -> float:\n    """Length of x (size,)."""\n'
        'def numbered(x: Index) -> float:\n    """How many of x (nodes,)."""\n'
        'class Kept:\n    """Things."""\n    x: Array  # of points\n    y: Array  # (points,) [mm]\n'
        'def whole(x: Array) -> float:\n    """Band (size, width) [N/mm] at x (size,) [mm, rad]."""\n',
        encoding="utf-8",
    )
    assert list(lacking(made)) == [
        "line 3: bare states no shape",
        "line 3: bare states no unit",
        "line 5: shaped states no unit",
        "line 11: Kept.x states no shape",
        "line 11: Kept.x states no unit",
    ]
