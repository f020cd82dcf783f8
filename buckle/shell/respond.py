"""What the points of a shell of several metals answer: each zone with its own, put together."""

import numpy as np
from numpy.typing import NDArray

from buckle.shell.model import Shell
from buckle.shell.points import Answer, History, Layers, Line, respond
from buckle.shell.wall import Zone

Array = NDArray[np.float64]
PAIRED = ("strain", "stress", "tau", "metric")
"""What has its points along the second axis, behind that of a pair."""


def respond_by_zones(shell: Shell, history: History, q: Array) -> Answer:
    """Take all points from a history to the fields q (points, 5) [mm, -, rad, rad/mm], each by its zone's metal."""
    found = [_respond(shell, zone, history, q) for zone in shell.wall.zones]
    parts = {name: _joined(name, [getattr(each, name) for each in found]) for name in Answer._fields[1:-1]}
    histories = [each.history for each in found]
    kept = {name: _joined(name, [getattr(each, name) for each in histories]) for name in History._fields}
    return Answer(history=History(**kept), **parts, sound=all(each.sound for each in found))


def _respond(shell: Shell, zone: Zone, history: History, q: Array) -> Answer:
    """What one zone answers; compiled code takes whole arrays, so that parts of them are copied."""
    points, wall = zone.points, zone.wall
    line = Line(*(np.ascontiguousarray(each[points]) for each in shell.line))
    layers = Layers(*(np.ascontiguousarray(each) for each in wall.layers))
    own = History(*(_part(name, getattr(history, name), points) for name in History._fields))
    return respond(line, layers, wall.metal, own, np.ascontiguousarray(q[points]))


def _part(name: str, array: Array, points: slice) -> Array:
    return np.ascontiguousarray(array[:, points] if name in PAIRED else array[points])


def _joined(name: str, arrays: list[Array]) -> Array:
    return np.concatenate(arrays, axis=1 if name in PAIRED else 0)
