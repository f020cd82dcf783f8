"""A measured meridian: read from a CSV, compared with the perfect one square to it, and freed of what is too short."""

import csv
import hashlib
import io
import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import scipy
from numpy.typing import NDArray

from buckle.errors import ShapeError
from buckle.imperfection.profile import Spline
from buckle.inputs import read_bytes
from buckle.meridian import Meridian

Array = NDArray[np.float64]
COLUMNS = ("r_mm", "z_mm", "thickness_mm")
FEWEST, MOST = 4, 100_000  # places of a scan
PER_WAVE = 16
"""Points per shortest wavelength that is kept: a cubic spline adds less than 1e-4 of it ((2 pi / 16)^4 5/384)."""
MOST_BENDS = 200  # of the thickness along a meridian
LEAST_COVERED = 0.5  # of the meridian
FAR = 0.1
"""Of the meridian's length: a place farther from it belongs to another body, or is in another position or unit."""


@dataclass(frozen=True, eq=False)
class Scan:
    """Places of a mid-surface [mm], rising along it, and their thickness if it was measured."""

    r: Array
    z: Array
    thickness: Array | None
    digest: str  # SHA-256 of its file


def read_scan(path: Path) -> Scan:
    """Return a scan; raises ShapeError for what is no table of numbers under r_mm, z_mm and perhaps thickness_mm."""
    try:
        data = read_bytes(path)
        rows = list(csv.reader(io.StringIO(data.decode("utf-8-sig"))))
    except UnicodeDecodeError as error:
        raise ShapeError("deviation.file", str(path), "is not UTF-8", "a CSV") from error
    except csv.Error as error:
        raise ShapeError("deviation.file", str(path), f"is no CSV: {error}", "a CSV") from error
    heads = [head.strip() for head in rows[0]] if rows else []
    if tuple(heads) not in (COLUMNS[:2], COLUMNS):
        raise ShapeError("deviation.file", str(path), f"its first line is {heads!r:.80}", ", ".join(COLUMNS))
    numbers = [_numbers(path, line, row, len(heads)) for line, row in enumerate(rows[1:], start=2) if row]
    if not FEWEST <= len(numbers) <= MOST:
        raise ShapeError("deviation.file", str(path), f"holds {len(numbers)} places", f"{FEWEST} to {MOST}")
    columns = np.array(numbers).T
    thickness = columns[2] if len(heads) == len(COLUMNS) else None
    return Scan(columns[0], columns[1], thickness, hashlib.sha256(data).hexdigest())


def _numbers(path: Path, line: int, row: list[str], count: int) -> list[float]:
    try:
        numbers = [float(cell) for cell in row]
    except ValueError:
        numbers = []
    if len(numbers) != count or not all(math.isfinite(number) for number in numbers):
        raise ShapeError("deviation.file", str(path), f"line {line} is not {count} finite numbers", "12.5, 0.31")
    return numbers


def profile_of(scan: Scan, meridian: Meridian, side: int, wavelength: float) -> Spline:
    """Return the deviation of a scan from a meridian without what is shorter than a wavelength [mm].

    The filter is Gaussian and leaves half of a wave of that length (ISO 16610-21, from memory); beyond its ends the
    scan goes on as its mirror image, so that its slope vanishes there. Raises ShapeError for a scan that lies far from
    the meridian, covers less than half of it, or has gaps of more than half that wavelength.
    """
    s, left, _ = _projected(scan, meridian)
    _check_gaps(s, wavelength)
    at, w = _filtered(s, side * left, meridian.length, wavelength)
    return Spline(scipy.interpolate.CubicSpline(at, w, bc_type="clamped"), 0.25 * wavelength)


def _check_gaps(s: Array, wavelength: float) -> None:
    """Raise ShapeError where neighbours lie so far apart [mm] that a wave which is kept could hide between them."""
    gaps = np.diff(s)
    widest = int(np.argmax(gaps))
    if gaps[widest] > 0.5 * wavelength:
        where = f"from {s[widest]:.4g} to {s[widest + 1]:.4g} mm along the meridian"
        problem = f"has no place {where}: a dent of the filter's wavelength would not be seen there"
        raise ShapeError("deviation.file", None, problem, f"places up to {0.5 * wavelength:.4g} mm apart")


def thickness_of(scan: Scan, meridian: Meridian, wavelength: float) -> tuple[tuple[float, float], ...] | None:
    """Return pairs (s, thickness) [mm] of a scan, filtered alike; None if it was not measured."""
    if scan.thickness is None:
        return None
    s, _, thickness = _projected(scan, meridian)
    at, filtered = _filtered(s, thickness, meridian.length, wavelength)
    if float(np.min(filtered)) <= 0.0:
        raise ShapeError("deviation.file", None, "has a thickness that is not positive", "> 0 mm")
    every = max(PER_WAVE // 2, math.ceil(len(at) / MOST_BENDS))
    kept = sorted({*range(0, len(at), every), len(at) - 1})
    return tuple((float(at[index]), float(filtered[index])) for index in kept)


def _filtered(s: Array, values: Array, length: float, wavelength: float) -> tuple[Array, Array]:
    """Evenly spaced arc lengths from end to end and the filtered values there."""
    shortest = PER_WAVE * length / MOST
    if wavelength < shortest:
        raise ShapeError("deviation.filter", wavelength, "is too short for so long a meridian", f"> {shortest:.3g} mm")
    at = np.linspace(0.0, length, math.ceil(PER_WAVE * max(1.0, length / wavelength)) + 1)
    # A Gaussian of this deviation d leaves exp(-(2 pi d / wavelength)^2 / 2) = 1/2 of the wave.
    deviation = math.sqrt(2.0 * math.log(2.0)) / (2.0 * math.pi) * wavelength / at[1]
    return at, scipy.ndimage.gaussian_filter1d(np.interp(at, s, values), deviation, mode="reflect")


def _projected(scan: Scan, meridian: Meridian) -> tuple[Array, Array, Array]:
    """Arc length, distance to the left of the walk and thickness of every place, by arc length."""
    s = np.linspace(0.0, meridian.length, max(1000, 4 * len(scan.r)))
    at = meridian.at_s(s)
    away, nearest = scipy.spatial.cKDTree(np.column_stack([at.r, at.z])).query(np.column_stack([scan.r, scan.z]))
    worst = int(np.argmax(away))
    if float(away[worst]) > FAR * meridian.length:
        problem = (
            f"place {worst + 1} ({scan.r[worst]:.4g}, {scan.z[worst]:.4g}) lies {away[worst]:.3g} mm off the shape"
        )
        raise ShapeError("deviation.file", None, problem, "a scan in the place and units of [shape]")
    found = s[nearest]
    for _ in range(8):
        at = meridian.at_s(found)
        along = (scan.r - at.r) * np.cos(at.heading) + (scan.z - at.z) * np.sin(at.heading)
        found = np.clip(found + along, 0.0, meridian.length)
    at = meridian.at_s(found)
    left = -(scan.r - at.r) * np.sin(at.heading) + (scan.z - at.z) * np.cos(at.heading)
    order = np.argsort(found, kind="stable")
    if float(np.ptp(found)) < LEAST_COVERED * meridian.length:
        raise ShapeError("deviation.file", None, "covers less than half of the meridian", "a scan of all of it")
    thickness = np.zeros_like(found) if scan.thickness is None else scan.thickness
    return found[order], left[order], thickness[order]
