"""What a distribution of reserves means, in sentences."""

import math

from buckle.shortfall.distribution import Distribution
from buckle.shortfall.first_order import FARTHEST
from buckle.shortfall.sampling import Share
from buckle.study.scores import share_of

FEWEST = 1e-9
"""A share below one in a thousand million is told as that: no law of a tolerance is known so far out."""


def ppm(share: float) -> str:
    """Return a share as parts per million."""
    if share < FEWEST:
        return "less than 0.001 ppm"
    return f"{1e6 * share:.3g} ppm" if share < 1e-3 else f"{100.0 * share:.3g} %"


def interval(share: Share) -> str:
    """Return a share with its interval."""
    if share.value == 0.0:
        return f"none of the samples (up to {ppm(share.high)})"
    return f"{ppm(share.value)} ({ppm(share.low)} to {ppm(share.high)})"


def second_words(made: Distribution) -> str:
    """Return the share by second order, or that there is none."""
    return "no value" if made.second_share is None else ppm(made.second_share)


def capability_words(made: Distribution) -> str:
    """Explain the capability index, and what a normal law would make of it."""
    index = made.capability
    if not math.isfinite(index):
        return "Capability index: none, the reserve does not scatter, or fewer than two plain samples have one."
    return (
        f"Capability index {index:.2f}: the mean reserve factor, {made.plain.mean:.4f}, is {3.0 * index:.2f} of its "
        f"standard deviations, {made.plain.deviation:.4f}, above what is asked; 1 means three of them, and 1.33 is "
        f"what is often asked (common practice). A normal reserve would fall short in {ppm(share_of(3.0 * index))}."
    )


def sentence(made: Distribution) -> str:
    """Say how many are expected to fall short."""
    share = made.weighted_share
    far = min(point.beta for point in made.points)
    if share.high < FEWEST or (share.value == 0.0 and far >= FARTHEST):
        return f"less than 0.001 ppm are expected below a reserve factor of {made.asked:g}, by the laws of the case."
    return (
        f"{interval(share)} are expected below a reserve factor of {made.asked:g}, by the laws of the case; first "
        f"order says {ppm(made.first_share)}, second order {second_words(made)}, plain sampling "
        f"{interval(made.plain_share)}."
    )
