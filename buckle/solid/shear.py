"""How much of the plastic work transverse shear does, which a shell with plane sections leaves elastic."""

import numpy as np

from buckle.solid import tensors
from buckle.solid.history import elastic_strain
from buckle.solid.metal import mises
from buckle.solid.model import Solid
from buckle.solid.operators import gradients
from buckle.solid.state import State


def shear_share(solid: Solid, state: State) -> float:
    """Share of the rate of plastic work that transverse shear does as the path comes to a state; 0 where nothing flows.

    Stress does the plastic work sigma_ij d_ij with d = 1.5 (d eps / sigma_eq) dev sigma (J2 flow). Its part in the pair
    (along the deformed meridian, across it) is 3 (tau / sigma_eq)^2 of it at a point.
    """
    elements = solid.elements
    F = gradients(solid, state.at.x)
    strain, axes = elastic_strain(F, state.history, tensors)
    stress = solid.metal.answer(strain, state.history.worked).principal.stress
    size = mises(stress - stress.mean(axis=0))
    work = elements.weight * state.pace * size
    if not np.any(work > 0.0):
        return 0.0
    rr, zz, rz, _ = axes.assembled(stress)
    s = np.matmul(elements.value, elements.s[elements.nodes][:, :, None]).ravel()
    heading = solid.meridian.at_s(s).heading
    rR, rZ, zR, zZ, _ = F
    along_r, along_z = rR * np.cos(heading) + rZ * np.sin(heading), zR * np.cos(heading) + zZ * np.sin(heading)
    shear = (along_r * along_z * (zz - rr) + (along_r**2 - along_z**2) * rz) / (along_r**2 + along_z**2)
    flows = work > 0.0
    return float(np.sum((work * 3.0 * shear**2)[flows] / size[flows] ** 2) / np.sum(work))
