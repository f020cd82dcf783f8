"""What a metal answers to principal strains: stress, moduli and plastic flow, with all three directions taken in full.

Strain is logarithmic, stress is Kirchhoff stress, both (3, points) in principal axes.
"""

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from buckle.errors import SolveError
from buckle.material import Hardening, Material

Array = NDArray[np.float64]
PAIRS = ((0, 1), (1, 2), (2, 0))  # of principal axes
TINY = 1e-200  # keeps 0 / 0 of an unstrained point from being asked for


@dataclass(frozen=True, eq=False)
class Principal:
    """Stress [MPa] and moduli of points in principal axes.

    `shear` is what an isotropic law answers when axes a and b shear against each other, by the pairs 12, 23, 31:

        g_ab = (tau_a B_b - tau_b B_a) / (B_a - B_b)        B = exp(2 e)

    the moduli that turning of the principal axes asks for (Hill 1968, Ogden 1984, both from memory).
    """

    stress: Array  # (3, points)
    moduli: Array  # d tau_a / d e_b, (3, 3, points)
    shear: Array  # (3, points)


@dataclass(frozen=True, eq=False)
class Answer:
    """Stress and moduli, and what flowed: plastic strain (3, points), its equivalent (points,)."""

    principal: Principal
    flow: Array  # (3, points) [-]
    grown: Array  # (points,) [-]


class Metal(Protocol):
    """A law that the solid can be made of."""

    @property
    def material(self) -> Material:
        """Constants of the metal."""
        ...

    @property
    def flows(self) -> bool:
        """Whether it has a history."""
        ...

    def answer(self, strain: Array, worked: Array) -> Answer:
        """Answer [MPa] to trial elastic strains (3, points) [-] after equivalent plastic strains (points,)."""
        ...


def bulk_modulus(material: Material) -> float:
    """E / (3 (1 - 2 nu)) [MPa]."""
    return material.youngs_modulus / (3.0 * (1.0 - 2.0 * material.poissons_ratio))


@dataclass(frozen=True)
class LogarithmicMetal:
    """Hencky's energy, quadratic in logarithmic strain, with J2 flow and isotropic hardening if the material hardens.

    W = (K/2) (tr e)^2 + G |dev e|^2 (Hencky 1928, from memory). In logarithmic strain the plastic return is that of
    small strain: radial, volume stays (Weber and Anand 1990, Simo 1992, both from memory).
    """

    material: Material

    @property
    def flows(self) -> bool:
        """Whether it has a history."""
        return self.material.hardening is not None

    def answer(self, strain: Array, worked: Array) -> Answer:
        """Backward-Euler return [MPa] from trial elastic strains (3, points) [-]."""
        shear, volume = self.material.shear_modulus, strain.sum(axis=0)
        deviator = strain - volume / 3.0
        trial = mises(2.0 * shear * deviator)
        across, along, grown = np.full_like(trial, shear), np.full_like(trial, shear), np.zeros_like(trial)
        hardening = self.material.hardening
        if hardening is not None:
            active = np.flatnonzero(trial > hardening.stress_and_slope(worked)[0])
            step, slope = plastic_step(hardening, 3.0 * shear, trial[active], worked[active])
            grown[active] = step
            across[active] -= 3.0 * shear * shear * step / trial[active]
            along[active] *= slope / (3.0 * shear + slope)
        stress = bulk_modulus(self.material) * volume + 2.0 * across * deviator
        flow = 3.0 * shear * grown / (trial + TINY) * deviator
        return Answer(isotropic(self.material, stress, across, along), flow, grown)


@dataclass(frozen=True)
class EngineeringMetal:
    """Energy quadratic in engineering strain: the three-dimensional counterpart of the law of classical shell theory.

        W = (lambda/2) e^2 + mu sum (l_a - 1)^2        l_a principal stretches, e = l_1 + l_2 + l_3 - 3

    (Biot 1939, from memory). Quadratic in (l^2 - 1)/2 instead, clamped caps get a limit lower by 0.9 to 1.5 t/R
    (computed here). Elastic only.
    """

    material: Material

    @property
    def flows(self) -> bool:
        """Whether it has a history."""
        return False

    def answer(self, strain: Array, worked: Array) -> Answer:
        """Return stress and moduli [MPa] at strains (3, points) [-]; nothing flows."""
        lam = bulk_modulus(self.material) - 2.0 / 3.0 * self.material.shear_modulus
        mu = self.material.shear_modulus
        stretch = np.exp(strain)
        common = lam * (stretch.sum(axis=0) - 3.0) - 2.0 * mu
        stress = stretch * (common + 2.0 * mu * stretch)
        moduli = (lam + 2.0 * mu * np.eye(3)[:, :, None]) * stretch[:, None] * stretch[None]
        for axis in range(3):
            moduli[axis, axis] += stress[axis]
        shear = np.empty_like(stress)
        for row, (a, b) in enumerate(PAIRS):
            apart = strain[a] - strain[b]
            # (tau_a - tau_b) / (e_a - e_b), with l_a - l_b = 2 sqrt(l_a l_b) sinh((e_a - e_b) / 2)
            ratio = np.sqrt(stretch[a] * stretch[b]) * _sinh_over(0.5 * apart)
            secant = 0.5 * ratio * (common + 2.0 * mu * (stretch[a] + stretch[b]))
            shear[row] = secant * _times_coth(apart) - 0.5 * (stress[a] + stress[b])
        return Answer(Principal(stress, moduli, shear), np.zeros_like(stress), np.zeros_like(worked))


def mises(stress: Array) -> Array:
    """Equivalent stress of von Mises of deviators (3, points) [MPa]; of strains [-]."""
    equivalent: Array = np.sqrt(1.5 * np.sum(stress * stress, axis=0))
    return equivalent


def isotropic(material: Material, stress: Array, across: Array, along: Array) -> Principal:
    """Principal answer with shear moduli [MPa] `along` the stress deviator and `across` it, both (points,).

    d tau = K tr(de) + 2 across dev(de) + 2 (along - across) N (N . de), N the unit deviator; across is also the secant
    between stress and the strain whose exponentials are the B of `shear`.
    """
    deviator = stress - stress.mean(axis=0)
    size = np.sqrt(np.sum(deviator * deviator, axis=0)) + TINY
    N = deviator / size
    moduli = (2.0 * (along - across)) * N[:, None] * N[None]
    moduli += bulk_modulus(material) - 2.0 / 3.0 * across
    for axis in range(3):
        moduli[axis, axis] += 2.0 * across
    shear = np.empty_like(stress)
    for row, (a, b) in enumerate(PAIRS):
        apart = 0.5 * (stress[a] - stress[b]) / across
        shear[row] = across * _times_coth(apart) - 0.5 * (stress[a] + stress[b])
    return Principal(stress, moduli, shear)


def plastic_step(hardening: Hardening, stiff: float, trial: Array, worked: Array) -> tuple[Array, Array]:
    """Solve trial - stiff x = strength(worked + x) for the plastic strain x >= 0; returns it and the slope there.

    Newton kept inside a bracket that is halved where Newton leaves it, and at every other turn when it is slow: the
    foot of a Ramberg-Osgood law has slopes of 1e7 MPa. Raises SolveError if it does not converge.
    Trial (points,) [MPa], worked and x (points,) [-].
    """
    low, high, x = np.zeros_like(trial), trial / stiff, np.zeros_like(trial)
    for turn in range(200):
        strength, slope = hardening.stress_and_slope(worked + x)
        left = trial - stiff * x - strength
        if np.all(np.abs(left) <= 1e-12 * trial):
            return x, slope
        low, high = np.where(left > 0.0, x, low), np.where(left > 0.0, high, x)
        x = x + left / (stiff + slope)
        middle = 0.5 * (low + high)
        x = middle if turn > 8 and turn % 2 else np.where((x >= low) & (x <= high), x, middle)
    raise SolveError("the plastic return of the solid did not converge", "a hardening law that rises smoothly")


def _times_coth(x: Array) -> Array:
    """Return x coth x, which is 1 + x^2/3 near nought."""
    small = np.abs(x) < 1e-4
    safe = np.where(small, 1.0, x)
    return np.where(small, 1.0 + x * x / 3.0, safe / np.tanh(safe))


def _sinh_over(x: Array) -> Array:
    """Return sinh(x) / x, which is 1 + x^2/6 near nought."""
    small = np.abs(x) < 1e-4
    safe = np.where(small, 1.0, x)
    return np.where(small, 1.0 + x * x / 6.0, np.sinh(safe) / safe)
