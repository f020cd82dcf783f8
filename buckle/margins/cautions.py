"""What must be read with a verdict: how far the metal is strained, and how much of its curve is known."""

from collections.abc import Iterator

import numpy as np

from buckle.case import Case
from buckle.material import Hardening
from buckle.results import Outcome

BENT = 1.0 / 3.0
"""Strain of the face of a wall bent about a radius of its own thickness, beyond which hard sheet may crack (common
practice, no source)."""
UP_TO = 1.0  # plastic strain within which the metal is asked when it necks


def cautions(case: Case, outcome: Outcome) -> tuple[str, ...]:
    """Return what the strains of an elastic-plastic path call for, by the strain under the required load."""
    needs = case.requirements
    wanted = case.required_load or needs.service_pressure
    at = next((each for each in outcome.growth if each.load == wanted), outcome.at_capacity)
    if at is None or not at.face_strain or case.material.hardening is None:
        return ()
    return tuple(_of_strain(case, at.load, at.face_strain, at.middle_strain or 0.0, case.material.hardening))


def _of_strain(case: Case, load: float, face: float, middle: float, hardening: Hardening) -> Iterator[str]:
    strains = f"plastic strain at {case.loads.increasing.text(load)}: {face:.2g} at a face, {middle:.2g} in mid-wall"
    known = case.material.uniform_strain
    if known is None:
        yield f"{strains}; up to which strain the hardening curve was measured is not told (material.uniform_strain)"
    elif face > known:
        yield f"{strains}; the hardening curve is known up to {known:.2g} and extrapolated beyond"
    if face > BENT:
        yield f"a face is strained by more than {BENT:.2f}, as bent about a radius of one thickness: it may crack"
    necks = necking_strain(hardening)
    if middle > necks:
        yield f"mid-wall is strained by more than {necks:.2g}, where metal of this curve begins to neck if stretched"


def necking_strain(hardening: Hardening) -> float:
    """Plastic strain at which metal in tension necks: where the slope of true stress has come down to the stress.

    Source: Considere 1885 (from memory). It is looked for up to a strain of 1.
    """
    low, high = 0.0, UP_TO
    if _hardens(hardening, high):
        return high
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if _hardens(hardening, middle) else (low, middle)
    return low


def _hardens(hardening: Hardening, strain: float) -> bool:
    stress, slope = hardening.stress_and_slope(np.array([strain]))
    return bool(slope[0] > stress[0])
