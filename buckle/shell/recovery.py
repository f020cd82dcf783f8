"""From unknowns back to what can be looked at: positions, surface stresses, modes, at closely spaced stations."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from buckle.shell.elements import Elements, sampled_elements
from buckle.shell.model import Shell
from buckle.shell.numbering import FUNCTIONS
from buckle.shell.operators import evaluate
from buckle.shell.section import layered_section

Array = NDArray[np.float64]
FACES = (np.array([-1.0, 0.0, 1.0]), np.array([1.0, 4.0, 1.0]) / 3.0)  # right face, middle, left face; Simpson
PER_ELEMENT = 7


@dataclass(frozen=True, eq=False)
class Displacements:
    """Displacements at points, arrays (points,)."""

    u: Array
    w: Array
    v: Array


def sampled(shell: Shell) -> Shell:
    """Return the shell read at closely spaced stations and at its two faces and middle, with the same unknowns."""
    elements = sampled_elements(shell.elements, PER_ELEMENT)
    section = replace(shell.section.material, hardening=None)
    return replace(
        shell,
        elements=elements,
        section=layered_section(section, elements.station, elements.length, FACES, shell.section.measure),
    )


def surface_stresses(stations: Shell, x: Array) -> tuple[Array, Array]:
    """Elastic meridional and circumferential stress [MPa] at (right face, middle, left face), (3, points) each."""
    tau1, tau2 = evaluate(stations, x).resultants.tau
    return tau1.T, tau2.T


def displacements(elements: Elements, x: Array) -> Displacements:
    """Axisymmetric displacements at the points of the elements."""
    nodal = x[elements.axisymmetric.dofs].reshape(elements.mesh.count, FUNCTIONS, -1)[:, :, :2]
    u, w = np.einsum("epi,eif->fep", elements.value, nodal).reshape(2, -1)
    return Displacements(u, w, np.zeros_like(u))


def wave_displacements(elements: Elements, y: Array) -> Displacements:
    """Amplitudes u cos, w cos, v sin of a wave at the points of the elements."""
    fields = np.matmul(elements.wave_table, y[elements.wave.dofs][:, :, None]).reshape(-1, 10)
    return Displacements(fields[:, 0], fields[:, 2], fields[:, 6])
