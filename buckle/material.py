"""Elastic constants and hardening laws: true stress against plastic strain, in MPa."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


class Hardening(Protocol):
    """What every hardening law answers."""

    @property
    def yield_stress(self) -> float:
        """Stress of first flow [MPa]."""
        ...

    def stress_and_slope(self, plastic_strain: Array) -> tuple[Array, Array]:
        """Return flow stress and its slope [MPa], both shaped like the equivalent plastic strain [-]."""
        ...


@dataclass(frozen=True)
class LinearHardening:
    """sigma = yield + modulus * eps_p; modulus 0 is ideal plasticity."""

    yield_stress: float
    modulus: float = 0.0

    def stress_and_slope(self, plastic_strain: Array) -> tuple[Array, Array]:
        """Return flow stress and its slope [MPa]."""
        return self.yield_stress + self.modulus * plastic_strain, np.full_like(plastic_strain, self.modulus)


@dataclass(frozen=True)
class VoceHardening:
    """sigma = yield + increment * (1 - exp(-rate * eps_p)). Source: Voce 1948 (from memory)."""

    yield_stress: float
    increment: float
    rate: float

    def stress_and_slope(self, plastic_strain: Array) -> tuple[Array, Array]:
        """Return flow stress and its slope [MPa]."""
        remaining = self.increment * np.exp(-self.rate * plastic_strain)
        return self.yield_stress + self.increment - remaining, self.rate * remaining


@dataclass(frozen=True)
class SwiftHardening:
    """sigma = yield * (1 + eps_p / offset)**exponent. Source: Swift 1952 (from memory)."""

    yield_stress: float
    offset: float
    exponent: float

    def stress_and_slope(self, plastic_strain: Array) -> tuple[Array, Array]:
        """Return flow stress and its slope [MPa]."""
        base = 1.0 + plastic_strain / self.offset
        stress = self.yield_stress * base**self.exponent
        return stress, self.exponent * stress / (self.offset * base)


@dataclass(frozen=True)
class TableHardening:
    """Straight lines between points of true stress [MPa] against plastic strain; level beyond the last."""

    plastic_strain: tuple[float, ...]
    stress: tuple[float, ...]

    @property
    def yield_stress(self) -> float:
        """First stress of the table [MPa]."""
        return self.stress[0]

    def stress_and_slope(self, plastic_strain: Array) -> tuple[Array, Array]:
        """Return flow stress and its slope [MPa]."""
        slopes = np.append(np.diff(self.stress) / np.diff(self.plastic_strain), 0.0)
        interval = np.searchsorted(self.plastic_strain, plastic_strain, side="right") - 1
        return np.interp(plastic_strain, self.plastic_strain, self.stress), slopes[np.maximum(interval, 0)]


def ramberg_osgood(yield_stress: float, exponent: float) -> TableHardening:
    """Tabulate eps_p = 0.002 (sigma/yield)**exponent from eps_p = 1e-6 up to 1, where yield is the 0.2 % proof stress.

    Source: Ramberg and Osgood 1943, in the proof-stress form of Hill 1944 (from memory). The law has no elastic range;
    below eps_p = 1e-6 it is taken as elastic.
    """
    strain = np.concatenate([[0.0], np.geomspace(1e-6, 1.0, 241)[1:]])
    stress = yield_stress * (np.maximum(strain, 1e-6) / 0.002) ** (1.0 / exponent)
    return TableHardening(tuple(strain), tuple(stress))


@dataclass(frozen=True)
class Material:
    """Isotropic metal: moduli and flow stress in MPa, density in kg/m3; no hardening law means elastic only."""

    youngs_modulus: float
    poissons_ratio: float
    density: float = 0.0
    hardening: Hardening | None = None
    grade: str = ""

    @property
    def shear_modulus(self) -> float:
        """Return E / (2 (1 + nu)) [MPa]."""
        return self.youngs_modulus / (2.0 * (1.0 + self.poissons_ratio))

    def ideal_plastic(self) -> "Material":
        """Return a copy that flows at its first yield stress (MNA).

        A slope of a billionth of E stays: a body that flows everywhere at once would have no stiffness left at all.
        """
        assert self.hardening is not None
        return replace(self, hardening=LinearHardening(self.hardening.yield_stress, 1e-9 * self.youngs_modulus))


@dataclass(frozen=True)
class Grade:
    """A shipped grade: `values` under the keys of a case file's material table, `sources` in words by quantity."""

    name: str
    about: str
    values: Mapping[str, Any]
    sources: Mapping[str, str]


@cache
def grades() -> Mapping[str, Grade]:
    """Return the shipped grades by name. Source of every number: beside it in grades.toml."""
    tables = tomllib.loads(files("buckle").joinpath("grades.toml").read_text("utf-8"))
    return MappingProxyType({name: _grade(name, table) for name, table in tables.items()})


def _grade(name: str, table: Mapping[str, Any]) -> Grade:
    values = {key: value for key, value in table.items() if key not in ("about", "sources")}
    return Grade(name, table["about"], MappingProxyType(values), MappingProxyType(table["sources"]))
