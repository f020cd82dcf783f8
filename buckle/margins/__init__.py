"""Margins: what every analysis and hand calculation makes of the requirements, and why the two differ.

The names here are data alone; `judge`, which makes them, loads the mechanics with it.
"""

from buckle.margins.compare import Comparison, compare
from buckle.margins.margin import Margin, Verdict
from buckle.margins.verdict import Judgement, Word

__all__ = ["Comparison", "Judgement", "Margin", "Verdict", "Word", "compare"]
