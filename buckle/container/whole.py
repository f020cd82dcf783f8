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
    if base is not None and abs(lean_of(_own(base))) > UPRIGHT:
        lean = math.degrees(lean_of(_own(base)))
        yield Finding(("base", "shape"), "does not end in an upright wall", lean, "0 deg from the axis at its edge")
        return
    for (below, lower), (above, upper) in pairwise(stretches):
        end, start = _own(lower).at_s(_own(lower).length), _own(upper).at_s(0.0)
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

    The base ends at the foot of its wall and the neck begins at its shoulder; as far as their thickness changes in the
    wall that their cases look at, that counts in place of the wall's.
    """
    cases = {name: case for name, case in container.parts.items() if name != END}
    if "base" not in cases:
        return None
    base = cases.pop("base")
    foot = _own(base)
    names = list(cases)
    stretches: dict[str, Sequence[AnyPiece]] = {}
    for at, name in enumerate(names):
        own = _own(cases[name])
        if at + 1 < len(names):
            own = _blended_above(own, cases[names[at + 1]])
        if at == 0:
            own = _blended_below(own, base.meridian, foot)
        stretches[name] = (_going_on(own.pieces[0]), *own.pieces[1:])
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


def _own(case: Case) -> Meridian:
    """The part without the piece of its neighbour that it was given as a support."""
    return without_stub(case.meridian, FAMILIES[case.family])


def _going_on(piece: AnyPiece) -> AnyPiece:
    """The piece without a kink before it: it goes on as the part below ends."""
    return replace(piece, turn_here=0.0) if isinstance(piece, Piece) else piece


def _blended_below(part: Meridian, base: Meridian, foot: Meridian) -> Meridian:
    """Return what stands on a base, in the thickness of the base's stub as far as that changes."""
    if base.length - foot.length <= SAME:
        return part
    stub = cut(base, foot.length, base.length)
    changing = _changing(stub)
    blend = float(stub.breaks[changing[-1] + 1]) if changing else 0.0
    if blend <= SAME or blend >= part.length - SAME:
        return part
    return _in_turn(cut(stub, 0.0, blend), cut(part, blend, part.length))


def _blended_above(part: Meridian, above: Case) -> Meridian:
    """Return a part, in the thickness of the stub of it that the part above carries as far as that changes."""
    to = FAMILIES[above.family].stub_to
    if not to:
        return part
    stub = cut(above.meridian, 0.0, above.meridian.points[to])
    changing = _changing(stub)
    blend = stub.length - float(stub.breaks[changing[0]]) if changing else 0.0
    if blend <= SAME or blend >= part.length - SAME:
        return part
    return _in_turn(cut(part, 0.0, part.length - blend), cut(stub, stub.length - blend, stub.length))


def _changing(stub: Meridian) -> list[int]:
    """Which pieces of a stub change their thickness."""
    return [at for at, piece in enumerate(stub.pieces) if piece.thickness[0] != piece.thickness[1]]


def _in_turn(first: Meridian, second: Meridian) -> Meridian:
    """One walk of two, of which the second goes on as the first ends."""
    return replace(first, pieces=(*first.pieces, _going_on(second.pieces[0]), *second.pieces[1:]), points={})
