"""Elastic constants and hardening laws: true stress against plastic strain, in MPa."""

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property
from importlib.resources import files
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


LINEAR, VOCE, SWIFT, TABLE = range(4)


def flow_stress(law: int, numbers: Array, strain: Any) -> tuple[Any, Any]:
    """Flow stress and its slope [MPa] of a law (one of the four) at an equivalent plastic strain, a number or an array.

    `numbers` is (3, n). LINEAR: yield, modulus. VOCE: yield, increment, rate (Voce 1948, from memory). SWIFT: yield,
    offset, exponent (Swift 1952, from memory). TABLE: strains, stresses, and the slopes that start at each strain.
    """
    a, b, c = numbers[0, 0], numbers[1, 0], numbers[2, 0]
    if law == LINEAR:
        return a + b * strain, b + 0.0 * strain
    if law == VOCE:
        remaining = b * np.exp(-c * strain)
        return a + b - remaining, c * remaining
    if law == SWIFT:
        base = 1.0 + strain / b
        stress = a * base**c
        return stress, c * stress / (b * base)
    at = np.searchsorted(numbers[0], strain, side="right") - 1
    return numbers[1][at] + numbers[2][at] * (strain - numbers[0][at]), numbers[2][at]


@dataclass(frozen=True)
class Hardening:
    """A hardening law: true stress against equivalent plastic strain; `numbers` are those of `flow_stress`."""

    law: int
    numbers: tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...]]

    @property
    def yield_stress(self) -> float:
        """Stress of first flow [MPa]."""
        return self.numbers[1][0] if self.law == TABLE else self.numbers[0][0]

    def scaled(self, factor: float) -> "Hardening":
        """Return the law with every stress multiplied; strains, rates and exponents stay."""
        stresses = {LINEAR: (0, 1), VOCE: (0, 1), SWIFT: (0,), TABLE: (1, 2)}[self.law]
        first, second, third = (
            tuple(factor * number for number in row) if at in stresses else row for at, row in enumerate(self.numbers)
        )
        return replace(self, numbers=(first, second, third))

    @cached_property
    def array(self) -> Array:
        """The numbers, (3, n)."""
        return np.array(self.numbers)

    def stress_and_slope(self, plastic_strain: Array) -> tuple[Array, Array]:
        """Return flow stress and its slope [MPa], both shaped like the equivalent plastic strain [-]."""
        return flow_stress(self.law, self.array, plastic_strain)


def linear_hardening(yield_stress: float, modulus: float = 0.0) -> Hardening:
    """Sigma = yield + modulus * eps_p; modulus 0 is ideal plasticity."""
    return Hardening(LINEAR, ((yield_stress,), (modulus,), (0.0,)))


def voce_hardening(yield_stress: float, increment: float, rate: float) -> Hardening:
    """Sigma = yield + increment * (1 - exp(-rate * eps_p))."""
    return Hardening(VOCE, ((yield_stress,), (increment,), (rate,)))


def swift_hardening(yield_stress: float, offset: float, exponent: float) -> Hardening:
    """Sigma = yield * (1 + eps_p / offset)**exponent."""
    return Hardening(SWIFT, ((yield_stress,), (offset,), (exponent,)))


def table_hardening(plastic_strain: Sequence[float], stress: Sequence[float]) -> Hardening:
    """Straight lines between points of true stress [MPa] against plastic strain; level beyond the last."""
    slopes = [*(np.diff(stress) / np.diff(plastic_strain)), 0.0]
    return Hardening(TABLE, (tuple(plastic_strain), tuple(stress), tuple(map(float, slopes))))


def ramberg_osgood(yield_stress: float, exponent: float) -> Hardening:
    """Tabulate eps_p = 0.002 (sigma/yield)**exponent from eps_p = 1e-6 up to 1, where yield is the 0.2 % proof stress.

    Source: Ramberg and Osgood 1943, in the proof-stress form of Hill 1944 (from memory). The law has no elastic range;
    below eps_p = 1e-6 it is taken as elastic.
    """
    strain = np.concatenate([[0.0], np.geomspace(1e-6, 1.0, 241)[1:]])
    stress = yield_stress * (np.maximum(strain, 1e-6) / 0.002) ** (1.0 / exponent)
    return table_hardening([float(x) for x in strain], [float(x) for x in stress])


@dataclass(frozen=True)
class Material:
    """Isotropic metal: moduli and flow stress in MPa, density in kg/m3; no hardening law means elastic only.

    `uniform_strain` is the plastic strain up to which the hardening curve was measured, None where that is not told;
    `yields` is False of metal that is declared to stay elastic.
    """

    youngs_modulus: float
    poissons_ratio: float
    density: float = 0.0
    hardening: Hardening | None = None
    grade: str = ""
    uniform_strain: float | None = None
    yields: bool = True

    @property
    def shear_modulus(self) -> float:
        """Return E / (2 (1 + nu)) [MPa]."""
        return self.youngs_modulus / (2.0 * (1.0 + self.poissons_ratio))

    def ideal_plastic(self) -> "Material":
        """Return a copy that flows at its first yield stress (MNA).

        A slope of a billionth of E stays: a body that flows everywhere at once would have no stiffness left at all.
        """
        assert self.hardening is not None
        return replace(self, hardening=linear_hardening(self.hardening.yield_stress, 1e-9 * self.youngs_modulus))


@dataclass(frozen=True)
class Grade:
    """A shipped grade: `values` under the keys of a case file's material table, `sources` in words by quantity."""

    name: str
    about: str
    values: Mapping[str, Any]
    sources: Mapping[str, str]
    softens: str = ""  # which row of softening.toml tells how it softens with temperature


@cache
def grades() -> Mapping[str, Grade]:
    """Return the shipped grades by name. Source of every number: beside it in grades.toml."""
    tables = tomllib.loads(files("buckle").joinpath("grades.toml").read_text("utf-8"))
    return MappingProxyType({name: _grade(name, table) for name, table in tables.items()})


def _grade(name: str, table: Mapping[str, Any]) -> Grade:
    values = {key: value for key, value in table.items() if key not in ("about", "sources", "softens")}
    return Grade(name, table["about"], MappingProxyType(values), MappingProxyType(table["sources"]), table["softens"])


@dataclass(frozen=True)
class Softening:
    """Parts of Young's modulus and of the yield stress at 20 degC [-] that are left at temperatures [degC]."""

    temperatures: tuple[float, ...]
    modulus: tuple[float, ...]
    stress: tuple[float, ...]
    source: str

    def at(self, temperature: float) -> tuple[float, float]:
        """Return what is left of modulus and stress, straight lines between; below the first and beyond the last level.

        Cold metal is stiffer and stronger, which is not counted on.
        """
        modulus = np.interp(temperature, self.temperatures, self.modulus)
        return float(modulus), float(np.interp(temperature, self.temperatures, self.stress))

    def at_least(self, temperature: float, known: float) -> float:
        """Return the part of a pressure carried at a known temperature that is carried at another one [-], at least.

        If modulus and stresses fall together by a factor, so does what a body carries; it carries no less where one of
        them falls less. The lesser of the two factors is therefore a lower bound.
        """
        return min(here / there for here, there in zip(self.at(temperature), self.at(known), strict=True))


@cache
def softenings() -> Mapping[str, Softening]:
    """Return how metals soften, by the names that grades give. Source of every number: beside it in softening.toml."""
    tables = tomllib.loads(files("buckle").joinpath("softening.toml").read_text("utf-8"))
    return MappingProxyType({name: _softening(table) for name, table in tables.items()})


def _softening(table: Mapping[str, Any]) -> Softening:
    temperatures, modulus, stress = (tuple(table[key]) for key in ("temperatures_degC", "modulus_left", "stress_left"))
    return Softening(temperatures, modulus, stress, table["source"])


def warmed(metal: Material, softens: str, temperature: float) -> Material:
    """Return the metal at a temperature [degC]: modulus and all stresses of its curve as much less as it softens."""
    modulus, stress = softenings()[softens].at(temperature)
    hardening = None if metal.hardening is None else metal.hardening.scaled(stress)
    return replace(metal, youngs_modulus=modulus * metal.youngs_modulus, hardening=hardening)
