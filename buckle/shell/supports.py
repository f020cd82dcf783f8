"""What supports and the axis hold: the unknowns that are nil, and what keeps a body that nothing holds in place."""

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from buckle.bands.layout import Held
from buckle.shell.elements import Elements
from buckle.shell.numbering import AXISYMMETRIC, Numbering

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
APEX = {0: "uavt", 1: "wvt"}  # what an apex holds for n = 0 and n = 1; all of it beyond
EVERYTHING = "uwavt"


@dataclass(frozen=True)
class Ring:
    """A circle of the mid-surface at an arc length [mm] that a support holds."""

    support: str
    s: float


class Edges(NamedTuple):
    """What holds a body: supports of the start and the outer edge of its walk, None on the axis, and a ring between."""

    start: str | None
    outer: str | None
    ring: Ring | None = None


@dataclass(frozen=True, eq=False)
class Supports:
    """Supports of the two ends of a walk, None where it ends on the axis, and of a ring between them."""

    elements: Elements
    start_edge: str | None
    outer_edge: str | None
    ring: Ring | None = None

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
        """Whether an edge or a ring is held along the axis."""
        names = [*self.edges.values(), *([self.ring.support] if self.ring else [])]
        return any("w" in SUPPORTS[name] for name in names)

    @cached_property
    def held(self) -> Held:
        """Index table of the held axisymmetric unknowns."""
        return self.elements.layout.held(self.fixed)

    def wave_held(self, n: int) -> Held:
        """Index table of what is held in wave number n."""
        return self._wave_held[min(n, 2)]

    @cached_property
    def _wave_held(self) -> dict[int, Held]:
        return {n: self.elements.wave_layout.held(self.wave_fixed(n)) for n in (0, 1, 2)}

    def freed(self, force: Array) -> Array:
        """Copy of nodal forces without those of held unknowns, (size,) [N]."""
        out = force.copy()
        out[self.fixed] = 0.0
        return out

    @cached_property
    def fixed(self) -> Index:
        """Held axisymmetric unknowns, (unknowns,)."""
        held = {self._at(self.elements.axisymmetric, end, name) for end, name in self._held(0) if name in AXISYMMETRIC}
        if not self.axially_held:  # one vertex holds it, with no reaction as long as the load is balanced
            held.add(int(self.elements.axisymmetric.values("w")[self.elements.mesh.count // 2]))
        return np.array(sorted(held), dtype=np.int64)

    def wave_fixed(self, n: int) -> Index:
        """Held unknowns (unknowns,) of wave n; for n = 1 enough that no rigid motion is left, for n = 0 all torsion."""
        wave = self.elements.wave
        if n == 0:
            plain = np.concatenate([wave.of(name) for name in AXISYMMETRIC])
            torsion = np.setdiff1d(np.arange(wave.size), plain)
            return np.sort(np.concatenate([torsion, self.elements.as_wave[self.fixed]]))
        held = {self._at(wave, end, name) for end, name in self._held(n)}
        return np.array(sorted(held | (self._gauge(held) if n == 1 else set())), dtype=np.int64)

    def _held(self, n: int) -> list[tuple[int, str]]:
        """Pairs of a vertex and a field that is held there."""
        ends = {end: APEX.get(n, EVERYTHING) for end in self.elements.apexes}
        ends |= {end: SUPPORTS[name] + "w" * (n > 0 and name == SLIDING_RING) for end, name in self.edges.items()}
        if self.ring is not None:
            vertex = int(np.argmin(np.abs(self.elements.mesh.vertices - self.ring.s)))
            ends[vertex] = SUPPORTS[self.ring.support]
        return [(end, name) for end, names in ends.items() for name in names]

    def _at(self, numbering: Numbering, vertex: int, name: str) -> int:
        return int(numbering.values(name)[vertex])

    def _gauge(self, held: set[int]) -> set[int]:
        """Extra holds at the widest vertex against the rigid shift and turn of n = 1 that the supports leave.

        A rigid motion has no work under a balanced load, so these holds carry no force.
        """
        rigid = self.rigid_waves
        kept = rigid[sorted(held)]
        _, size, right = np.linalg.svd(np.vstack([kept / self.elements.mesh.meridian.length, np.zeros((2, 2))]))
        loose = right[size <= 1e-9]
        widest = int(np.argmax(self.elements.vertex_radius))
        extra = [int(self.elements.wave.values(name)[widest]) for name in "vw"]
        if len(loose) == 1:
            motion = np.abs(rigid[extra] @ loose[0])
            extra = [extra[int(np.argmax(motion))]]
        return set(extra[: len(loose)])

    @cached_property
    def rigid_waves(self) -> Array:
        """Values [mm, rad] at vertices, all else nil, of the sideways shift and turn about a diameter, (size, 2)."""
        elements, wave = self.elements, self.elements.wave
        at = elements.mesh.meridian.at_s(elements.mesh.vertices)
        u, w, a, v, t = (wave.values(name) for name in "uwavt")
        out = np.zeros((wave.size, 2))
        out[u, 0], out[v, 0] = 1.0, -1.0
        z = at.z - at.z.mean()
        out[u, 1], out[w, 1], out[v, 1] = z, -at.r, -z
        out[a, 1], out[t, 1] = -1.0, -np.cos(at.heading)
        for end in elements.apexes:
            out[[v[end], t[end]]] = 0.0
        return out
