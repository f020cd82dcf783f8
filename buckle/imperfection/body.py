"""The body that has a deviation: its meridian, piece by piece, with the named points where they have moved to."""

import math
from dataclasses import dataclass, replace

import numpy as np

from buckle.errors import ShapeError
from buckle.imperfection.piece import DeviatedPiece
from buckle.imperfection.profile import Profile
from buckle.meridian import LEANS, Meridian

GAP = 1e-3
"""Of the thickness: a deviation at a kink moves its two sides apart by its size times the turn."""


@dataclass(frozen=True)
class Deviated:
    """A body with a deviation, and the words that tell it from others of its set; none where it is alone."""

    meridian: Meridian
    profile: Profile
    words: str = ""


def deviated(meridian: Meridian, profile: Profile, side: int) -> Meridian:
    """Return a meridian moved along its normal by a deviation, to the left of the walk (`side` 1) or the right (-1).

    It is free of stress: the body was made so. Pieces keep their names, and points stay on the metal they were on.
    Raises ShapeError where the deviation folds a piece, tears a kink open or leaves no apex.
    """
    _check_apexes(meridian, profile)
    breaks = [float(station) for station in meridian.breaks]
    pieces: list[DeviatedPiece] = []
    for index, piece in enumerate(meridian.pieces):
        offset = breaks[index]
        made = DeviatedPiece(piece, offset, profile, side, 0.0, piece.length, piece.thickness, 0.0, piece.name)
        if pieces:
            _check_kink(piece.turn_here, offset, profile, min(piece.thickness))
            turn = piece.turn_here + made.tilt(0.0) - pieces[-1].tilt(pieces[-1].end)
            made = replace(made, turn_here=turn)
        pieces.append(made)
    f = side * float(profile.values(np.zeros(1))[0][0])
    first = meridian.at(0, 0.0)
    heading = float(first.heading)
    start = (float(first.r) - f * math.sin(heading), float(first.z) + f * math.cos(heading))
    points = {name: _moved_point(meridian, pieces, s) for name, s in meridian.points.items()}
    return Meridian(
        start, heading + pieces[0].tilt(0.0), meridian.inside, tuple(pieces), points, meridian.measures, meridian.gauge
    )


def _check_apexes(meridian: Meridian, profile: Profile) -> None:
    ends = ((meridian.closed_at_start, 0.0), (meridian.closed_at_end, meridian.length))
    for s in (s for closed, s in ends if closed):
        slope = float(profile.values(np.array([s]))[1][0])
        if abs(slope) > LEANS:
            problem = f"slopes by {slope:.2g} at the apex, which would be a cone"
            raise ShapeError("deviation", None, problem, "one that is level there: on the axis, or far from it")


def _moved_point(meridian: Meridian, pieces: list[DeviatedPiece], s: float) -> float:
    """Arc length on the deviated meridian of a point of the perfect one."""
    index = int(np.clip(np.searchsorted(meridian.breaks, s, side="right") - 1, 0, len(pieces) - 1))
    before = sum(piece.length for piece in pieces[:index])
    return before + pieces[index].distance_of(s - float(meridian.breaks[index]))


def _check_kink(turn: float, at: float, profile: Profile, thickness: float) -> None:
    moved = abs(float(profile.values(np.array([at]))[0][0]))
    if abs(turn) * moved > GAP * thickness:
        problem = f"moves the kink at {at:.4g} mm by {moved:.3g} mm, which would tear it open"
        raise ShapeError("deviation", None, problem, "one that has died out at every kink")
