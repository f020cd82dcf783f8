"""The plain samples of the study as a file: what each design had, and its least reserve."""

import csv
import math

import numpy as np

from buckle.shortfall.sampling import Sample
from buckle.shortfall.words import interval

RESERVE = "reserve_factor"
DIGITS = 7
"""Significant digits: a reserve changes by less than 1e-6 with what they leave out, and by 1e-4 as meshes change."""


def write_samples(path, keys, values, reserves):
    """One row a design, in the order of the samples; the reserve of one that has none is empty."""
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow([*keys, RESERVE])
        for row, reserve in zip(values, reserves, strict=True):
            writer.writerow(
                [*(f"{each:.{DIGITS}g}" for each in row), f"{reserve:.6f}" if math.isfinite(reserve) else ""]
            )


def read_samples(path):
    """The keys, the values (designs, keys) and the sample of reserves; it has no scores."""
    with path.open(newline="", encoding="utf-8") as file:
        (*keys, last), *rows = csv.reader(file)
    assert last == RESERVE
    values = np.array([[float(each) for each in row[:-1]] for row in rows])
    reserves = np.array([float(row[-1]) if row[-1] else -math.inf for row in rows])
    return tuple(keys), values, Sample(np.zeros((len(rows), 0)), reserves)


def row_of(name, sample, asked, levels):
    """One line of the table: how many fall short, and the reserve that each share is below."""
    cells = [
        f"{each.value:.4f} ({each.low:.4f} to {each.high:.4f})" if each.low > 0.0 else "too few samples"
        for each in levels
    ]
    return [f"{len(sample.reserves)} {name}", interval(sample.share_below(asked)), *cells]
