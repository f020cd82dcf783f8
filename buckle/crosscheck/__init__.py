"""Shell beside solid: the path of a case by two models that share no mechanics."""

from buckle.crosscheck.both import Crosscheck, Moves, crosscheck
from buckle.crosscheck.compare import Line
from buckle.crosscheck.side import Side

__all__ = ["Crosscheck", "Line", "Moves", "Side", "crosscheck"]
