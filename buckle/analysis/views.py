"""What is kept of solved states: path table, sections, modes, balance, a description of the discretisation."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from buckle.analysis.movement import Movement, movement_of
from buckle.analysis.setup import Level
from buckle.results import WIDEN, Balance, MidSurface, Mode, PathStates, PlasticStrain
from buckle.shell.elements import DEGREE
from buckle.shell.model import Model, Shell
from buckle.shell.operators import Evaluation, residual
from buckle.shell.recovery import displacements, sampled, wave_displacements
from buckle.shell.supports import SUPPORTS
from buckle.solve.path import PathPoint

OUTSIDE = "waves outside the range examined have begun by then, n = "


def path_table(model: Model, points: Sequence[PathPoint]) -> PathStates:
    """Columns of the path, one row a state."""
    shell, side = model.shell, model.load.side
    stations, movement = sampled(shell), movement_of(model)
    rest, axial = _enclosed(stations, side, np.zeros(shell.size)), shell.elements.axisymmetric.values("w")[0]
    rows = [
        (
            point.load_factor,
            float(point.at.x[axial]),
            movement.growth(point.at.x),
            _enclosed(stations, side, point.at.x) - rest,
            0.0 if point.at.history is None else float(np.max(point.at.history.equivalent)),
            float(point.iterations),
        )
        for point in points
    ]
    drops = [stand_drop(movement, point.at.x) for point in points]
    table = PathStates(*np.array(rows).T)
    return table if None in drops else replace(table, stand_drop=np.array(drops))


def stand_drop(movement: Movement, x: np.ndarray) -> float | None:
    """How far the stand of a domed base has gone out [mm] at x (size,); None for a body that stands on no ring."""
    ring = movement.ring
    return movement.ring_travel(x) if ring is not None and ring.ahead else None


def _enclosed(stations: Shell, side: int, x: np.ndarray) -> float:
    """Volume [mm3] on the pressure side of the deformed mid-surface, up to a constant."""
    at, moved = stations.elements.station, displacements(stations.elements, x)
    r, z = at.r + moved.u, at.z + moved.w
    return float(side * np.pi * np.sum(0.5 * (r[1:] ** 2 + r[:-1] ** 2) * np.diff(z)))


def section_view(shell: Shell, at: Evaluation, load: float, name: str) -> MidSurface:
    """Deformed mid-surface at a state under a load."""
    elements = sampled(shell).elements
    moved = displacements(elements, at.x)
    return MidSurface(name, load, elements.station.r + moved.u, elements.station.z + moved.w)


def undeformed(shell: Shell, name: str) -> MidSurface:
    """Mid-surface before anything acts, what stays constant included."""
    station = sampled(shell).elements.station
    return MidSurface(name, 0.0, station.r, station.z)


def point_section(shell: Shell, point: PathPoint, name: str) -> MidSurface:
    """Deformed mid-surface at a state of the path."""
    return section_view(shell, point.at, point.load_factor, name)


def plastic_strain_view(shell: Shell, inside: str, at: Evaluation) -> PlasticStrain | None:
    """Equivalent plastic strain of a state along the meridian; None of an elastic one.

    `inside` is the side of the walk ('left' or 'right') on which the container's inside lies. The values are those of
    the layer points: the outermost layers, and in the middle the mean of the two layers on either side of it.
    """
    if at.history is None:
        return None
    order = np.argsort(shell.wall.xi)  # from the right face of the walk to the left one
    layers = at.history.equivalent[:, order].T
    half = len(order) // 2  # an even number of layers, half of them on each side of the middle
    faces = np.stack([layers[0], 0.5 * (layers[half - 1] + layers[half]), layers[-1]])
    points = shell.elements
    equivalent = faces[::-1] if inside == "left" else faces
    return PlasticStrain(points.s, points.station.r, points.station.z, equivalent)


def mode_view(shell: Shell, mode: np.ndarray, n: int, load: float) -> Mode:
    """Read a buckling mode along the meridian, its largest displacement made one.

    The mode (size,) [mm, rad] may be of any size.
    """
    elements = sampled(shell).elements
    moved = wave_displacements(elements, mode)
    fields = np.stack([moved.u, moved.v, moved.w])
    u, v, w = fields / fields.ravel()[np.argmax(np.abs(fields))]
    return Mode(n, load, elements.station.r, elements.station.z, u, v, w)


def mode_peak(shell: Shell, mode: np.ndarray) -> tuple[str, float]:
    """Name of the piece of the meridian in which a buckling mode moves most, and the radius [mm] of that place.

    The mode (size,) [mm, rad] may be of any size.
    """
    elements = sampled(shell).elements
    moved = wave_displacements(elements, mode)
    most = int(np.argmax(moved.u**2 + moved.v**2 + moved.w**2))
    return elements.mesh.meridian.piece_at(float(elements.s[most])).name, float(elements.station.r[most])


def axial_balance(model: Model, at: Evaluation, load_factor: float) -> Balance:
    """Axial force of pressure on the wall and at its edge against what the supports carry [N].

    Where an edge is held axially, the thrust of a closing end there is no load on the wall: it goes straight into
    the support and counts on neither side.
    """
    vertices, pressure = model.shell.elements.axisymmetric.values("w"), model.load.pressure(load_factor)
    held = np.intersect1d(vertices, model.supports.fixed)
    thrust = sum(
        (1 if end else -1) * model.load.side * pressure * 0.5 * float(model.shell.elements.vertex_radius[end]) ** 2
        for end, name in model.supports.edges.items()
        if "w" in SUPPORTS[name]
    )
    applied = load_factor * float(np.sum(at.increasing[vertices])) + float(np.sum(at.constant[vertices])) - thrust
    reaction = float(np.sum(residual(at, load_factor)[held])) + thrust
    return Balance(2.0 * np.pi * applied, 2.0 * np.pi * reaction)


def yielded_at(shell: Shell, point: PathPoint) -> str:
    """Name of the piece where the largest plastic strain stands; empty when nothing has yielded."""
    history = point.at.history
    if history is None or not np.any(history.equivalent):
        return ""
    deepest = int(np.argmax(history.equivalent.max(axis=1)))
    return shell.elements.mesh.meridian.piece_at(float(shell.elements.s[deepest])).name


def describe(model: Model, level: Level) -> dict[str, object]:
    """Discretisation in words and numbers, to travel with the result."""
    stand = {} if model.supports.ring is None else {"stand": model.supports.ring.support}
    return {
        "elements": model.shell.elements.mesh.count,
        "degree": DEGREE,
        "layers": len(model.shell.wall.xi),
        "mesh_density": level.mesh,
        "step": level.step,
        "strain": type(model.shell.wall.measure).__name__.lower(),
        "supports": {("start" if end == 0 else "outer"): name for end, name in model.supports.edges.items()} | stand,
    }


def outside_note(wave_numbers: Sequence[int]) -> tuple[str, ...]:
    """Warn of wave numbers outside the range examined in which waves have begun, or will lower the result."""
    if not wave_numbers:
        return ()
    some = ", ".join(str(n) for n in wave_numbers[:3]) + (" ..." if len(wave_numbers) > 3 else "")
    return (f"{OUTSIDE}{some}: {WIDEN}",)
