"""The centre panel of an end, flat or gently domed outward, with an optional coined ring and step."""

import math
from dataclasses import dataclass

from buckle.errors import ShapeError
from buckle.meridian import Piece, arc, line


@dataclass(frozen=True)
class Coin:
    """Ring of reduced thickness between two radii, in which the centre steps up (+) by a height; mm."""

    inner: float
    outer: float
    thickness: float
    step_height: float = 0.0
    step_radius: float = 0.0


@dataclass(frozen=True)
class Panel:
    """Half width, radius of the dome (infinite = flat) and coined ring; mm."""

    half_width: float
    dome_radius: float = math.inf
    coin: Coin | None = None

    @property
    def edge_angle(self) -> float:
        """Slope at the edge [rad]; raises ShapeError if the dome is smaller than the panel."""
        ratio = self.half_width / self.dome_radius
        if not ratio < 1.0:
            raise ShapeError("centre panel", self.dome_radius, "dome radius too small for the panel's width")
        return math.asin(ratio)

    @property
    def rise(self) -> float:
        """Height of the centre above the edge [mm]."""
        dome = self.half_width * math.tan(0.5 * self.edge_angle)
        return dome + (self.coin.step_height if self.coin else 0.0)


def panel_pieces(panel: Panel, gauge: float) -> tuple[Piece, ...]:
    """Return the pieces from the axis to the edge of the panel."""
    whole = _plain(panel, gauge)
    coin = panel.coin
    if coin is None:
        return (whole,)
    if not coin.inner < coin.outer <= panel.half_width:
        raise ShapeError(
            "coin_outer_diameter", 2.0 * coin.outer, "must lie between coin_inner_diameter and the panel's"
        )
    cuts = [_distance(panel, coin.inner), _distance(panel, coin.outer)]
    inner = whole.part(0.0, cuts[0], (gauge, gauge))
    rim = (whole.part(cuts[1], whole.length, (gauge, gauge)),) if cuts[1] < whole.length else ()
    if coin.step_height:
        return (inner, *_step(coin, panel), *rim)
    pressed = whole.part(cuts[0], cuts[1], (coin.thickness, coin.thickness))
    return (inner, Piece(pressed.length, pressed.curvature, pressed.thickness, name="coined ring"), *rim)


def _plain(panel: Panel, gauge: float) -> Piece:
    if math.isinf(panel.dome_radius):
        return line(panel.half_width, gauge, "centre panel")
    return arc(panel.dome_radius, -panel.edge_angle, gauge, "centre panel")


def _distance(panel: Panel, radius: float) -> float:
    """Arc length from the centre to a radius."""
    flat = math.isinf(panel.dome_radius)
    return radius if flat else panel.dome_radius * math.asin(radius / panel.dome_radius)


def _step(coin: Coin, panel: Panel) -> tuple[Piece, ...]:
    """Two equal arcs that take the panel down (or up) by the step height, then the flat rest of the ring."""
    if not math.isinf(panel.dome_radius):
        raise ShapeError("coin_step_height", coin.step_height, "only a flat panel can have a step")
    share = 1.0 - 0.5 * abs(coin.step_height) / coin.step_radius
    if share < 0.0:
        most = 2.0 * coin.step_radius
        raise ShapeError(
            "coin_step_height", coin.step_height, "more than its two arcs can make", f"[-{most:g}, {most:g}] mm"
        )
    turn = math.copysign(math.acos(share), coin.step_height)
    rest = coin.outer - coin.inner - 2.0 * coin.step_radius * abs(math.sin(turn))
    if not rest > 0.0:
        raise ShapeError("coined ring", rest, "it has no length left beside its step")
    return (
        arc(coin.step_radius, -turn, coin.thickness, "coined step"),
        arc(coin.step_radius, turn, coin.thickness, "coined step"),
        line(rest, coin.thickness, "coined ring"),
    )
