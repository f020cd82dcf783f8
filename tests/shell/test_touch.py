"""The least gap of a folded wall, none of whose pairs of places is passed over."""

import math

import numpy as np
import pytest

from buckle.material import Material
from buckle.meridian import Meridian, arc, line
from buckle.shell.model import Fineness, Load, Shell, build_model
from buckle.shell.recovery import displacements
from buckle.shell.strain import ENGINEERING
from buckle.shell.touch import APART, least_gap

THICKNESS = 0.25


def folded() -> Shell:
    """A wall that goes out, back and out again."""
    bends = (arc(0.33, math.pi, THICKNESS, "bend"), line(3.0, THICKNESS, "b"), arc(0.36, -math.pi, THICKNESS, "back"))
    pieces = (line(5.0, THICKNESS, "a"), *bends, line(4.0, THICKNESS, "c"))
    meridian = Meridian((20.0, 0.0), 0.0, "left", pieces, {})
    edges = ("clamped", "clamped")
    return build_model(meridian, Material(69e3, 0.33), edges, Load(side=1), Fineness(), ENGINEERING).shell


@pytest.mark.parametrize(("seed", "far"), [(0, True), (2, True), (4, False), (6, True)])
def test_no_pair_is_passed_over(seed: int, far: bool) -> None:
    """Against all pairs of a wall that is moved at random: places of two legs come nearest, or of one that bends."""
    shell = folded()
    chance = np.random.default_rng(seed)
    x = np.zeros(shell.size)
    for name, size in (("u", 0.01), ("w", 0.16)):
        numbers = shell.elements.axisymmetric.values(name)
        waves = np.outer(np.linspace(0.0, 1.0, len(numbers)), np.pi * np.arange(1, 5))
        x[numbers] = np.sin(waves) @ chance.normal(0.0, size, 4)
    at, moved = shell.elements.station, displacements(shell.elements, x)
    expected, *arcs = least_of_all(shell.elements.s, np.stack([at.r + moved.u, at.z + moved.w], axis=1), at.thickness)
    found = least_gap(shell, x)
    assert found.size == pytest.approx(expected, abs=1e-12)
    assert found.arcs == tuple(arcs)
    assert (found.arcs[1] - found.arcs[0] > 1.0) == far


def least_of_all(s: np.ndarray, points: np.ndarray, thickness: np.ndarray) -> tuple[float, float, float]:
    """Every point against every chord farther along than neighbours are; the gap, and where both are."""
    gaps = []
    for i, point in enumerate(points):
        for j in range(i + 1, len(points) - 1):
            thick = 0.5 * (thickness[i] + thickness[j])
            if s[j] - s[i] >= APART * thick:
                chord = points[j + 1] - points[j]
                share = np.clip((point - points[j]) @ chord / (chord @ chord), 0.0, 1.0)
                gap = float(np.linalg.norm(point - points[j] - share * chord)) - thick
                gaps.append((gap, float(s[i]), float(s[j])))
    return min(gaps)
