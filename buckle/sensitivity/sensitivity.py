"""One derivative as data."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Sensitivity:
    """Derivative of a quantity by a number of the case file, in the quantity's unit per the key's.

    `left` and `right` are the derivatives from below and above; where they differ, or one of them does not exist,
    `derivative` is NaN and `reason` says why.
    """

    key: str  # dotted, with its unit: "shape.gauge_mm"
    value: float  # in the file's unit
    derivative: float
    left: float
    right: float
    reason: str = ""

    @property
    def relative(self) -> float:
        """The derivative times the value: what a change by the whole of it would make, to first order."""
        return self.derivative * self.value
