"""An expression with its numbers put in, as one writes it by hand under the formula."""

import re

from buckle.expression.functions import CONSTANTS, FUNCTIONS
from buckle.formulas.base import Formula

_WORD = re.compile(r"[A-Za-z_][A-Za-z_0-9]*")
_NAMED = re.compile(r"[\w/]+")
_NO_ARITHMETIC = re.compile(rf"[<>]|\b(?!{'|'.join(FUNCTIONS)})[A-Za-z]\w*\(")  # a table's P(lambda, nu)
_RELATION = re.compile(r"[=<>]")
_PRODUCT = re.compile(r"(?<=[\w.)]) (?=[\w(])")  # a blank between two factors


def numbers_put_in(worked: Formula) -> list[str]:
    """Return each clause 'x = ...' of the expression with numbers for letters, where numbers stand for all of them."""
    numbers = {quantity.symbol: f"{quantity.value:.6g}" for quantity in (*worked.inputs, *worked.steps)}
    found = []
    for clause in clauses(worked.expression):
        left, equals, right = clause.partition(" = ")
        words = set(_WORD.findall(right)) - {*FUNCTIONS, *CONSTANTS}
        if equals and words and words <= set(numbers) and _NAMED.fullmatch(left) and not _NO_ARITHMETIC.search(right):
            found.append(f"{left} = {_with_numbers(right, numbers)}")
    return found


def clauses(expression: str) -> list[str]:
    """Return the parts between commas and semicolons that stand in no bracket; remarks in a row are one part."""
    found: list[str] = []
    for part in divided(expression, ",;"):
        remarks = found and not _RELATION.search(found[-1]) and not _RELATION.search(part)
        found[-1:] = [f"{found[-1]}, {part}"] if remarks else [*found[-1:], part]
    return found


def divided(text: str, marks: str) -> list[str]:
    """Return the parts between marks that stand in no bracket."""
    parts, depth = [""], 0
    for letter in text:
        depth += (letter in "([{") - (letter in ")]}")
        if letter in marks and depth == 0:
            parts.append("")
        else:
            parts[-1] += letter
    return [part.strip() for part in parts]


def _with_numbers(right: str, numbers: dict[str, str]) -> str:
    """Return the right side with a dot between factors; functions keep their brackets."""
    dotted = _PRODUCT.sub(" * ", right)
    return _WORD.sub(lambda found: numbers.get(found[0], found[0]), dotted)
