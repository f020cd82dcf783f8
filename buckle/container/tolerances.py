"""How the parts of a container scatter: [tolerances] of its own file, and those that a part brings along."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import block_diag

from buckle.case import Case
from buckle.case.keys import Finding
from buckle.case.tolerances import ReadTolerances, Tolerance, numbers_of, read_tolerances
from buckle.case.values import same_quantity

TABLE = "tolerances"


@dataclass(frozen=True)
class Scattered:
    """The tolerances of a container, by keys such as `parts.base.shape.gauge_mm`, and the correlation of their scores.

    Those of one table may be correlated; nothing is said of numbers of two, and they are taken as independent.
    """

    tolerances: tuple[Tolerance, ...] = ()
    correlation: NDArray[np.float64] = field(default_factory=lambda: np.eye(0))
    findings: tuple[Finding, ...] = ()


def scattered(table: object | None, parts: Mapping[str, Case], folder: Path) -> Scattered:
    """Return how parts scatter: what the container's file says of a number counts instead of what its part does."""
    own = ReadTolerances() if table is None else read_tolerances(table, _numbers(parts), folder)
    if own.findings:
        return Scattered(findings=own.findings)
    tolerances, blocks = [*own.tolerances], [own.correlation]
    for name, case in parts.items():
        brought = [replace(each, key=f"parts.{name}.{each.key}") for each in case.tolerances]
        kept = [at for at, each in enumerate(brought) if not _said(each, own.tolerances)]
        tolerances += [brought[at] for at in kept]
        blocks.append(case.correlation[np.ix_(kept, kept)])
    return Scattered(tuple(tolerances), np.asarray(block_diag(*blocks)) if tolerances else np.eye(0))


def _numbers(parts: Mapping[str, Case]) -> dict[str, float]:
    return {
        f"parts.{name}.{key}": value
        for name, case in parts.items()
        for key, value in numbers_of(case.tables, case.echo).items()
    }


def _said(tolerance: Tolerance, known: tuple[Tolerance, ...]) -> bool:
    return any(same_quantity(tolerance.key, each.key) for each in known)
