"""Correlations of what scatters, as a matrix."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from buckle.case.keys import Finding
from buckle.case.locator import KeyPath
from buckle.case.models import Correlation


def correlation_matrix(
    pairs: Sequence[Correlation], keys: Sequence[str], path: KeyPath, table: str
) -> tuple[NDArray[np.float64], list[Finding]]:
    """Return the correlations (keys, keys) of normal scores, and what is wrong with them.

    `path` is that of the table which the list `correlated` stands in, `table` what its keys are called in a message.
    """
    matrix = np.eye(len(keys))
    for at, pair in enumerate(pairs):
        if not set(pair.keys) <= set(keys) or pair.keys[0] == pair.keys[1]:
            problem = f"needs two different keys of {table}"
            return matrix, [Finding((*path, "correlated", at), problem, list(pair.keys))]
        i, j = (keys.index(key) for key in pair.keys)
        matrix[i, j] = matrix[j, i] = pair.coefficient
    if len(keys) and float(np.linalg.eigvalsh(matrix)[0]) <= 0.0:
        return matrix, [Finding((*path, "correlated"), "no quantities can be so correlated all at once")]
    return matrix, []
