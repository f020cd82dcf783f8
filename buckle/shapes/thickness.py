"""A table of thickness along a meridian in place of what its pieces say."""

from collections.abc import Sequence

import numpy as np

from buckle.errors import ShapeError
from buckle.meridian import AnyPiece, Meridian


def with_thickness(meridian: Meridian, table: Sequence[tuple[float, float]] | None) -> Meridian:
    """Return a copy whose thickness is linear between (s, thickness) pairs [mm], constant beyond the first and last.

    Pieces are split where the table bends, so that the thickness stays exactly linear on each. Raises ShapeError if s
    does not rise from pair to pair or lies off the meridian. No table leaves the meridian as it is.
    """
    if table is None:
        return meridian
    if len(table) == 0:
        raise ShapeError("thickness_at", [], "needs at least one pair", "[[s, thickness], ...]")
    s, thickness = np.array(table, dtype=np.float64).T
    if not (np.all(np.diff(s) > 0.0) and s[0] >= 0.0 and s[-1] <= meridian.length * (1.0 + 1e-12)):
        raise ShapeError("thickness_at", s.tolist(), "s must rise along the meridian", f"[0, {meridian.length:.6g}] mm")
    pieces: list[AnyPiece] = []
    for piece, start, end in zip(meridian.pieces, meridian.breaks[:-1], meridian.breaks[1:], strict=True):
        inner = s[(s > start + 1e-9 * piece.length) & (s < end - 1e-9 * piece.length)]
        cuts = np.concatenate([[start], inner, [end]])
        values = [float(t) for t in np.interp(cuts, s, thickness)]
        ends = [float(c) for c in cuts - start]
        pieces += [piece.part(ends[i], ends[i + 1], (values[i], values[i + 1])) for i in range(len(ends) - 1)]
    fields = (meridian.start, meridian.heading, meridian.inside, tuple(pieces), meridian.points, meridian.measures)
    return Meridian(*fields, meridian.gauge)
