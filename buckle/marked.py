"""Texts with quantities in them: '[6.2 bar]' inside a sentence is a number with its unit, which a reader may exchange.

What analyses and margins say in words is kept so, in records too: pressures in bar and lengths in mm, six digits of
each. Whoever shows a text gives it the reader's units (`buckle.units.Units.words`) or takes the marks off (`plain`).
"""

import re
from collections.abc import Callable

_MARK = re.compile(r"\[(-?\d[\d.e+-]*) (bar|mm|N)\]")


def mark(value: float, unit: str) -> str:
    """Return a pressure [bar], a length [mm] or a force [N] as a part of a text."""
    return f"[{value:.6g} {unit}]"


def marked(text: str) -> tuple[tuple[float, str], ...]:
    """Return the quantities of a text with their units: bar, mm or N."""
    return tuple((float(value), unit) for value, unit in _MARK.findall(text))


def rewritten(text: str, said: Callable[[float, str], str]) -> str:
    """Return a text in which what `said` says of each value and its unit stands in the place of the mark."""
    return _MARK.sub(lambda found: said(float(found[1]), found[2]), text)


def plain(text: str) -> str:
    """Return a text with its quantities in bar, mm and N, without the marks."""
    return rewritten(text, default_text)


def default_text(value: float, unit: str) -> str:
    """Return a quantity as it is read: a pressure or a force in four digits, a length in three decimals."""
    return f"{f'{value:.3f}' if unit == 'mm' else four_digits(value)} {unit}"


def four_digits(value: float) -> str:
    """Return a pressure in any unit, or a force, in four digits, more where it has them before the decimal point."""
    return f"{value:.4g}" if abs(value) < 9999.5 else f"{value:.0f}"
