"""The reader of a page against the library's: the same texts are read and refused, the same values come out."""

import json
import math
import random
import re
import subprocess
from html import unescape
from pathlib import Path

import pytest

from buckle.errors import CaseError
from buckle.expression import read_expression
from tests.expression.test_expression import KNOWN, REFUSED, VALUED, WITHOUT_VALUE, WITHOUT_WORTH
from tests.helpers.browser import BROWSER, FLAGS
from tests.helpers.paths import ROOT

READER = ROOT / "buckle/report/templates/expression.js"
PAGE = """<!DOCTYPE html><meta charset="utf-8"><title></title><pre id="out"></pre><script>
{reader}
const known = {known};
document.getElementById("out").textContent = JSON.stringify({texts}.map(text => {{
  try {{
    const read = readExpression(text);
    try {{ return ["value", read.names, read.value(known)]; }}
    catch (error) {{ return ["no value", read.names, null]; }}
  }} catch (error) {{ return ["refused", [], null]; }}
}}));
</script>"""
WORDS = (
    "a",
    "b.c[2]",
    "status",
    "flag",
    "missing",
    "2",
    ".5",
    "1e3",
    "1e999",
    "'x'",
    '"solved"',
    "true",
    "false",
    "pi",
)
WORDS += ("+", "-", "*", "/", "^", "**", "<", "<=", ">", ">=", "=", "==", "!=", "and", "or", "not", "(", ")", ",", " ")
WORDS += ("sqrt(", "max(", "log10(", "abs(", "arccos(", "exp(", "f(", "constructor", "__proto__", "toString(", "#", "é")
NAMED = KNOWN | {"b.c[2]": -3.5, "flag": True, "text": "x"}


def sensible(chance: random.Random, depth: int) -> str:
    """A text that is an expression, though its values may not go together."""
    if depth == 0 or chance.random() < 0.2:
        return chance.choice(("a", "b.c[2]", "status", "flag", "missing", "2", "0.25", "'solved'", "true", "pi"))
    one, other = sensible(chance, depth - 1), sensible(chance, depth - 1)
    sign = chance.choice(("+", "-", "*", "/", "^", "**", "<", ">=", "=", "!=", "==", "and", "or", "< a <="))
    return chance.choice((f"{one} {sign} {other}", f"({one}) {sign} -{other}", f"not ({one})", f"max({one}, {other})"))


def texts() -> list[str]:
    chance = random.Random(11)
    given = [text for text, _ in (*VALUED, *WITHOUT_VALUE)] + [*REFUSED, *WITHOUT_WORTH]
    strewn = [" ".join(chance.choices(WORDS, k=chance.randint(1, 9))) for _ in range(800)]
    return given + strewn + [sensible(chance, chance.randint(1, 4)) for _ in range(1200)]


def by_the_library(text: str) -> list:
    try:
        read = read_expression(text)
    except CaseError:
        return ["refused", [], None]
    try:
        return ["value", list(read.names), read.value(NAMED)]
    except CaseError:
        return ["no value", list(read.names), None]


def by_the_page(all_texts: list[str], folder: Path) -> list[list]:
    reader = READER.read_text(encoding="utf-8")
    data = {"known": json.dumps(NAMED), "texts": json.dumps(all_texts).replace("<", "\\u003c")}
    page = folder / "page.html"
    page.write_text(PAGE.format(reader=reader, **data), encoding="utf-8")
    command = [BROWSER, *FLAGS, f"--user-data-dir={folder / 'browser'}", "--virtual-time-budget=5000", "--dump-dom"]
    done = subprocess.run([*command, page.as_uri()], capture_output=True, text=True, timeout=120, check=True)
    found = re.search(r'<pre id="out">(.*?)</pre>', done.stdout, re.DOTALL)
    return json.loads(unescape(found[1]))


def alike(one: object, other: object) -> bool:
    """Functions such as exp may differ in their last digit from one library to another, and powers multiply that."""
    if type(one) is bool or type(other) is bool or not isinstance(one, int | float):
        return one is other or (type(one) is type(other) and one == other)
    return isinstance(other, int | float) and math.isclose(one, other, rel_tol=1e-12, abs_tol=1e-12)


@pytest.mark.skipif(BROWSER is None, reason="no Chromium on this machine")
def test_the_page_reads_what_the_library_reads_and_finds_the_same(tmp_path):
    every = texts()
    expected = [by_the_library(text) for text in every]
    found = by_the_page(every, tmp_path)
    for text, (how, names, value), (page_how, page_names, page_value) in zip(every, expected, found, strict=True):
        assert (how, names) == (page_how, page_names), text
        assert alike(value, page_value), (text, value, page_value)
    counts = {how: sum(each[0] == how for each in expected) for how in ("value", "no value", "refused")}
    assert min(counts.values()) > 300, counts  # each of the three is tried often enough
