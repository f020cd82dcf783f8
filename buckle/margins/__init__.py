"""Margins: what every analysis and hand calculation makes of the requirements, and why the two differ."""

from buckle.margins.compare import Comparison, compare
from buckle.margins.judge import Judgement, judge
from buckle.margins.margin import Margin, Verdict

__all__ = ["Comparison", "Judgement", "Margin", "Verdict", "compare", "judge"]
