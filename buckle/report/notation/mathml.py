"""Formulas as MathML, which browsers typeset and screen readers speak without any script."""

import re
from html import escape
from itertools import pairwise

from buckle.expression.functions import FUNCTIONS
from buckle.expression.tree import Bracket, Call, Node, Number, Power, Product, Quotient, Relation, Sum, Symbol, Words
from buckle.report.notation.expression import GREEK, LETTERS, Sentence, bare, closing_of, read, text_of

_SIGNS = {"<=": "≤", ">=": "≥", "-": "−"}
_SIMPLE = r"(<mrow>(?:(?!<mrow>).)*?</mrow>)"
_FRACTION = re.compile(f"<mfrac>{_SIMPLE}{_SIMPLE}</mfrac>")
_NAME = re.compile(r"([A-Za-z]+)_?(\w*)")


def mathml(clause: str, *, inline: bool = False) -> str:
    """Return a clause as MathML: one formula for each equals sign but the first, between which lines may break.

    Its plain text goes with each for those who cannot see it. An inline one has slashes instead of fraction lines.
    """
    whole = " ".join(_formula(each, inline=inline) for each in _stretches(read(clause, LETTERS)))
    return _FRACTION.sub(rf"\1{_operator('/')}\2", whole) if inline else whole


def _stretches(sentence: Sentence) -> list[Sentence]:
    """Return a sentence in pieces, each from its second equals sign on of its own."""
    signs = [i for i, each in enumerate(sentence) if each == Relation("=")]
    plain = not any(isinstance(each, Words) for each in sentence)
    cuts = [0, *(signs[1:] if plain else []), len(sentence)]
    return [sentence[start:end] for start, end in pairwise(cuts)]


def _formula(sentence: Sentence, *, inline: bool) -> str:
    plain = " ".join(map(text_of, sentence))
    inner = "".join(map(_part, sentence))
    size = "false" if inline else "true"
    return f'<math displaystyle="{size}" alttext="{escape(plain)}"><mrow>{inner}</mrow></math>'


def _part(node: Node) -> str:
    match node:
        case Number(text):
            return _number(text)
        case Symbol(name):
            return _symbol(name)
        case Words(text):
            return _operator(",") if text == "," else f"<mtext>&#160;{escape(text)}&#160;</mtext>"
        case Relation(text):
            return _operator(_SIGNS.get(text, text))
    return _composed(node)


def _composed(node: Node) -> str:
    match node:
        case Quotient(over, under):
            return f"<mfrac>{_row(bare(over))}{_row(bare(under))}</mfrac>"
        case Power(base, exponent):
            return f"<msup>{_row(base)}{_raised(exponent)}</msup>"
        case Bracket(opening, parts):
            return _bracketed(opening, "".join(map(_part, parts)))
        case Call():
            return _call(node)
        case Product(factors):
            return _product(factors)
        case Sum(terms):
            return _sum(terms)
    raise TypeError(node)


def _row(node: Node) -> str:
    return f"<mrow>{_part(node)}</mrow>"


def _operator(text: str) -> str:
    return f"<mo>{escape(text)}</mo>"


def _bracketed(opening: str, inner: str) -> str:
    return f"<mrow>{_operator(opening)}{inner}{_operator(closing_of(opening))}</mrow>"


def _number(text: str) -> str:
    """Return a number, a power of ten written as such."""
    digits, letter, power = text.partition("e")
    if not letter:
        return f"<mn>{text}</mn>"
    raised = str(int(power)).replace("-", "−")
    return f"<mrow><mn>{digits}</mn>{_operator('·')}<msup><mn>10</mn><mn>{raised}</mn></msup></mrow>"


def _symbol(name: str) -> str:
    """Return a letter with its index; its slant comes from the style sheet, since few fonts have slanted letters."""
    found = _NAME.fullmatch(name)
    stem, index = found.groups() if found else (name, "")
    if name.startswith("dw"):
        stem, index = "Δw", ""
    letter = f'<mi mathvariant="normal">{escape(GREEK.get(stem, stem))}</mi>'
    if not index:
        return letter
    return f"<msub>{letter}<mtext>{escape(GREEK.get(index, index))}</mtext></msub>"


def _raised(exponent: Node) -> str:
    """Return an exponent without its brackets, a quotient in it with a slash."""
    inner = bare(exponent)
    if isinstance(inner, Quotient):
        return f"<mrow>{_part(inner.over)}{_operator('/')}{_part(inner.under)}</mrow>"
    return _row(inner)


def _call(call: Call) -> str:
    inner = _operator(",").join(map(_part, call.arguments))
    if call.name == "sqrt":
        return f"<msqrt>{inner}</msqrt>"
    name = f"<mtext>{escape(call.name)}</mtext>" if call.name in FUNCTIONS else _symbol(call.name)
    return name + _bracketed("(", inner)


def _product(factors: tuple[Node, ...]) -> str:
    """Return factors side by side, with a dot where two numbers would else run together."""
    parts = _part(factors[0])
    for before, after in pairwise(factors):
        dot = _starts_with_number(after) or (_only_numbers(before) and _only_numbers(after))
        parts += (_operator("·") if dot else "<mspace width='0.17em'></mspace>") + _part(after)
    return parts


def _starts_with_number(node: Node) -> bool:
    match node:
        case Number():
            return True
        case Power(base, _) | Quotient(base, _):
            return _starts_with_number(base)
    return False


def _only_numbers(node: Node) -> bool:
    """Tell whether no letter stands in a part."""
    return not re.search(r"[A-Za-z]", re.sub(r"[a-z0-9]+\(|\d+e", "", text_of(node)))


def _sum(terms: tuple[tuple[str, Node], ...]) -> str:
    first, *rest = terms
    parts = ("" if first[0] == "+" else _operator("−")) + _part(first[1])
    return parts + "".join(_operator(_SIGNS.get(sign, sign)) + _part(each) for sign, each in rest)
