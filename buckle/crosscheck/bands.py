"""How far shell and solid may be apart, and why."""

from dataclasses import dataclass

import numpy as np

from buckle.crosscheck.side import Side
from buckle.meridian import Meridian

PLASTIC = 1.5
"""Per cent of elastic-plastic limits, capacities, onsets of waves, and pressures at a growth.

Made up of what plane sections leave out (transverse shear does 0.4 to 1.2 % of the plastic work, which makes the shell
high by half of that), 0.3 % of either mesh, and some tenths of a per cent that both onsets scatter by as single points
begin and cease to flow. Over 60 random bases and 30 random ends: `docs/crosscheck.md`.
"""
LIMIT_PER_RADIUS, WAVES_PER_RADIUS = 80.0, 125.0
"""Per cent by t/R of thin elastic shells, in limits and in the onset of waves (caps, computed for this project)."""
PER_BEND = 10.0
"""Per cent of elastic limits by the square of t/rho at bends: 0.23 to 0.58 % on bases with 0.16 to 0.23 at the nose
(computed for this project)."""
SCATTER = 0.3  # per cent, standard deviation about half of the share of shear: `docs/crosscheck.md`
MESHES = 0.2  # per cent, of both meshes together
SAMPLES = 65  # of each piece


@dataclass(frozen=True)
class Thickness:
    """Thickness of a body against its radii.

    R is the radius of curvature at the apex; where there is none or it is flat there, the largest distance from the
    axis. rho is the smallest radius of a bend, in thicknesses of the wall there.
    """

    over_radius: float
    over_bend: float

    @property
    def limit(self) -> float:
        """Per cent that elastic limits, and pressures on the way, may differ by."""
        return LIMIT_PER_RADIUS * self.over_radius + PER_BEND * self.over_bend**2 + MESHES

    @property
    def waves(self) -> float:
        """Per cent that elastic onsets of waves may differ by."""
        return WAVES_PER_RADIUS * self.over_radius + PER_BEND * self.over_bend**2 + MESHES


def thickness_of(meridian: Meridian) -> Thickness:
    """Thickness of a body against its radii."""
    at = meridian.at_s(np.linspace(meridian.breaks[:-1], meridian.breaks[1:], SAMPLES, axis=1).ravel())
    bend = np.abs(at.curvature)
    curved = meridian.closed_at_start and bend[0] > 0.0
    widest = int(np.argmax(at.r))
    over_radius = at.thickness[0] * bend[0] if curved else at.thickness[widest] / at.r[widest]
    return Thickness(float(over_radius), float(np.max(at.thickness * bend)))


def expected(thickness: Thickness, solid: Side) -> str:
    """Return what the thickness of a body lets one expect, in one sentence with its source."""
    over, bend = thickness.over_radius, thickness.over_bend
    elastic = (
        f"With t/R = {over:.2g} and t/rho = {bend:.2g} at the sharpest bend elastic shells and solids may differ by "
        f"0.8 t/R in limits ({LIMIT_PER_RADIUS * over:.2f} %), 1.25 t/R in waves ({WAVES_PER_RADIUS * over:.2f} %) "
        f"and 0.1 (t/rho)^2 at bends ({PER_BEND * bend**2:.2f} %)"
    )
    if solid.shear_share is None:
        return f"{elastic} (computed for this project)."
    share = 100.0 * solid.shear_share
    return (
        f"{elastic}; once metal flows the shell, which leaves transverse shear elastic, is high by about half of the "
        f"share of the plastic work that shear does in the solid ({share:.2f} %), so by {0.5 * share:.2f} %, with a "
        f"scatter of {SCATTER:g} % (computed for this project)."
    )
