"""The locator against texts whose lines are known because the test wrote them, and against `tomllib`."""

import json
import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buckle.case.locator import nearest_line, toml_lines

NAMES = st.text(st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"]), max_size=6) | st.sampled_from(
    ["a", "b_mm", "a.b", "1", "-", '"', "'", "#", "[x]", "="]
)
SCALARS = st.one_of(
    st.integers(-9, 9).map(str),
    st.sampled_from(["1.5e3", "nan", "-inf", "true", "1979-05-27T07:32:00Z", "1979-05-27 07:32:00", "07:32:00"]),
    st.sampled_from(["'''\nraw ] # = \n'''", '"""x\\"\n]}=\n"""""', "'[#'", '"a, \\" b = ]"', '""', '""""""']),
)
VALUES = st.recursive(
    SCALARS, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(NAMES, inner, max_size=3), max_leaves=8
)
TREES = st.recursive(
    st.dictionaries(NAMES, VALUES.map(lambda value: ("value", value)), max_size=3),
    lambda inner: st.dictionaries(
        NAMES,
        st.one_of(
            VALUES.map(lambda value: ("value", value)),
            inner.map(lambda table: ("table", table)),
            st.lists(inner, min_size=1, max_size=3).map(lambda tables: ("tables", tables)),
        ),
        max_size=3,
    ),
    max_leaves=6,
)


class Writer:
    """Writes TOML and remembers on which line each key went."""

    def __init__(self, spread: bool, quote: bool) -> None:
        self.text, self.lines, self.spread, self.quote = "", {}, spread, quote

    @property
    def line(self):
        return self.text.count("\n") + 1

    def name(self, name):
        bare = name and all(c.isascii() and (c.isalnum() or c in "_-") for c in name)
        return name if bare and not self.quote else json.dumps(name, ensure_ascii=False).replace("\x7f", "\\u007f")

    def value(self, path, value):
        if isinstance(value, str):
            self.text += value
        elif isinstance(value, list):
            self.text += "[" + ("  # [ = ] comment\n" if self.spread else "")
            for index, entry in enumerate(value):
                self.lines[*path, index] = self.line
                self.value((*path, index), entry)
                self.text += ", " + ("# more\n\n" if self.spread else "")
            self.text += "]"
        else:
            self.text += "{ "
            for index, (name, entry) in enumerate(value.items()):
                self.text += ", " if index else ""
                self.pair(path, name, entry)
            self.text += " }"

    def pair(self, path, name, value):
        self.lines[*path, name] = self.line
        self.text += f"{self.name(name)} = "
        self.value((*path, name), value)

    def table(self, path, header, tree):
        """Values first: after a header line they could not follow."""
        for name, (kind, item) in tree.items():
            if kind == "value":
                self.pair(path, name, item)
                self.text += "  # note\r\n"
        for name, (kind, item) in tree.items():
            names = [*header, name]
            title = " . ".join(map(self.name, names)) if self.spread else ".".join(map(self.name, names))
            if kind == "table":
                self.lines.setdefault((*path, name), self.line)
                self.text += f"[{title}]\n"
                self.table((*path, name), names, item)
            elif kind == "tables":
                for index, entry in enumerate(item):
                    self.lines.setdefault((*path, name), self.line)
                    self.lines[*path, name, index] = self.line
                    self.text += f"[[{title}]]  # again\n"
                    self.table((*path, name, index), names, entry)


def paths(tree, path=()):
    """Yield every key path of what a reader returned."""
    items = tree.items() if isinstance(tree, dict) else enumerate(tree) if isinstance(tree, list) else ()
    for key, value in items:
        yield (*path, key)
        yield from paths(value, (*path, key))


RANDOM = {"tree": TREES, "spread": st.booleans(), "quote": st.booleans()}


@settings(max_examples=80, deadline=None)
@given(**RANDOM)
def test_toml_lines_are_those_written(tree, spread, quote):
    lines_are_those_written(tree, spread, quote)


@pytest.mark.slow
@settings(max_examples=1000, deadline=None)
@given(**RANDOM)
def test_lines_of_a_thousand_texts_are_those_written(tree, spread, quote):
    lines_are_those_written(tree, spread, quote)


def lines_are_those_written(tree, spread, quote):
    writer = Writer(spread, quote)
    writer.table((), [], tree)
    lines = toml_lines(writer.text)
    assert lines == writer.lines
    assert set(lines) == set(paths(tomllib.loads(writer.text)))


DOTTED = """\
shape.radius_mm = 2

[a]
b.c = { d = 1, e = [1,
  2] }
[a.f.g]
h = 1
"""


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("shape", "radius_mm"), 1),
        (("a", "b", "c", "e", 1), 5),
        (("a", "f"), 6),
        (("a", "f", "g", "h"), 7),
        (("a", "b", "c", "missing", "deeper"), 4),
        (("a", "missing"), 3),
        (("nowhere",), None),
        ((), None),
    ],
)
def test_nearest_line_falls_back_to_the_parent(path, line):
    assert nearest_line(toml_lines(DOTTED), path) == line
