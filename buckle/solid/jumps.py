"""Jumps of thickness between pieces of a meridian, which a solid has no place for."""

from dataclasses import replace

from buckle.meridian import AnyPiece, Meridian


def without_jumps(meridian: Meridian) -> Meridian:
    """Return the meridian with every jump of thickness spread over a stretch as long as the jump is high.

    Half of it lies on either side, so that the volume of metal stays; a node at a jump would have two places.
    """
    pieces = list(meridian.pieces)
    out: list[AnyPiece] = []
    for index, piece in enumerate(pieces):
        before = pieces[index - 1].thickness[1] if index else piece.thickness[0]
        after = pieces[index + 1].thickness[0] if index + 1 < len(pieces) else piece.thickness[1]
        out += _tapered(piece, before, after)
    if len(out) == len(pieces):
        return meridian
    return replace(meridian, pieces=tuple(out))


def _tapered(piece: AnyPiece, before: float, after: float) -> list[AnyPiece]:
    """Piece whose thickness goes half way to that of its neighbours at its ends."""
    first, last = piece.thickness
    jumps = [before - first, after - last]
    jumps = [jump if abs(jump) > 1e-9 * max(first, last) else 0.0 for jump in jumps]
    if not any(jumps):
        return [piece]
    reach = [min(0.5 * abs(jump), 0.25 * piece.length) for jump in jumps]
    cuts = [0.0, reach[0], piece.length - reach[1], piece.length]
    inner = [first + (last - first) * cut / piece.length for cut in cuts]
    ends = [first + 0.5 * jumps[0], inner[1], inner[2], last + 0.5 * jumps[1]]
    return [piece.part(cuts[i], cuts[i + 1], (ends[i], ends[i + 1])) for i in range(3) if cuts[i + 1] > cuts[i]]
