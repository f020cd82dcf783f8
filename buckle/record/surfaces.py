"""The meridian revolved into a surface with modes and displacements on it, as VTU files; only here meshio is used."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import meshio
import numpy as np
from numpy.typing import NDArray

from buckle.meridian import Meridian
from buckle.record.states import LIMIT, UNLOADED, deformed_states
from buckle.results import Array, MidSurface, Mode, Outcome

STRIDE = 2  # every second station: the shell is sampled seven times an element
LEAST_AROUND = 72  # points around the circumference ...
PER_WAVE = 12  # ... and in each wave


@dataclass(frozen=True, eq=False)
class Revolved:
    """A surface of revolution: points of m stations times k angles, station by station; quadrilaterals between."""

    points: Array  # (m k, 3) mm, the axis is z
    cells: NDArray[np.int64]  # (m-1) k of 4 points
    angles: Array  # (k,) rad
    point_data: Mapping[str, Array]


def surfaces(meridian: Meridian, outcomes: Sequence[Outcome]) -> Iterator[tuple[str, Revolved]]:
    """Yield a name and a surface for every mode and for the limit state of every path."""
    for outcome in outcomes:
        for mode in outcome.modes:
            yield f"mode-{outcome.kind}-n{mode.wave_number}", mode_surface(meridian, mode)
        states = deformed_states(outcome)
        if LIMIT in states:
            yield f"limit-{outcome.kind}", limit_surface(meridian, states[UNLOADED], states[LIMIT])


def mode_surface(meridian: Meridian, mode: Mode) -> Revolved:
    """Return a mode on the unloaded surface: its displacement vectors, dimensionless, and the thickness."""
    kept = _kept(len(mode.r))
    r, z, u, v, w = (values[kept] for values in (mode.r, mode.z, mode.u, mode.v, mode.w))
    angles = _angles(mode.wave_number)
    wave, shift = np.cos(mode.wave_number * angles), np.sin(mode.wave_number * angles)
    vectors = _vectors(np.outer(u, wave), np.outer(v, shift), np.outer(w, wave), angles)
    data = {"mode": vectors, "thickness_mm": _around(_thickness(meridian, r, z), angles)}
    return Revolved(_points(r, z, angles), _cells(len(r), len(angles)), angles, data)


def limit_surface(meridian: Meridian, unloaded: MidSurface, limit: MidSurface) -> Revolved:
    """Return the unloaded surface with its displacement vectors [mm] at a state, and the thickness."""
    kept = _kept(len(unloaded.r))
    r, z = unloaded.r[kept], unloaded.z[kept]
    angles = _angles(0)
    u, w = _around(limit.r[kept] - r, angles, flat=False), _around(limit.z[kept] - z, angles, flat=False)
    vectors = _vectors(u, np.zeros_like(u), w, angles)
    data = {"displacement_mm": vectors, "thickness_mm": _around(_thickness(meridian, r, z), angles)}
    return Revolved(_points(r, z, angles), _cells(len(r), len(angles)), angles, data)


def write_vtu(path: Path, surface: Revolved) -> None:
    """Write a surface; every double comes back as it is."""
    mesh = meshio.Mesh(surface.points, [("quad", surface.cells)], point_data=dict(surface.point_data))
    meshio.write(path, mesh, file_format="vtu")


def _kept(stations: int) -> NDArray[np.int64]:
    """Every STRIDE-th station, the last one always."""
    return np.union1d(np.arange(0, stations, STRIDE), [stations - 1])


def _angles(wave_number: int) -> Array:
    around = max(LEAST_AROUND, PER_WAVE * wave_number)
    return 2.0 * np.pi * np.arange(around) / around


def _points(r: Array, z: Array, angles: Array) -> Array:
    height = np.repeat(z, len(angles))
    return np.stack([np.outer(r, np.cos(angles)).ravel(), np.outer(r, np.sin(angles)).ravel(), height], axis=1)


def _vectors(u: Array, v: Array, w: Array, angles: Array) -> Array:
    """Radial, circumferential and axial components (m, k) as Cartesian vectors (m k, 3)."""
    c, s = np.cos(angles), np.sin(angles)
    return np.stack([(u * c - v * s).ravel(), (u * s + v * c).ravel(), w.ravel()], axis=1)


def _around(values: Array, angles: Array, *, flat: bool = True) -> Array:
    """Repeat what does not change around: (m k,), or (m, k)."""
    repeated = np.repeat(values[:, None], len(angles), axis=1)
    return repeated.ravel() if flat else repeated


def _cells(stations: int, around: int) -> NDArray[np.int64]:
    """Quadrilaterals between neighbouring stations; the last angle closes on the first."""
    index = np.arange(stations * around).reshape(stations, around)
    beside = np.roll(index, -1, axis=1)
    return np.stack([index[:-1], index[1:], beside[1:], beside[:-1]], axis=-1).reshape(-1, 4)


def _thickness(meridian: Meridian, r: Array, z: Array) -> Array:
    """Thickness at points of the mid-surface [mm]: at the nearest sample, then once along the tangent from it."""
    s = np.linspace(0.0, meridian.length, 4001)
    at = meridian.at_s(s)
    nearest = np.argmin((at.r[:, None] - r) ** 2 + (at.z[:, None] - z) ** 2, axis=0)
    along = np.cos(at.heading[nearest]) * (r - at.r[nearest]) + np.sin(at.heading[nearest]) * (z - at.z[nearest])
    return meridian.at_s(np.clip(s[nearest] + along, 0.0, meridian.length)).thickness
