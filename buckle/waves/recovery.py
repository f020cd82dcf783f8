"""What is read off a waved shell: how large its waves are, and its shape at closely spaced stations."""

import numpy as np
from numpy.typing import NDArray

from buckle.shell.elements import Elements
from buckle.shell.recovery import wave_displacements
from buckle.waves.body import Waved, amplitudes_at

Array = NDArray[np.float64]
LOOKED_AT = 8
"""Points around half a wave of the highest harmonic, three harmonics at least, at which the largest movement is looked
for."""


def moved_around(elements: Elements, body: Waved, x: Array) -> tuple[Array, Array, Array]:
    """Amplitudes of u, v, w in the harmonics with waves at points of elements, (rows, points) [mm] each; x (size,)."""
    amplitudes, rows = amplitudes_at(elements, body.harmonics, x), body.harmonics.rows
    u, v, w = (
        np.stack([amplitudes[:, rows.index((k, name, 0))] for k in body.harmonics.multiples])
        for name in ("u", "v", "w")
    )
    return u, v, w


def wave_size(elements: Elements, body: Waved, x: Array) -> float:
    """Largest movement [mm] that is not the same all around, since the deviation, at shape x (size,) [mm, rad]."""
    multiples = body.harmonics.multiples
    count = LOOKED_AT * max(3, multiples[-1])
    theta = np.arange(count + 1) * np.pi / count
    squared = np.zeros((elements.point_count, len(theta)))
    for name, amplitudes in zip("uvw", moved_around(elements, body, x - body.deviation), strict=True):
        vary = np.sin if name == "v" else np.cos
        moved = sum(one[:, None] * vary(k * theta) for k, one in zip(multiples, amplitudes, strict=True))
        squared += np.asarray(moved) ** 2
    return float(np.sqrt(np.max(squared)))


def mode_size(elements: Elements, mode: Array) -> tuple[float, int]:
    """Largest movement of the mid-surface in a mode (size,) [mm, rad], and the point of the elements where it is."""
    moved = wave_displacements(elements, mode)
    size = np.sqrt(np.maximum(moved.u**2 + moved.w**2, moved.v**2))
    return float(np.max(size)), int(np.argmax(size))
