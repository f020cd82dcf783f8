"""Which numbers of a case file are dimensions, gauges or metal properties, and the case with one of them changed."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from buckle.case import Case, replace_keys
from buckle.case.deviates import DimpleDeviation, WaveDeviation
from buckle.case.internal import is_number
from buckle.case.values import flat
from buckle.errors import CaseError
from buckle.units import UNITS

HARDENING = "material.hardening"
LEFT_OUT = ("material.uniform_strain",)  # no equation knows it
MOST_POINTS = 24  # of a hardening table that are numbers of their own; one with more is a curve


@dataclass(frozen=True)
class Number:
    """A number of a case file: its dotted key and its value in the unit of that key."""

    key: str
    value: float

    @property
    def is_angle(self) -> bool:
        """Whether it is an angle."""
        return _dimension(self.key) == "angle"

    @property
    def is_deviation(self) -> bool:
        """Whether it is one of a deviation, which no analysis of the perfect shape knows of."""
        return self.key.startswith("deviation.")

    @property
    def is_metal(self) -> bool:
        """Whether it is a property of the metal."""
        return self.key.startswith("material.")


def numbers(case: Case, keys: Sequence[str] | None = None) -> tuple[Number, ...]:
    """Dimensions, gauges and metal properties that the file or its grade gives, or those of them under the keys.

    Those of a dimple or a wave that the shape deviates by are among them. Raises CaseError for a key that is none.
    """
    found = {number.key: number for number in (*_of_shape(case), *_of_deviation(case), *_of_metal(case))}
    if keys is None:
        return tuple(found.values())
    for key in keys:
        if key not in found:
            raise CaseError(f"{key}: no dimension, gauge or metal property of the case; allowed: {', '.join(found)}")
    return tuple(found[key] for key in keys)


def tables_with(case: Case, number: Number, value: float) -> dict[str, Any]:
    """Tables of a case with another value of a number; a law that came with the grade is written out for it."""
    return replace_keys(written_out(case, number.key), {number.key: value})


def written_out(case: Case, key: str) -> Mapping[str, Any]:
    """Tables of a case in which a key of the hardening law stands, whoever gave it."""
    if not key.startswith(f"{HARDENING}.") or "hardening" in case.tables["material"]:
        return case.tables
    return replace_keys(case.tables, {HARDENING: _law(case)})


def _law(case: Case) -> Any:
    return next(line.value for line in case.echo if line.key == HARDENING)


def _of_shape(case: Case) -> Iterator[Number]:
    for key, value in flat(case.tables["shape"], "shape"):
        if is_number(value) and _dimension(key) in ("length", "angle"):
            yield Number(key, float(value))


def _of_deviation(case: Case) -> Iterator[Number]:
    if isinstance(case.deviation, DimpleDeviation | WaveDeviation):
        for key, value in flat(case.tables["deviation"], "deviation"):
            if is_number(value):
                yield Number(key, float(value))


def _of_metal(case: Case) -> Iterator[Number]:
    by_grade = [pair for line in case.echo if line.origin == "grade" for pair in flat(line.value, line.key)]
    for key, value in (*flat(case.tables["material"], "material"), *by_grade):
        if is_number(value) and key.startswith("material.") and key not in LEFT_OUT and _counts(case, key):
            yield Number(key, float(value))


def _counts(case: Case, key: str) -> bool:
    """Tell whether a number of a hardening table counts: a stress, of one with not too many points."""
    if ".points_" not in key:
        return True
    return len(_law(case)["points_MPa"]) <= MOST_POINTS and key.endswith("[1]")


def _dimension(key: str) -> str | None:
    """Dimension of the unit that a key ends in; of an item of a list, that of the list."""
    stem, _, unit = key.rpartition(".")[2].partition("[")[0].rpartition("_")
    return next((name for name, units in UNITS.items() if stem and unit in units), None)
