"""One reason why a hand value and a computed one differ: a statement that numbers can contradict."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from buckle.increasing import PUSH
from buckle.units import length_text, pressure_text

CLOSE = 0.05
"""Relative difference up to which two values are said to agree; the error estimates of both lie well within."""
LEAST = 0.02
"""Natural logarithm of what a reason must move at least: the errors of two analyses and the 1.8 % by which the strain
laws of elastic and elastic-plastic paths may differ lie below it."""
GOOD_PART = 0.25
"""Of the difference, in logarithms, what a reason must make at least to be told."""
MOST_GIVEN = 3
UNKNOWN = "not explained"
AGAINST = "other differences act against it"
"""What is said where the reasons told make more than the difference."""


@dataclass(frozen=True)
class Reason:
    """Something that the computed body has and the formula has not, or the other way round.

    `without` and `having` are the number without and with it, taken from analyses or from formulas (pressures in MPa,
    forces in N or lengths in mm); None where only its sense is known.
    """

    words: str
    sense: int  # +1: the computed value is higher for it; -1: lower
    without: float | None = None
    having: float | None = None

    @property
    def moves(self) -> float | None:
        """Natural logarithm of what it makes of the computed value, signed like the sense; None if not known."""
        return None if self.without is None or self.having is None else math.log(self.having / self.without)

    def explains(self, hand: float, computed: float, doubt: float = 0.0) -> bool:
        """Tell whether it acts the way the two differ, and clearly by a good part of how much.

        `doubt` is the relative error of the analyses that it may come from.
        """
        gap = math.log(computed / hand)
        if gap * self.sense <= 0.0:
            return False
        return self.moves is None or abs(self.moves) >= max(LEAST + doubt, GOOD_PART * abs(gap))

    def text(self, unit: str) -> str:
        """Return the words and what it makes of the number, a pressure ('MPa'), a push ('N') or a length ('mm')."""
        if self.without is None or self.having is None:
            return self.words
        in_unit = {"MPa": pressure_text, "N": PUSH.text, "mm": length_text}[unit]
        return f"{self.words}: from {in_unit(self.without)} to {in_unit(self.having)}"


def moved(words: str, without: float, having: float) -> Reason:
    """Return a reason by the number without it and the number with it."""
    return Reason(words, 1 if having > without else -1, without, having)


def explaining(reasons: Iterable[Reason], hand: float, computed: float, doubt: float = 0.0) -> tuple[Reason, ...]:
    """Return the reasons that explain a difference, the largest first; those whose size is not known come last.

    None where the two values agree.
    """
    if agree(hand, computed):
        return ()
    good = [reason for reason in reasons if reason.explains(hand, computed, doubt)]
    return tuple(sorted(good, key=lambda reason: -abs(reason.moves or 0.0))[:MOST_GIVEN])


def agree(hand: float, computed: float) -> bool:
    """Tell whether two values are close enough to need no reason."""
    return abs(hand / computed - 1.0) <= CLOSE


def sentence(reasons: Iterable[Reason], hand: float, computed: float, unit: str) -> str:
    """Say that two values agree, or the reasons why they differ, or that none is known."""
    if agree(hand, computed):
        return f"agree within {max(abs(hand / computed - 1.0) * 100.0, 0.1):.1f} %"
    given = tuple(reasons)
    if not given:
        return UNKNOWN
    beyond = sum(abs(reason.moves or 0.0) for reason in given) > (1.0 + GOOD_PART) * abs(math.log(computed / hand))
    return "; ".join((*(reason.text(unit) for reason in given), *([AGAINST] if beyond else [])))
