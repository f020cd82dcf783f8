"""Shell beside solid: the path of a case by two models that share no mechanics."""

from buckle.crosscheck.both import Crosscheck, Moves, crosscheck, decisive_kind
from buckle.crosscheck.compare import Line
from buckle.crosscheck.side import Side
from buckle.crosscheck.solid_side import Grain, solid_of

__all__ = ["Crosscheck", "Grain", "Line", "Moves", "Side", "crosscheck", "decisive_kind", "solid_of"]
