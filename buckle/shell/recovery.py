"""From unknowns back to what can be looked at: positions, surface stresses, modes, at closely spaced stations."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from buckle.shell.elements import Elements, sampled_elements
from buckle.shell.model import Shell
from buckle.shell.numbering import FUNCTIONS, MOVED, WaveRow
from buckle.shell.operators import answer_of
from buckle.shell.wall import layered_wall

Array = NDArray[np.float64]
FACES = (np.array([-1.0, 0.0, 1.0]), np.array([1.0, 4.0, 1.0]) / 3.0)  # right face, middle, left face; Simpson
PER_ELEMENT = 7


@dataclass(frozen=True, eq=False)
class Displacements:
    """Displacements at points, arrays (points,)."""

    u: Array  # [mm]
    w: Array  # [mm]
    v: Array  # [mm]


def sampled(shell: Shell) -> Shell:
    """Return the shell read at closely spaced stations and at its two faces and middle, with the same unknowns."""
    elements = sampled_elements(shell.elements, PER_ELEMENT)
    elastic = replace(shell.wall.material, hardening=None)
    return Shell(elements, layered_wall(elastic, elements, FACES, shell.wall.measure))


def surface_stresses(stations: Shell, x: Array) -> tuple[Array, Array]:
    """Elastic meridional and circumferential stress [MPa] at (right face, middle, left face), (3, points) each."""
    tau1, tau2 = answer_of(stations, x).tau
    return tau1.T, tau2.T


def displacements(elements: Elements, x: Array) -> Displacements:
    """Axisymmetric displacements at the points of the elements, (points,) [mm], from x (size,) [mm, rad]."""
    nodal = x[elements.axisymmetric.dofs].reshape(elements.mesh.count, FUNCTIONS, -1)[:, :, : len(MOVED)]
    u, w = np.einsum("epi,eif->fep", elements.value, nodal).reshape(2, -1)
    return Displacements(u, w, np.zeros_like(u))


def wave_displacements(elements: Elements, y: Array) -> Displacements:
    """Amplitudes u cos, w cos, v sin of a wave at the points of the elements.

    (points,) [mm], from y (size,) [mm, rad].
    """
    fields = np.matmul(elements.wave_table, y[elements.wave.dofs][:, :, None]).reshape(-1, len(WaveRow))
    return Displacements(fields[:, WaveRow.U], fields[:, WaveRow.W], fields[:, WaveRow.V])
