"""From fields at points around half a wave to amplitudes of harmonics and to unknowns of elements; compiled."""

import numpy as np
from numpy.typing import NDArray

from buckle.shell.compiled import njit
from buckle.waves.numbering import PointRow

Array = NDArray[np.float64]
Index = NDArray[np.int64]
FIELDS = len(PointRow)


@njit(cache=True, error_model="numpy")
def by_amplitudes(hess: Array, rows: Index, factors: Array) -> Array:
    """Energy [N mm] by amplitudes twice, (points, rows, rows), from that by fields, (points, angles, 14, 14).

    `rows` (14, harmonics) is the amplitude of each harmonic in a field, -1 for none, and `factors`
    (angles, 14, harmonics) what it is multiplied by.
    """
    count, angles = hess.shape[:2]
    harmonics, size = rows.shape[1], rows.max() + 1
    out, half = np.zeros((count, size, size)), np.empty(size)
    for i in range(count):
        for j in range(angles):
            for f in range(FIELDS):
                _spread(hess[i, j, f], rows, factors[j], half)
                for k in range(harmonics):
                    if rows[f, k] >= 0:
                        factor = factors[j, f, k]
                        for a in range(size):
                            out[i, rows[f, k], a] += factor * half[a]
    return out


@njit(cache=True, error_model="numpy")
def _spread(row: Array, rows: Index, factors: Array, out: Array) -> None:
    """Refer a row by fields, (14,), to amplitudes, (rows,)."""
    out[:] = 0.0
    for g in range(FIELDS):
        if row[g] != 0.0:
            for k in range(rows.shape[1]):
                if rows[g, k] >= 0:
                    out[rows[g, k]] += row[g] * factors[g, k]


@njit(cache=True, error_model="numpy")
def by_unknowns(stiff: Array, shapes: Array, columns: Index, kinds: Index, per_element: int) -> Array:
    """Element matrices (elements, unknowns, unknowns) [N mm] from energy by amplitudes twice, (points, rows, rows).

    `shapes` (points, kinds, functions) are the shape functions, `columns` (rows,) and `kinds` (rows,) the field that
    makes each amplitude and the kind of its shape function.
    """
    count, rows, functions = len(stiff), len(columns), shapes.shape[2]
    width = columns.max() + 1
    out = np.zeros((count // per_element, functions, width, functions, width))
    half = np.empty((functions, width))
    for i in range(count):
        own = out[i // per_element]
        for a in range(rows):
            half[:] = 0.0
            for b in range(rows):
                value = stiff[i, a, b]
                if value != 0.0:
                    for g in range(functions):
                        half[g, columns[b]] += value * shapes[i, kinds[b], g]
            for f in range(functions):
                factor = shapes[i, kinds[a], f]
                for g in range(functions):
                    for column in range(width):
                        own[f, columns[a], g, column] += factor * half[g, column]
    return out.reshape(-1, functions * width, functions * width)
