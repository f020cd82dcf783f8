"""A shell ready to be solved: elements, section, supports and load put together."""

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from buckle.bands.layout import BandLayout, Held
from buckle.material import Material
from buckle.meridian import Meridian
from buckle.mesh import Grading, mesh_meridian
from buckle.shell.elements import Elements, meridian_elements
from buckle.shell.section import Section, gauss_rule, layered_section, split_gauss_rule
from buckle.shell.strain import StrainMeasure

Array = NDArray[np.float64]
Index = NDArray[np.int64]

# What each support holds: u radial, w axial, a turning in the meridian plane, v circumferential, t tilt along the edge.
SUPPORTS = {
    "clamped": "uwavt",
    "pinned": "uwvt",
    "roller": "w",
    "guided": "wa",
    "diaphragm": "uvt",
    "sleeve": "uavt",
    "free": "",
}
SLIDING_RING = "sleeve"
"""A rigid ring that slides along the axis: free axially as a whole, so held axially in every wave. (With each point
free, a pressurised ring would tilt in its guide at a few bar, n = 1, to expand into an ellipse.)"""
AXISYMMETRIC = "uwa"
WAVE = "uwavt"
APEX = {0: "uavt", 1: "wvt"}  # what an apex holds for n = 0 and n = 1; all of it beyond


@dataclass(frozen=True)
class Load:
    """Pressure of unit size and side, and a constant axial force at the outer edge [N], tension positive."""

    side: int = 1  # 1: pressure pushes to the right of the walk, -1: to the left
    follower: bool = True
    end_thrust: bool = True
    axial_force: float = 0.0


@dataclass(frozen=True)
class Fineness:
    """How finely a shell is divided."""

    grading: Grading = field(default_factory=Grading)
    layers: int = 4  # through the thickness; plastic analyses take more
    degree: int = 4


@dataclass(frozen=True, eq=False)
class Shell:
    """A discretised shell of revolution with its supports and load."""

    elements: Elements
    section: Section
    start_edge: str | None
    outer_edge: str | None
    load: Load

    @property
    def size(self) -> int:
        """Axisymmetric unknowns."""
        return 3 * self.elements.scalar_count

    @cached_property
    def layout(self) -> BandLayout:
        """Band of the axisymmetric tangent."""
        return BandLayout(self.elements.axisymmetric_dofs, self.size, general=True)

    @cached_property
    def wave_layout(self) -> BandLayout:
        """Band of the wave-number operators."""
        return BandLayout(self.elements.wave_dofs, self.elements.wave_size, general=False)

    @property
    def edges(self) -> dict[int, str]:
        """Support of each end of the walk that is not on the axis: 0 start, -1 end."""
        named = {0: self.start_edge, -1: self.outer_edge}
        return {end: name for end, name in named.items() if name is not None and end not in self.elements.apexes}

    @property
    def thrust_free_edges(self) -> tuple[int, ...]:
        """Edges that may move axially, where a closed end's thrust matters."""
        return tuple(end for end, name in self.edges.items() if "w" not in SUPPORTS[name])

    @property
    def axially_held(self) -> bool:
        """Whether an edge is held along the axis."""
        return any("w" in SUPPORTS[name] for name in self.edges.values())

    @cached_property
    def fixed(self) -> Index:
        """Held axisymmetric unknowns."""
        fixed = [self._axisymmetric(end, field) for end, fields in self._ends(0) for field in fields]
        fixed = [dof for dof in fixed if dof >= 0]
        if not self.axially_held:  # one node holds it, with no reaction as long as the load is balanced
            fixed.append(3 * self.elements.degree * (self.elements.mesh.count // 2) + 1)
        return np.array(sorted(fixed), dtype=np.int64)

    @cached_property
    def held(self) -> Held:
        """Index table of the held axisymmetric unknowns."""
        return self.layout.held(self.fixed)

    def wave_held(self, n: int) -> Held:
        """Index table of what is held in wave number n."""
        return self._wave_held[min(n, 2)]

    @cached_property
    def _wave_held(self) -> dict[int, Held]:
        return {n: self.wave_layout.held(self.wave_fixed(n)) for n in (0, 1, 2)}

    def wave_fixed(self, n: int) -> Index:
        """Held unknowns of wave number n; for n = 1 enough that no rigid motion is left, for n = 0 all torsion."""
        if n == 0:
            return self._axisymmetric_waves
        fixed = {self._wave(end, field) for end, fields in self._ends(n) for field in fields}
        return np.array(sorted(fixed | (self._gauge(fixed) if n == 1 else set())), dtype=np.int64)

    @cached_property
    def _axisymmetric_waves(self) -> Index:
        first = self.elements.wave_first
        torsion = np.setdiff1d(np.arange(self.elements.wave_size), (first[:, None] + np.arange(3)).ravel())
        return np.sort(np.concatenate([torsion, first[self.fixed // 3] + self.fixed % 3]))

    def _ends(self, n: int) -> list[tuple[int, str]]:
        apex = [(end, APEX.get(n, WAVE)) for end in self.elements.apexes]
        return apex + [
            (end, SUPPORTS[name] + "w" * (n > 0 and name == SLIDING_RING)) for end, name in self.edges.items()
        ]

    def _axisymmetric(self, end: int, field: str) -> int:
        scalar = 0 if end == 0 else self.elements.scalar_count - 1
        return 3 * scalar + AXISYMMETRIC.index(field) if field in AXISYMMETRIC else -1

    def _wave(self, end: int, field: str) -> int:
        return int(self.elements.wave_first[end]) + WAVE.index(field)

    def _gauge(self, fixed: set[int]) -> set[int]:
        """Extra holds at the widest vertex against the rigid shift and turn of n = 1 that the supports leave.

        A rigid motion has no work under a balanced load, so these holds carry no force.
        """
        rigid = self.rigid_waves()
        held = rigid[sorted(fixed)]
        _, size, right = np.linalg.svd(np.vstack([held / self.elements.mesh.meridian.length, np.zeros((2, 2))]))
        loose = right[size <= 1e-9]
        widest = int(self.elements.wave_first[self.elements.degree * int(np.argmax(self.elements.vertex_radius))])
        places = [widest + WAVE.index(field) for field in "vw"]
        if len(loose) == 1:
            motion = np.abs(rigid[places] @ loose[0])
            places = [places[int(np.argmax(motion))]]
        return set(places[: len(loose)])

    def rigid_waves(self) -> Array:
        """Vertex unknowns (interior ones left zero) of the sideways shift and the turn about a diameter, (size, 2)."""
        elements, meridian = self.elements, self.elements.mesh.meridian
        at = meridian.at_s(elements.mesh.vertices)
        out = np.zeros((elements.wave_size, 2))
        first = elements.wave_first[:: elements.degree]
        out[first, 0], out[first + 3, 0] = 1.0, -1.0
        z = at.z - at.z.mean()
        out[first, 1], out[first + 1, 1], out[first + 3, 1] = z, -at.r, -z
        out[first + 2, 1], out[first + 4, 1] = -1.0, -np.cos(at.heading)
        for end in elements.apexes:
            out[[first[end] + 3, first[end] + 4]] = 0.0
        return out


def build_shell(
    meridian: Meridian,
    material: Material,
    edges: tuple[str | None, str | None],
    load: Load,
    fineness: Fineness,
    measure: StrainMeasure,
) -> Shell:
    """Discretise a meridian; edges are the supports of (start, outer) edge, None on the axis."""
    elements = meridian_elements(mesh_meridian(meridian, fineness.grading), fineness.degree)
    rule = (split_gauss_rule if material.hardening else gauss_rule)(fineness.layers)
    section = layered_section(material, elements.station, elements.length, rule, measure)
    return Shell(elements, section, *edges, load)
