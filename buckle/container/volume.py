"""What a container holds: to a level, to the brim, closed by its end; and the headspace over a filling.

Heights are those of the meridian, z = 0 at the lowest point of the stand's mid-surface; volumes in mm3 lie within the
inner faces of the metal, half a thickness from the mid-surface.
"""

from dataclasses import dataclass

import numpy as np
import scipy

from buckle.container.parts import SAME, cut
from buckle.errors import ShapeError
from buckle.meridian import Array, Meridian
from buckle.units import to_unit

SEAM = 2.0
"""mm that the radii of an end's edge and of the brim may differ by: more than a seam is wide."""
_SAMPLES = np.linspace(0.0, 1.0, 65)


@dataclass(frozen=True)
class Headspace:
    """What a filling leaves free: volume [mm3] in the closed container, height [mm] below the brim of the open one."""

    volume: float
    below_brim: float


def brim_volume(body: Meridian) -> float:
    """Return what an open body holds up to its brim [mm3]."""
    return body.swept_volume - 0.5 * body.metal_volume


def volume_below(body: Meridian, level: float) -> float:
    """Return what a body holds up to a level [mm] that covers its base [mm3]; raises ShapeError for any other level."""
    reached = _reached(body, level)
    return brim_volume(cut(body, 0.0, reached)) if reached > SAME else 0.0


def level_of(body: Meridian, volume: float) -> float:
    """Return the level [mm] of a volume [mm3] in the open body; raises ShapeError if it does not cover the base or fit.

    To a billionth of the height of the body.
    """
    low, high = _covered(body)
    least, most = volume_below(body, low), brim_volume(body)
    if not least <= volume <= most:
        raise ShapeError(
            "volume",
            volume,
            "has no level in the body",
            f"[{to_unit(least, 'volume', 'ml'):.6g}, {to_unit(most, 'volume', 'ml'):.6g}] ml",
        )
    return float(
        scipy.optimize.brentq(lambda level: volume_below(body, level) - volume, low, high, xtol=1e-9 * (high - low))
    )


def closed_volume(body: Meridian, end: Meridian, drop: float = 0.0) -> float:
    """Return what a body holds when an end closes it [mm3]; the end's edge lies `drop` [mm] below the body's brim.

    The ring that the seam makes of flange and hook is not counted. Raises ShapeError if the end's edge and the brim are
    farther apart than a seam is wide.
    """
    edge, brim = float(end.at_s(end.length).r), float(body.at_s(body.length).r)
    if abs(edge - brim) > SEAM:
        raise ShapeError("end", edge, "its edge does not meet the brim", f"{brim:.6g} +- {SEAM:g} mm")
    recess = end.swept_volume + 0.5 * end.metal_volume
    return brim_volume(body) - recess - np.pi * edge**2 * drop


def headspace(body: Meridian, end: Meridian, liquid: float, drop: float = 0.0) -> Headspace:
    """Return what a volume of liquid [mm3] leaves free; raises ShapeError if it does not fit under the end."""
    closed = closed_volume(body, end, drop)
    if liquid > closed:
        raise ShapeError(
            "liquid",
            liquid,
            "more than the closed container holds",
            f"at most {to_unit(closed, 'volume', 'ml'):.6g} ml",
        )
    brim = float(body.at_s(body.length).z)
    return Headspace(closed - liquid, brim - level_of(body, liquid))


def _heights(body: Meridian) -> tuple[Array, Array]:
    """Arc lengths and heights [mm] of samples along a body."""
    s = np.unique(np.concatenate([low + _SAMPLES * (high - low) for low, high in _ends(body)]))
    return s, body.at_s(s).z


def _ends(body: Meridian) -> list[tuple[float, float]]:
    return list(zip(body.breaks[:-1].tolist(), body.breaks[1:].tolist(), strict=True))


def _covered(body: Meridian) -> tuple[float, float]:
    """Return the lowest level that covers the base, and the brim [mm]; raises ShapeError if the walk does not rise."""
    z = _heights(body)[1]
    falls = np.flatnonzero(np.diff(z) <= 0.0)
    lowest = int(falls[-1]) + 1 if falls.size else 0
    top = float(np.max(z[: lowest + 1]))
    if top >= float(z[-1]):
        raise ShapeError("body", float(z[-1]), "its brim is not above its base", f"above {top:.6g} mm")
    return top, float(z[-1])


def _reached(body: Meridian, level: float) -> float:
    """Return the arc length [mm] where the outermost rise comes to a level."""
    low, high = _covered(body)
    if not low <= level <= high:
        raise ShapeError("level", level, "does not lie between base and brim", f"[{low:.6g}, {high:.6g}] mm")
    s, z = _heights(body)
    below = np.flatnonzero(z[:-1] <= level)
    first, last = float(s[below[-1]]), float(s[below[-1] + 1])
    return float(
        scipy.optimize.brentq(lambda at: float(body.at_s(at).z) - level, first, last, xtol=1e-12 * body.length)
    )
