"""A solid of revolution ready to be solved: elements, metal, supports and load put together."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from buckle.bands.layout import BandLayout, Held
from buckle.errors import SolveError, UnfitError
from buckle.meridian import Meridian
from buckle.mesh import Grading, mesh_meridian
from buckle.solid.elements import Elements, Face, columns, face_of
from buckle.solid.history import History
from buckle.solid.jumps import without_jumps
from buckle.solid.metal import Metal
from buckle.solid.numbering import AXISYMMETRIC, WAVE, Numbering, R, T, in_wave, number, torsion
from buckle.solid.swept import LoadedLine, loaded_line, swept_by_line

Array = NDArray[np.float64]
Index = NDArray[np.int64]


@dataclass(frozen=True)
class Support:
    """What an edge holds: fields r, z, t (around) of its face, or of its `middle`; a `ring` has one u_z for all."""

    holds: str
    middle: bool = False
    ring: bool = False


SUPPORTS = {
    "clamped": Support("rzt"),
    "guided": Support("z"),
    "sleeve": Support("rt", ring=True),
    "roller": Support("z", middle=True),
    "free": Support("", middle=True),
}
"""No hinge: held both ways at one row of nodes, the metal around it gives way and caps are 2 to 4 t/R weaker."""
STEEPEST = 0.5  # cosine of the heading up to which holding u_z of an end face keeps its slope
APEX = {0: "rt", 1: "zt"}  # held on the axis in waves n = 0 and 1, all beyond; t is u_theta + u_r there


@dataclass(frozen=True)
class Load:
    """Pressure of unit size on the wetted face, or on the mid-surface as the shell has it, and its side.

    Ends are closed and carry the thrust of the pressure; an open end or an axial force is refused by name.
    """

    side: int = 1  # 1: pressure pushes to the right of the walk, -1: to the left
    follower: bool = True
    on: Literal["face", "middle"] = "face"
    end_thrust: bool = True
    axial_force: float = 0.0


@dataclass(frozen=True)
class Fineness:
    """How finely a solid is divided: element lengths by sqrt(R t) and by the bend's radius, elements through t.

    Hinges travel out of the tight bends along straight legs, so that elements may grow but slowly there: at this growth
    550 elements give what 2800 give that grow as the shell's do (0.1 %).
    """

    per_decay: float = 0.35
    per_turn: float = 0.35
    growth: float = 0.1
    layers: int = 4

    def refined(self, factor: float) -> "Fineness":
        """Return elements shorter by a factor along the meridian, as many through the thickness."""
        lengths = (self.per_decay / factor, self.per_turn / factor, self.growth / factor)
        return Fineness(*lengths, self.layers)

    @property
    def grading(self) -> Grading:
        """Grading of the meridian."""
        return Grading(per_decay=self.per_decay, per_turn=self.per_turn, growth=self.growth)


@dataclass(frozen=True, eq=False)
class Solid:
    """A discretised solid of revolution with its supports and load."""

    meridian: Meridian
    elements: Elements
    face: Face
    metal: Metal
    edges: tuple[str | None, str | None]  # of the start and the end of the walk; None on the axis
    load: Load
    apex: int | None  # node of the mid-surface on the axis
    half_thickness: float  # of the thickest place [mm]

    @property
    def fields(self) -> str:
        """Unknowns of a node."""
        return AXISYMMETRIC

    @property
    def size(self) -> int:
        """Axisymmetric unknowns."""
        return self.axisymmetric.size

    @property
    def loaded(self) -> Index:
        """Elements that the loaded face belongs to, (sides,)."""
        return self.face.owner

    @property
    def virgin(self) -> History:
        """History before any load."""
        return History.virgin(self.elements.point_count)

    @cached_property
    def axisymmetric(self) -> Numbering:
        """Numbers of u_r and u_z."""
        return number(len(self.elements.s), AXISYMMETRIC, self.rings)

    @cached_property
    def wave(self) -> Numbering:
        """Numbers of u_r, u_z and u_theta in any wave."""
        return number(len(self.elements.s), WAVE, self.rings)

    @cached_property
    def layout(self) -> BandLayout:
        """Band of the axisymmetric tangent."""
        return BandLayout(self.axisymmetric.of_elements(self.elements.nodes), self.size, general=True)

    @cached_property
    def wave_layout(self) -> BandLayout:
        """Band of the operators of waves, lower half."""
        return BandLayout(self.wave.of_elements(self.elements.nodes), self.wave.size, general=False)

    @cached_property
    def fixed(self) -> Index:
        """Held axisymmetric unknowns, (unknowns,)."""
        fixed = self._held(self.axisymmetric, 0)
        if not self.held_axially:
            # One node holds it, with no reaction: the load of a closed body balances itself.
            middle = np.array([len(self.elements.s) // 2])
            fixed = np.append(fixed, self.axisymmetric.of("z", middle))
        return np.unique(fixed)

    @property
    def held_axially(self) -> bool:
        """Whether a support holds u_z."""
        return any("z" in support.holds for _, support in self._ends())

    @cached_property
    def held(self) -> Held:
        """Index table of the held axisymmetric unknowns."""
        return self.layout.held(self.fixed)

    def wave_fixed(self, n: int) -> Index:
        """Held unknowns of wave n; for n = 1 enough that no rigid motion is left, (unknowns,)."""
        if n == 0:
            return np.unique(np.concatenate([torsion(len(self.elements.s)), in_wave(self.fixed)]))
        fixed = self._held(self.wave, n)
        return np.unique(np.concatenate([fixed, self._gauge()]) if n == 1 else fixed)

    def wave_held(self, n: int) -> Held:
        """Index table of what is held in wave n."""
        return self._wave_held[min(n, 2)]

    @cached_property
    def _wave_held(self) -> dict[int, Held]:
        return {n: self.wave_layout.held(self.wave_fixed(n)) for n in (0, 1, 2)}

    def moved(self, x: Array) -> Array:
        """Displacements (u_r, u_z) of the nodes, (nodes, 2) [mm], of unknowns x (size,)."""
        return x[self.axisymmetric.table]

    def line(self, x: Array) -> LoadedLine:
        """The loaded face at displacements x (size,) [mm]: deformed under a follower pressure, else as it was."""
        nodes = self.elements.nodes[self.face.owner]
        position = self.elements.position[nodes]
        return loaded_line(self.face, position + self.moved(x)[nodes] if self.load.follower else position)

    def swept(self, x: Array) -> tuple[Array, Array]:
        """First and second derivative of the volume swept by the loaded face per radian, by its elements' unknowns.

        At displacements x (size,) [mm]: (sides, 16) [mm2] and (sides, 16, 16) [mm].
        """
        return swept_by_line(self.face, self.line(x), self.load.side)

    def waved(self, y: Array) -> Array:
        """Amplitudes (u_r cos, u_z cos, u_theta sin) of the nodes, (nodes, 3) [mm], of the unknowns y of a wave."""
        amplitudes = y[self.wave.table]
        amplitudes[self.on_axis, T] -= amplitudes[self.on_axis, R]
        return amplitudes

    @cached_property
    def on_axis(self) -> Index:
        """Nodes on the axis, (nodes,)."""
        return np.flatnonzero(self.elements.position[:, 0] == 0.0)

    @property
    def rings(self) -> list[Index]:
        """Nodes (nodes,) of each face that is a sliding ring."""
        return [self.elements.at_end(s) for s, support in self._ends() if support.ring]

    def holds(self, n: int) -> Iterator[tuple[str, Index]]:
        """Yield the fields that supports and the axis hold in wave n, each with its nodes (nodes,)."""
        for s, support in self._ends():
            face = self.elements.at_end(s)
            nodes = face[len(face) // 2 :][:1] if support.middle else face
            # A rigid ring slides along the axis as a whole: it is held axially in every wave.
            yield from ((field, nodes) for field in (WAVE if support.ring and n else support.holds))
        yield from ((field, self.on_axis) for field in APEX.get(n, WAVE))

    def _held(self, numbering: Numbering, n: int) -> Index:
        """Unknowns that are held in wave n, and those that a ring leaves unused."""
        held = [numbering.of(field, nodes) for field, nodes in self.holds(n) if field in numbering.fields]
        return np.concatenate([numbering.unused, *held])

    def _gauge(self) -> Index:
        """Holds of u_theta against the sideways shift, and the turn about a diameter, that supports leave in n = 1.

        They carry no force: a rigid motion has no work under a load that balances itself.
        """
        supports = [support for _, support in self._ends()]
        loose = 2
        if self.held_axially:
            loose = 1
        if any("r" in support.holds for support in supports):
            loose = 0
        middle = np.flatnonzero((np.abs(self.elements.xi) < 1e-9) & (self.elements.position[:, 0] > 0.0))
        order = middle[np.argsort(self.elements.position[middle, 1])]
        return self.wave.of("t", order[[0, -1]][:loose])

    def _ends(self) -> list[tuple[float, Support]]:
        named = zip((0.0, float(self.elements.s[-1])), self.edges, strict=True)
        return [(s, SUPPORTS[name]) for s, name in named if name is not None]


def build_solid(
    meridian: Meridian,
    metal: Metal,
    edges: tuple[str | None, str | None],
    load: Load | None = None,
    fineness: Fineness | None = None,
) -> Solid:
    """Discretise a meridian; edges are the supports of its (start, outer) edge, None on the axis.

    Raises SolveError for what a solid cannot be or what it does not take.
    """
    load, fineness = load or Load(), fineness or Fineness()
    meridian = without_jumps(meridian)
    edges = (
        None if meridian.closed_at_start else edges[0] or "free",
        None if meridian.closed_at_end else edges[1] or "free",
    )
    _check(meridian, edges, load, fineness)
    line = mesh_meridian(meridian, fineness.grading)
    elements = columns(meridian, line.vertices, fineness.layers)
    apexes = np.flatnonzero((elements.position[:, 0] == 0.0) & (np.abs(elements.xi) < 1e-9))
    return Solid(
        meridian=meridian,
        elements=elements,
        face=face_of(elements, float(load.side) if load.on == "face" else 0.0),
        metal=metal,
        edges=edges,
        load=load,
        apex=int(apexes[0]) if len(apexes) else None,
        half_thickness=0.5 * float(np.max(meridian.at_s(line.vertices).thickness)),
    )


def _check(meridian: Meridian, edges: tuple[str | None, str | None], load: Load, fineness: Fineness) -> None:
    if any(abs(piece.turn_here) > 1e-9 for piece in meridian.pieces[1:]):
        raise UnfitError("the solid has no sharp corners", "a small arc in place of the kink", "shape")
    if load.on == "middle" and fineness.layers % 2:
        raise SolveError(f"no line of element sides at the mid-surface with {fineness.layers} layers", "an even number")
    if load.axial_force:
        remedy = "axial_force = 0, or the shell alone"
        raise UnfitError("the solid takes no axial force at an edge", remedy, "loads", "axial_force")
    for key, name, s in zip(("start_edge", "outer_edge"), edges, (0.0, meridian.length), strict=True):
        if name is not None:
            _check_edge(key, name, float(np.cos(meridian.at_s(s).heading)), load)


def _check_edge(key: str, name: str, level: float, load: Load) -> None:
    """`level` is the cosine of the heading there."""
    if name not in SUPPORTS:
        raise UnfitError(f"the solid has no support '{name}'", " or ".join(SUPPORTS), "supports", key)
    if SUPPORTS[name].middle and load.on == "face":
        whole = " or ".join(each for each, support in SUPPORTS.items() if not support.middle)
        reason = f"with pressure on the wetted face the thrust of a {name} edge pulls at one corner"
        raise UnfitError(reason, whole, "supports", key)
    if name in ("free", "sleeve") and not load.end_thrust:
        reason = "the ends of the solid are closed: they carry the thrust of the pressure"
        raise UnfitError(reason, "end_thrust = true", "loads", "end_thrust")
    if name == "guided" and abs(level) > STEEPEST:
        reason = "a guided edge of the solid needs a wall along the axis"
        raise UnfitError(reason, "clamped, sleeve or a longer wall", "supports", key)
