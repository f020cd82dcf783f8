"""Strain measures: which function of the stretch the material law is written in.

Every measure answers in the same currency: stress conjugate to logarithmic strain (Kirchhoff stress in the principal
axes) and its derivative by logarithmic strain, so that the section needs one set of formulas. The measures differ by
terms of the size of the strain: on a clamped cap with R/t = 200 the limit pressure moves by 0.4 %. Stretches squared
are s = C / C_reference. The strains themselves are worked out in `points`.
"""

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from buckle.shell import points
from buckle.shell.plasticity import Tangent

Array = NDArray[np.float64]
Pair = tuple[Array, Array]


class StrainMeasure(Protocol):
    """What a measure answers beside the strain."""

    @property
    def code(self) -> int:
        """What `points` knows it by."""
        ...

    @property
    def finite(self) -> bool:
        """Whether geometry and stress are referred to the deformed state."""
        ...

    def referred(self, hooke: Tangent, squared: Pair, tau: Pair) -> Tangent:
        """Tangent of elastic layers with the stresses tau, referred to logarithmic strain.

        Stretches squared (points, layers) [-], stresses and moduli [MPa].
        """
        ...

    def shear(self, modulus: Array | float, squared: Pair, tau: Pair) -> Array | float:
        """Second derivative of the energy by C_12, times C_11 C_22, (points, layers) [MPa]."""
        ...


@dataclass(frozen=True)
class Logarithmic:
    """e = ln(stretch): for plastic strains of any size; sums of increments, volume kept exactly."""

    code: int = points.LOGARITHMIC
    finite: bool = True

    def referred(self, hooke: Tangent, squared: Pair, tau: Pair) -> Tangent:
        """Return the tangent: it is already one by logarithmic strain.

        Stretches squared (points, layers) [-], stresses and moduli [MPa].
        """
        return hooke

    def shear(self, modulus: Array | float, squared: Pair, tau: Pair) -> Array | float:
        """G (y/sinh y)^2 - tau_mean + tau_half (sinh y cosh y - y)/sinh^2 y with y = e1 - e2; derived here.

        From the second derivative of the matrix logarithm in its principal axes (divided differences).
        (points, layers) [MPa].
        """
        s1, s2 = squared
        y = 0.5 * np.log(s1 / s2)
        small = np.abs(y) < 0.02
        safe = np.where(small, 1.0, y)
        root, square = 2.0 * np.sqrt(s1 * s2), y * y
        sinh, cosh = np.where(small, 1.0, (s1 - s2) / root), (s1 + s2) / root
        ratio = np.where(small, 1.0 - square / 6.0 + square * square * (7.0 / 360.0), safe / sinh)
        lean = np.where(small, y * (2.0 / 3.0 - square * (4.0 / 45.0)), (sinh * cosh - safe) / (sinh * sinh))
        mean, half = 0.5 * (tau[0] + tau[1]), 0.5 * (tau[0] - tau[1])
        energy: Array = modulus * (ratio * ratio) - mean + half * lean
        return energy


@dataclass(frozen=True)
class Engineering:
    """e = stretch - 1: the law of classical shell theory, for elastic analyses."""

    code: int = points.ENGINEERING
    finite: bool = True

    def referred(self, hooke: Tangent, squared: Pair, tau: Pair) -> Tangent:
        """Refer to logarithmic strain: d e = stretch d ln(stretch).

        Stretches squared (points, layers) [-], stresses and moduli [MPa].
        """
        s1, s2 = squared
        return Tangent(s1 * hooke.d11 + tau[0], np.sqrt(s1 * s2) * hooke.d12, s2 * hooke.d22 + tau[1], hooke.shear)

    def shear(self, modulus: Array | float, squared: Pair, tau: Pair) -> Array | float:
        """(4 G - tau1/s1 - tau2/s2) s1 s2 / (stretch1 + stretch2)^2; derived here as for the logarithm.

        (points, layers) [MPa].
        """
        s1, s2 = squared
        return (4.0 * modulus - tau[0] / s1 - tau[1] / s2) * s1 * s2 / (np.sqrt(s1) + np.sqrt(s2)) ** 2


@dataclass(frozen=True)
class Small:
    """e = (s - 1)/2 about the reference geometry, for linear kinematics (LA, MNA)."""

    code: int = points.SMALL
    finite: bool = False

    def referred(self, hooke: Tangent, squared: Pair, tau: Pair) -> Tangent:
        """Return Hooke's law. Stretches squared (points, layers) [-], stresses and moduli [MPa]."""
        return hooke

    def shear(self, modulus: Array | float, squared: Pair, tau: Pair) -> Array | float:
        """Return the shear modulus, (points, layers) [MPa]."""
        return modulus


LOGARITHMIC = Logarithmic()
ENGINEERING = Engineering()
SMALL = Small()
