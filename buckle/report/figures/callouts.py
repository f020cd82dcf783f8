"""What a drawing of a section says in words: one callout a piece, one dimension a measure, and the caption."""

import math
from dataclasses import dataclass
from itertools import groupby

from buckle.meridian import AnyPiece, Measure, Meridian, Piece
from buckle.shapes.ellipse import EllipsePiece
from buckle.units import RECORDED, Units

SEPARATOR = "   ·   "
"""What stands between the parts of a caption."""

_TIGHT = 0.14  # arcs of a radius below this part of the largest r are drawn enlarged


@dataclass(frozen=True)
class Callout:
    """A text about a stretch of the meridian, its middle and the index of its first piece."""

    text: str
    r: float
    z: float
    heading: float
    piece: int


@dataclass(frozen=True)
class Dimension:
    """A measure worked out: text and the two points it lies between; a diameter has its first point on the axis."""

    text: str
    start: tuple[float, float]
    end: tuple[float, float]


def callouts(meridian: Meridian, units: Units = RECORDED) -> tuple[Callout, ...]:
    """Return one callout for each stretch of like pieces; a text that would be said twice is said once."""
    numbered = groupby(enumerate(meridian.pieces), key=lambda one: _likeness(one[1]))
    found: dict[str, Callout] = {}
    for _, group in numbered:
        stretch = list(group)
        first, last = stretch[0][0], stretch[-1][0]
        pieces = [piece for _, piece in stretch]
        middle = meridian.at_s(0.5 * (meridian.breaks[first] + meridian.breaks[last + 1]))
        text = _text(pieces, float(middle.heading), units, known_gauge=meridian.gauge if first else None)
        found.setdefault(text, Callout(text, float(middle.r), float(middle.z), float(middle.heading), first))
    return tuple(found.values())


def dimensions(meridian: Meridian, along: str, units: Units = RECORDED) -> tuple[Dimension, ...]:
    """Return the measures 'diameter' or 'height', the smallest first."""
    made = [_dimension(meridian, measure, units) for measure in meridian.measures if measure.along == along]
    return tuple(sorted(made, key=lambda one: math.dist(one.start, one.end)))


def tight_pieces(meridian: Meridian) -> range:
    """Return the indices from the first to the last tight arc, with what lies between; empty if there is none."""
    widest = max(float(r) for r in meridian.at_s(meridian.breaks).r)
    curved = [isinstance(piece, Piece) and abs(piece.curvature) * _TIGHT * widest > 1.0 for piece in meridian.pieces]
    return range(curved.index(True), len(curved) - curved[::-1].index(True)) if any(curved) else range(0)


def caption(meridian: Meridian, density: float, units: Units = RECORDED) -> str:
    """Return gauge, mass (if the density [kg/m3] is known), volume, surface and blank in one line."""
    gauge = meridian.pieces[0].thickness[0] if meridian.gauge is None else meridian.gauge
    volume = 1e-3 * meridian.enclosed_volume
    parts = [
        f"gauge {_gauge(gauge, units)} {units.unit('mm')}",
        f"mass {meridian.mass(density):.4g} g at {density:.0f} kg/m³" if density else "",
        f"enclosed volume {volume:.4g} ml" if volume > 1e-9 else "",
        f"mid-surface {_area(meridian.surface_area, units)}",
        f"mean blank ⌀ {units.number(meridian.blank_diameter, 'mm'):.4g} {units.unit('mm')}",
    ]
    return SEPARATOR.join(part for part in parts if part)


def number(length: float, units: Units = RECORDED) -> str:
    """Return a length [mm] as a drawing tells it: in mm two decimals, three below 1; in inches two more."""
    value, more = units.number(length, "mm"), 0 if units.length == "mm" else 2
    return f"{value:.{3 + more}f}" if abs(length) < 0.9995 else f"{value:.{2 + more}f}"


def _gauge(thickness: float, units: Units) -> str:
    """Return a thickness [mm] with three decimals, four if it has them; in inches with two more."""
    value, more = units.number(thickness, "mm"), 0 if units.length == "mm" else 2
    return f"{value:.{4 + more}f}".removesuffix("0")


def _area(area: float, units: Units) -> str:
    """Return an area [mm2] in square centimetres or square inches."""
    return f"{1e-2 * area:.4g} cm²" if units.length == "mm" else f"{units.number(area, 'mm2'):.4g} in²"


def _likeness(piece: AnyPiece) -> tuple[str, float | None, bool]:
    """What two neighbours must share to be told as one: name, curvature, constancy of thickness."""
    curvature = piece.curvature if isinstance(piece, Piece) else None
    return piece.name, curvature, piece.thickness[0] == piece.thickness[1]


def _text(pieces: list[AnyPiece], heading: float, units: Units, *, known_gauge: float | None) -> str:
    thickness = pieces[0].thickness[0], pieces[-1].thickness[1]
    words = [pieces[0].name, _size(pieces, heading, units)]
    if thickness != (known_gauge, known_gauge):
        constant = thickness[0] == thickness[1]
        words.append(f"t {_gauge(thickness[0], units)}" + ("" if constant else f" to {_gauge(thickness[1], units)}"))
    return "  ".join(word for word in words if word)


def _size(pieces: list[AnyPiece], heading: float, units: Units) -> str:
    """Radius of an arc; semi-axes of an ellipse; length of a line and, if it slopes, its angle to the axis."""
    piece = pieces[0]
    if isinstance(piece, EllipsePiece):
        return f"semi-axes {number(piece.radial, units)} and {number(piece.axial, units)}"
    assert isinstance(piece, Piece)
    if piece.curvature:
        return f"R {number(1.0 / abs(piece.curvature), units)}"
    angle = math.degrees(math.atan2(abs(math.cos(heading)), abs(math.sin(heading))))
    slope = f" at {angle:.1f}°" if 0.05 < angle < 89.95 else ""
    return number(sum(one.length for one in pieces), units) + slope


def _dimension(meridian: Meridian, measure: Measure, units: Units) -> Dimension:
    first = meridian.at_s(meridian.points[measure.start])
    start = float(first.r), float(first.z)
    if measure.along == "diameter":
        return Dimension(f"{measure.name} {number(2.0 * start[0], units)}", (0.0, start[1]), start)
    last = meridian.at_s(meridian.points[measure.end])
    end = float(last.r), float(last.z)
    return Dimension(f"{measure.name} {number(abs(end[1] - start[1]), units)}", start, end)
