"""Sizes of a body that make no sense together are refused, at the key that is most likely wrong and with its cause."""

from collections.abc import Mapping

from buckle.case.locator import KeyPath
from buckle.errors import ShapeError
from buckle.meridian import Meridian
from buckle.proportions import (
    LENGTH_OVER_DECAY,
    RADIUS_OVER_THICKNESS,
    SHORTEST_PIECE,
    THICKEST_OVER_THINNEST,
    THICKNESS,
    USUAL_RADIUS_OVER_THICKNESS,
    Sizes,
)

THICKNESSES = ("thickness", "gauge", "wall_gauge")
"""Dimensions of the families that are thicknesses; every other length is one of the mid-surface."""

Lengths = Mapping[KeyPath, float]


def check_sizes(meridian: Meridian, body: Sizes, lengths: Lengths) -> None:
    """Raise ShapeError for a wall that is no shell's, or a meridian far too long or short for it.

    `lengths` are those that the file gives [mm] by their internal path below [shape].
    """
    _check_thickness(body, body.thickest, lengths)
    _check_thickness(body, body.thinnest, lengths)
    if body.thickest > THICKEST_OVER_THINNEST[1] * body.thinnest:
        problem = f"{body.thickest / body.thinnest:.3g} times the thinnest wall, check the units of both"
        allowed = f"up to {THICKEST_OVER_THINNEST[1] * body.thinnest:.6g} mm"
        raise ShapeError(_thickness_key(body.thickest, lengths), body.thickest, problem, allowed)
    _check_length(body, lengths)
    _check_pieces(meridian)


def _check_thickness(body: Sizes, thickness: float, lengths: Lengths) -> None:
    low = max(THICKNESS[0], body.radius / RADIUS_OVER_THICKNESS[1])
    high = min(THICKNESS[1], body.radius / RADIUS_OVER_THICKNESS[0])
    if low <= thickness <= high:
        return
    words = "thick" if thickness > high else "thin"
    problem = f"no shell is so {words} at a widest radius of {body.radius:.6g} mm, check the unit of both"
    allowed = f"{low:.6g} to {high:.6g} mm" if low < high else "a body of millimetres to metres"
    thick, thin = USUAL_RADIUS_OVER_THICKNESS
    likely = (body.radius / thin, body.radius / thick)
    raise ShapeError(_thickness_key(thickness, lengths), thickness, problem, allowed, likely)


def _check_length(body: Sizes, lengths: Lengths) -> None:
    low, high = body.thickest, LENGTH_OVER_DECAY * body.decay
    if low <= body.length <= high:
        return
    too_long = body.length > high
    of_surface = {path: value for path, value in lengths.items() if not _is_thickness(path)}
    path = (max if too_long else min)(of_surface, key=lambda path: of_surface[path])
    words = "long" if too_long else "short"
    problem = f"makes a meridian of {body.length:.6g} mm, far too {words} for a wall of {body.thinnest:.6g} mm"
    likely = (body.thickest, high) if too_long else (body.decay, body.radius)
    raise ShapeError(_dotted(path), of_surface[path], problem, f"a meridian of {low:.6g} to {high:.6g} mm", likely)


def _check_pieces(meridian: Meridian) -> None:
    least = SHORTEST_PIECE * meridian.length
    for index, piece in enumerate(meridian.pieces):
        if piece.length < least:
            problem = f"a piece of {piece.length:.3g} mm is lost in round-off"
            raise ShapeError(piece.name or f"pieces[{index}]", piece.length, problem, f"> {least:.3g} mm, or none")


def _thickness_key(thickness: float, lengths: Lengths) -> str:
    """Return the dimension that holds a thickness, deep in the pieces of a free walk if it is there."""
    holding = (path for path, value in lengths.items() if value == thickness and _is_thickness(path))
    return _dotted(next(holding, ("thickness",)))


def _is_thickness(path: KeyPath) -> bool:
    return any(part in THICKNESSES or part == "thickness_at" for part in path)


def _dotted(path: KeyPath) -> str:
    return ".".join(map(str, path))
