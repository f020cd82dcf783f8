"""The parts of a container as one body: how they meet, and the body from where it stands up to its brim."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from buckle.case import Case
from buckle.case.keys import Finding
from buckle.container.container import Container
from buckle.container.models import END
from buckle.container.parts import SAME, UPRIGHT, Part, cut, joined, lean_of, without_stub
from buckle.container.volume import SEAM
from buckle.meridian import AnyPiece, Meridian, Piece
from buckle.shapes import FAMILIES

MEETS = 1e-3
"""mm and rad by which two stretches of a body may miss each other: a slip of a dimension is larger."""


@dataclass(frozen=True)
class Body:
    """All but the end as one walk from the axis to the brim; `parts` are its stretches by arc length [mm]."""

    meridian: Meridian
    parts: Mapping[str, tuple[float, float]]


def meeting_findings(container: Container) -> Iterator[Finding]:
    """Yield which parts do not meet, by their paths below [parts]."""
    stretches = [(name, case) for name, case in container.parts.items() if name != END]
    base = container.parts.get("base")
    if base is not None and abs(lean_of(_foot(base))) > UPRIGHT:
        lean = math.degrees(lean_of(_foot(base)))
        yield Finding(("base", "shape"), "does not end in an upright wall", lean, "0 deg from the axis at its edge")
        return
    for (below, lower), (above, upper) in pairwise(stretches):
        end, start = _foot(lower).at_s(_foot(lower).length), upper.meridian.at_s(0.0)
        if abs(float(end.r) - float(start.r)) > MEETS:
            problem = f"does not meet the {below}, whose radius is {float(end.r):.6g} mm there"
            yield Finding((above, "shape"), problem, float(start.r), f"{float(end.r):.6g} mm at its start")
        elif abs(math.remainder(float(end.heading) - float(start.heading), 2.0 * math.pi)) > MEETS:
            lean = math.degrees(float(end.heading))
            problem = f"does not go on as the {below} ends, at {lean:.6g} deg"
            yield Finding((above, "shape"), problem, math.degrees(float(start.heading)), f"{lean:.6g} deg at its start")
    for name, case in stretches[1:]:
        if case.meridian.inside != stretches[0][1].meridian.inside:
            yield Finding((name, "shape"), "its inside is on the other side of the walk", case.meridian.inside, "left")


def body_of(container: Container) -> Body | None:
    """Return base, wall and neck as one walk; None without a base.

    The base ends at the foot of its wall; as far as its thickness changes above, that counts in place of the wall's.
    """
    cases = {name: case for name, case in container.parts.items() if name != END}
    if "base" not in cases:
        return None
    base = cases.pop("base")
    foot = _foot(base)
    stretches: dict[str, Sequence[AnyPiece]] = {}
    for name, case in cases.items():
        above = case.meridian.pieces if stretches else _with_blend(base.meridian, foot, case.meridian)
        stretches[name] = (_going_on(above[0]), *above[1:])
    whole = joined(foot, stretches)
    ends = [0.0, foot.length, *(whole.points[name] for name in stretches)]
    return Body(whole, dict(zip(("base", *stretches), pairwise(ends), strict=True)))


def metal_of_parts(container: Container) -> tuple[Part, ...]:
    """Return every part cut where it ends, with its own metal; no stub of a neighbour is among them."""
    body = body_of(container)
    stretches = {} if body is None else body.parts
    made = []
    for name, case in container.parts.items():
        if body is not None and name in stretches:
            meridian = cut(body.meridian, *stretches[name])
        else:
            meridian = without_stub(case.meridian, FAMILIES[case.family])
        made.append(Part(name, meridian, case.material.density))
    return tuple(made)


def standing_parts(container: Container) -> tuple[Part, ...]:
    """Return every part where it stands in the whole: the first as it is, each other on the one below.

    The end hangs from its edge, `seam_drop` below the brim.
    """
    made: list[Part] = []
    top = 0.0
    for part in metal_of_parts(container):
        ends = part.meridian.at_s([0.0, part.meridian.length]).z
        meets, leaves = (ends[1], ends[1]) if part.name == END else (ends[0], ends[1])
        drop = container.whole.seam_drop if part.name == END else 0.0
        rise = float(top - drop - meets) if made else 0.0
        made.append(replace(part, meridian=_risen(part.meridian, rise)))
        top = float(leaves) + rise
    return tuple(made)


def _risen(meridian: Meridian, by: float) -> Meridian:
    return replace(meridian, start=(meridian.start[0], meridian.start[1] + by))


def closes(body: Body, end: Case) -> bool:
    """Tell whether an end's edge meets the brim of a body, as closely as a seam is wide."""
    return abs(_edge(end.meridian) - _edge(body.meridian)) <= SEAM


def _edge(meridian: Meridian) -> float:
    return float(meridian.at_s(meridian.length).r)


def _foot(case: Case) -> Meridian:
    """The part without the piece of its neighbour that it was given as a support."""
    return without_stub(case.meridian, FAMILIES[case.family])


def _going_on(piece: AnyPiece) -> AnyPiece:
    """The piece without a kink before it: it goes on as the part below ends."""
    return replace(piece, turn_here=0.0) if isinstance(piece, Piece) else piece


def _with_blend(base: Meridian, foot: Meridian, above: Meridian) -> tuple[AnyPiece, ...]:
    """Return the pieces of what stands on a base, in the thickness of the base's stub as far as that changes."""
    if base.length - foot.length <= SAME:
        return above.pieces
    stub = cut(base, foot.length, base.length)
    changing = [at for at, piece in enumerate(stub.pieces) if piece.thickness[0] != piece.thickness[1]]
    blend = float(stub.breaks[changing[-1] + 1]) if changing else 0.0
    if blend <= SAME or blend >= above.length - SAME:
        return above.pieces
    return (*cut(stub, 0.0, blend).pieces, *cut(above, blend, above.length).pieces)
