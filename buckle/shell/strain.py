"""Strain measures: which function of the stretch the material law is written in.

Every measure answers in the same currency: stress conjugate to logarithmic strain (Kirchhoff stress in the principal
axes) and its derivative by logarithmic strain, so that the section needs one set of formulas. The measures differ by
terms of the size of the strain: on a clamped cap with R/t = 200 the limit pressure moves by 0.4 %.
"""

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from buckle.shell.plasticity import Tangent

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Layer:
    """Stresses of all layer points [MPa], (points, layers), and their elastic tangent."""

    tau1: Array
    tau2: Array
    tangent: Tangent


class StrainMeasure(Protocol):
    """What a measure answers; stretch squared s = C / C_reference."""

    @property
    def finite(self) -> bool:
        """Whether geometry and stress are referred to the deformed state."""
        ...

    def strain(self, s: Array) -> Array:
        """Strain of the stretch squared."""
        ...

    def conjugate(self, hooke: Tangent, e1: Array, e2: Array, s1: Array, s2: Array) -> Layer:
        """Stress and tangent of an elastic layer under strains (e1, e2), referred to logarithmic strain."""
        ...

    def shear(self, modulus: Array | float, s1: Array, s2: Array, layer: Layer) -> Array | float:
        """Second derivative of the energy by C_12, times C_11 C_22; the layer as `conjugate` returns it."""
        ...


@dataclass(frozen=True)
class Logarithmic:
    """e = ln(stretch): for plastic strains of any size; sums of increments, volume kept exactly."""

    finite: bool = True

    def strain(self, s: Array) -> Array:
        """Return (1/2) ln s."""
        return 0.5 * np.log(s)

    def conjugate(self, hooke: Tangent, e1: Array, e2: Array, s1: Array, s2: Array) -> Layer:
        """Return Hooke's law as it is."""
        return _hooke(hooke, e1, e2)

    def shear(self, modulus: Array | float, s1: Array, s2: Array, layer: Layer) -> Array | float:
        """G (y/sinh y)^2 - tau_mean + tau_half (sinh y cosh y - y)/sinh^2 y with y = e1 - e2; derived here.

        From the second derivative of the matrix logarithm in its principal axes (divided differences).
        """
        y = 0.5 * np.log(s1 / s2)
        small = np.abs(y) < 0.02
        safe = np.where(small, 1.0, y)
        root, square = 2.0 * np.sqrt(s1 * s2), y * y
        sinh, cosh = np.where(small, 1.0, (s1 - s2) / root), (s1 + s2) / root
        ratio = np.where(small, 1.0 - square / 6.0 + square * square * (7.0 / 360.0), safe / sinh)
        lean = np.where(small, y * (2.0 / 3.0 - square * (4.0 / 45.0)), (sinh * cosh - safe) / (sinh * sinh))
        mean, half = 0.5 * (layer.tau1 + layer.tau2), 0.5 * (layer.tau1 - layer.tau2)
        energy: Array = modulus * (ratio * ratio) - mean + half * lean
        return energy


@dataclass(frozen=True)
class Engineering:
    """e = stretch - 1: the law of classical shell theory, for elastic analyses."""

    finite: bool = True

    def strain(self, s: Array) -> Array:
        """Return sqrt(s) - 1."""
        return np.sqrt(s) - 1.0

    def conjugate(self, hooke: Tangent, e1: Array, e2: Array, s1: Array, s2: Array) -> Layer:
        """Refer to logarithmic strain: d e = stretch d ln(stretch)."""
        layer, a, b = _hooke(hooke, e1, e2), np.sqrt(s1), np.sqrt(s2)
        t1, t2 = a * layer.tau1, b * layer.tau2
        moved = Tangent(a * a * hooke.d11 + t1, a * b * hooke.d12, b * b * hooke.d22 + t2, hooke.shear)
        return Layer(t1, t2, moved)

    def shear(self, modulus: Array | float, s1: Array, s2: Array, layer: Layer) -> Array | float:
        """(4 G - tau1/s1 - tau2/s2) s1 s2 / (stretch1 + stretch2)^2; derived here as for the logarithm."""
        return (4.0 * modulus - layer.tau1 / s1 - layer.tau2 / s2) * s1 * s2 / (np.sqrt(s1) + np.sqrt(s2)) ** 2


@dataclass(frozen=True)
class Small:
    """e = (s - 1)/2 about the reference geometry, for linear kinematics (LA, MNA)."""

    finite: bool = False

    def strain(self, s: Array) -> Array:
        """Return (s - 1)/2."""
        return 0.5 * (s - 1.0)

    def conjugate(self, hooke: Tangent, e1: Array, e2: Array, s1: Array, s2: Array) -> Layer:
        """Return Hooke's law as it is."""
        return _hooke(hooke, e1, e2)

    def shear(self, modulus: Array | float, s1: Array, s2: Array, layer: Layer) -> Array | float:
        """Return the shear modulus."""
        return modulus


def _hooke(hooke: Tangent, e1: Array, e2: Array) -> Layer:
    return Layer(hooke.d11 * e1 + hooke.d12 * e2, hooke.d12 * e1 + hooke.d22 * e2, hooke)


LOGARITHMIC = Logarithmic()
ENGINEERING = Engineering()
SMALL = Small()
