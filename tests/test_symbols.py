"""The list of symbols is whole and true: it names what the mechanics use, and they use what it names."""

import ast
import re
import unicodedata
from functools import cache
from pathlib import Path

import pytest

from tests.helpers.paths import ROOT

UNITS = ("shell", "solve", "solid", "waves", "analysis")
FILES = sorted(path for unit in UNITS for path in (ROOT / "buckle" / unit).glob("[a-z]*.py"))
GREEK = {unicodedata.name(chr(code)).split()[-1].lower() for code in range(ord("α"), ord("ω") + 1)}
WORDS = {"at", "on"}
"""Short, but no symbols."""
ROW = re.compile(
    r"^\| (?P<names>`[^|]+`) \| (?P<meaning>[^|]+) \| (?P<unit>[^|]+) \| (?P<where>[^|]+) \|$", re.MULTILINE
)


@cache
def symbols_of_the_page() -> list[tuple[str, str]]:
    """Symbols of the page, each with a unit of the package or a module of it where it is used."""
    rows = ROW.finditer((ROOT / "docs" / "symbols.md").read_text(encoding="utf-8"))
    return [
        (name, where)
        for row in rows
        for name in re.findall(r"`(\w+)`", row["names"])
        for where in row["where"].split(", ")
    ]


@cache
def name_of(path: Path) -> str:
    return ".".join(path.relative_to(ROOT / "buckle").with_suffix("").parts)


@cache
def files_at(where: str) -> list[Path]:
    return [path for path in FILES if where in (name_of(path), name_of(path).split(".")[0])]


@cache
def names_in(path: Path) -> set[str]:
    """All names that a module gives to arguments, fields and variables."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    arguments = {node.arg for node in ast.walk(tree) if isinstance(node, ast.arg)}
    return arguments | {node.id for node in ast.walk(tree) if isinstance(node, ast.Name)}


@cache
def short_names_in(path: Path) -> set[str]:
    """Arguments and fields of at most two letters, or named by a Greek letter."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    functions = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]
    names = {node.arg for one in functions for node in ast.walk(one.args) if isinstance(node, ast.arg)}
    fields = [node.target for node in ast.walk(tree) if isinstance(node, ast.AnnAssign)]
    names |= {target.id for target in fields if isinstance(target, ast.Name)}
    return {name for name in names if len(name) <= 2 or name in GREEK} - WORDS


@pytest.mark.parametrize(("symbol", "where"), symbols_of_the_page(), ids="-".join)
def test_a_symbol_is_used_where_the_list_says(symbol: str, where: str) -> None:
    assert files_at(where), f"no module {where}"
    assert any(symbol in names_in(path) for path in files_at(where))


@pytest.mark.parametrize("path", FILES, ids=name_of)
def test_no_short_name_is_missing(path: Path) -> None:
    known = {symbol for symbol, where in symbols_of_the_page() if path in files_at(where)}
    assert short_names_in(path) - known == set()


def test_a_symbol_means_one_thing_in_a_module() -> None:
    """A row for all of a unit is the meaning where no row names the module."""
    pairs = [(symbol, where) for symbol, where in symbols_of_the_page() if "." in where]
    assert sorted(pairs) == sorted(set(pairs))
