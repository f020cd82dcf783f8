"""Modes of LBA of the elements that are followed: how large a deviation they are, and the body without waves."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from buckle.analysis.setup import ELASTIC_LAYERS, Run, model_of
from buckle.errors import SolveError
from buckle.imperfection.body import Deviated, deviated
from buckle.imperfection.profile import through
from buckle.landmarks import push
from buckle.shell.elements import Elements, sampled_elements
from buckle.shell.model import Model, Shell, layer_rule
from buckle.shell.recovery import wave_displacements
from buckle.shell.strain import SMALL
from buckle.shell.wall import layered_wall
from buckle.solve.linear import linear_mode
from buckle.units import length_text

Array = NDArray[np.float64]
PER_ELEMENT = 12
"""Stations of an element through which the deviation along the meridian goes."""
FINER = 3.0
"""Mesh for that: where elements meet, the slope of their displacements jumps a little, which a spline would take for
bending; with so fine a mesh the bending of a known mode is met to 1 % (a test)."""
A_TWIST = 1e-6
"""Of a mode's movement: what moves less than that off the shape only turns it about its axis."""


def linear_model(model: Model) -> Model:
    """Return the same elements with the same numbers as LBA takes them: metal that never yields and moves little.

    Raises SolveError for a shell of several metals.
    """
    shell = model.shell
    if shell.wall.zones or shell.spring is not None:
        raise SolveError("modes are taken of a wall of one metal without a seam", "each part by itself")
    elastic = replace(shell.wall.material, hardening=None)
    wall = layered_wall(elastic, shell.elements, layer_rule(elastic, ELASTIC_LAYERS), SMALL)
    return replace(model, shell=Shell(shell.elements, wall))


def axisymmetric(run: Run, amplitude: float, index: int = 0) -> Deviated:
    """Return the body that deviates along its meridian in a mode of LBA without waves, by an amplitude [mm].

    That is the largest distance from the perfect shape, and where that is the deviation is towards the side away from
    the pressure if it is positive. Raises SolveError where there is no such mode, ShapeError for one that is no body.
    """
    meridian = run.case.meridian
    s, w = _along(run, index)
    profile = through(s, amplitude * w, (meridian.closed_at_start, meridian.closed_at_end))
    words = f"the mode without waves, {length_text(abs(amplitude))} {'with' if amplitude > 0.0 else 'against'}"
    side = int(push(meridian, run.case.loads.pressure_side))
    return Deviated(deviated(meridian, profile, side), profile, f"{words} the pressure where it is largest")


def along_amplitude(run: Run, rms_walls: float, index: int = 0) -> float:
    """Largest distance from the shape [mm] of a mode without waves that has so many walls as its root mean square."""
    s, w = _along(run, index)
    at = run.case.meridian.at_s(s)
    return rms_walls / float(np.sqrt(np.trapezoid(at.r * (w / at.thickness) ** 2, s) / np.trapezoid(at.r, s)))


def _along(run: Run, index: int) -> tuple[Array, Array]:
    """Arc lengths of close stations from end to end [mm], and how far a mode moves off the shape there, at most 1."""
    model = model_of(run.at(replace(run.level, mesh=FINER * run.level.mesh)))
    mode = linear_mode(linear_model(model), 0, index).mode
    stations = sampled_elements(model.shell.elements, PER_ELEMENT + 1)
    kept = np.arange(len(stations.s)) % (PER_ELEMENT + 1) < PER_ELEMENT  # where one element ends another starts
    kept[-1] = True
    s, w = stations.s[kept], off_shape(stations, mode)[kept]
    ends = ((0, 1, 0.0), (-1, -2, run.case.meridian.length))  # of the walk, which no station is at
    for end, beside, at in ends:
        w[end] += (at - s[end]) * (w[end] - w[beside]) / (s[end] - s[beside])
        s[end] = at
    return s, w / w[np.argmax(np.abs(w))]


def off_shape(elements: Elements, mode: Array) -> Array:
    """Movement of a mode square to the shape, to the left of the walk, at points of elements, (points,) [mm].

    Raises SolveError for one that only twists the body.
    """
    moved, w = wave_displacements(elements, mode), left_of(elements, mode)
    if np.max(np.abs(w)) < A_TWIST * max(np.max(np.abs(moved.v)), np.max(np.hypot(moved.u, moved.w))):
        raise SolveError("a mode that only twists the body is no deviation from its shape", "another mode")
    return w


def left_of(elements: Elements, mode: Array) -> Array:
    """Movement of a mode to the left of the walk at points of elements, (points,) [mm]."""
    moved, heading = wave_displacements(elements, mode), elements.station.heading
    w: Array = moved.w * np.cos(heading) - moved.u * np.sin(heading)
    return w


def amplitude_of(model: Model, mode: Array, wave_number: int, rms_walls: float) -> float:
    """Factor [-] on a mode (size,) [mm, rad] by which its distance from the shape is so many walls.

    That is the root mean square over the surface.
    """
    around = 0.5 if wave_number else 1.0  # the square of a cosine is a half in the mean
    at, w = model.shell.elements, off_shape(model.shell.elements, mode)
    area = at.station.r * at.length
    return rms_walls / float(np.sqrt(around * np.sum(area * (w / at.station.thickness) ** 2) / np.sum(area)))
