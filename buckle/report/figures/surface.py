"""The critical mode as a body seen from outside: shaded in greys, so that it says the same in black and white."""

from dataclasses import dataclass

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure

from buckle.case import Case
from buckle.report.figures.labels import load_text
from buckle.report.figures.plot import add_title, new_figure
from buckle.report.figures.style import GUIDE, STYLE
from buckle.results import Array, Mode
from buckle.shapes import FAMILIES
from buckle.units import RECORDED, Units

ALONG, PER_WAVE, AROUND = 56, 12, 120  # patches along the meridian, at least so many in a wave and around
ACTIVE = 0.02  # what moves less than this part of the largest displacement may be left out of sight
SIZE = 0.10  # largest displacement as drawn, as a part of the largest radius shown
_EYE = np.radians(52.0)  # between the axis and the line of sight
_LIGHT = np.array([-0.35, 0.45, 0.82])  # towards the light: right, up, to the eye
_DARK, _BRIGHT = 0.25, 0.97  # greys of patches that turn away from the light and into it
_WIDE = 6.4  # in, the picture


@dataclass(frozen=True, eq=False)
class View:
    """Corners of the patches seen by the eye (rows, columns, 3): right, up and towards it, in mm."""

    corners: Array

    @property
    def patches(self) -> Array:
        """The four corners of every patch, (patches, 4, 3), those that are near last: they cover what is far."""
        c = self.corners
        quads = np.stack([c[:-1, :-1], c[1:, :-1], c[1:, 1:], c[:-1, 1:]], axis=2).reshape(-1, 4, 3)
        return quads[np.argsort(quads[:, :, 2].mean(axis=1), kind="stable")]


def draw_surface(case: Case, kind: str, mode: Mode, units: Units = RECORDED) -> Figure:
    """Return the picture of a mode with a bar of round length for scale."""
    patches = _seen(case, mode).patches
    low, high = patches[:, :, :2].min(axis=(0, 1)), patches[:, :, :2].max(axis=(0, 1))
    height = _WIDE * float((high[1] - low[1]) / (high[0] - low[0]))
    with matplotlib.rc_context(dict(STYLE)):
        figure = new_figure(_WIDE + 0.4, height + 1.35)
        which = f"{kind}, n = {mode.wave_number}, {load_text(mode, units)}; displacements have no size"
        side = "from below" if _from_below(case) else "from above"
        add_title(figure, case.title, f"Critical mode seen {side}, enlarged. {which}")
        wide, tall = _WIDE + 0.4, height + 1.35
        axes = figure.add_axes((0.2 / wide, 0.55 / tall, _WIDE / wide, height / tall))
        axes.set_xlim(low[0], high[0])
        axes.set_ylim(low[1], high[1])
        add_patches(axes, patches)
        add_scale(figure, per_inch=float(high[0] - low[0]) / _WIDE, units=units)
    return figure


def add_patches(axes: Axes, patches: Array) -> None:
    """Draw shaded patches (patches, 4, 3) in their order on axes without a frame."""
    axes.set_axis_off()
    greys = np.repeat(_shades(patches)[:, None], 3, axis=1)
    # Without smoothing no hairline shows between neighbours, and the picture takes half the time.
    axes.add_collection(
        PolyCollection(list(patches[:, :, :2]), facecolors=greys, linewidths=0.0, antialiaseds=False, rasterized=True)
    )


def _from_below(case: Case) -> bool:
    """A base is looked at from where it stands; everything else from above."""
    return FAMILIES[case.family].from_below


def _seen(case: Case, mode: Mode) -> View:
    r, z, u, v, w = _stations(mode)
    around = max(AROUND, PER_WAVE * mode.wave_number)
    theta = np.linspace(0.0, 2.0 * np.pi, around + 1)
    wave, slope = np.cos(mode.wave_number * theta), np.sin(mode.wave_number * theta)
    factor = SIZE * float(np.max(r)) / float(np.max(np.abs([u, v, w])))
    radius = r[:, None] + factor * u[:, None] * wave
    sideways = factor * v[:, None] * slope
    return looked_at(case, theta, (radius, sideways, z[:, None] + factor * w[:, None] * wave))


def looked_at(case: Case, theta: Array, moved: tuple[Array, Array, Array]) -> View:
    """Return what the eye sees of a body whose points at angles (columns,) lie at a radius, sideways and up [mm]."""
    radius, sideways, up = moved
    x = radius * np.cos(theta) - sideways * np.sin(theta)
    y = radius * np.sin(theta) + sideways * np.cos(theta)
    if _from_below(case):
        up, y = -up, -y
    # The axis leans towards the eye, which looks along the third direction.
    return View(np.stack([x, y * np.cos(_EYE) + up * np.sin(_EYE), up * np.cos(_EYE) - y * np.sin(_EYE)], axis=2))


def _stations(mode: Mode) -> tuple[Array, ...]:
    """Return the part of the meridian that moves, and what lies inside it, at evenly spread stations."""
    size = np.sqrt(mode.u**2 + mode.v**2 + mode.w**2)
    moving = np.flatnonzero(size >= ACTIVE * np.max(size))
    last = min(int(moving[-1]) + 1, len(size) - 1)
    s = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(mode.r), np.diff(mode.z)))])
    at = np.linspace(0.0, s[last], ALONG + 1)
    return tuple(np.interp(at, s, values) for values in (mode.r, mode.z, mode.u, mode.v, mode.w))


def _shades(patches: Array) -> Array:
    """Return the grey of each patch by how its face stands to the light, whichever side is seen."""
    normal = np.cross(patches[:, 2] - patches[:, 0], patches[:, 3] - patches[:, 1])
    normal *= np.where(normal[:, 2:] < 0.0, -1.0, 1.0)
    length = np.linalg.norm(normal, axis=1)
    lit = (normal @ _LIGHT) / np.where(length > 0.0, length, 1.0) / np.linalg.norm(_LIGHT)
    return _DARK + (_BRIGHT - _DARK) * np.clip(lit, 0.0, 1.0) ** 1.5


def add_scale(figure: Figure, per_inch: float, units: Units) -> None:
    """Draw a bar of 1, 2 or 5 times a power of ten of a reader's unit, about an inch and a half long on paper."""
    shown = units.number(1.5 * per_inch, "mm")
    power = 10.0 ** np.floor(np.log10(shown))
    length = float(max(step for step in (power, 2.0 * power, 5.0 * power) if step <= shown))
    wide, tall = figure.get_size_inches()
    axes = figure.add_axes((0.2 / wide, 0.12 / tall, 1.5 * length / shown / wide, 0.12 / tall))
    axes.set_axis_off()
    axes.plot([0.0, 0.0, 1.0, 1.0], [1.0, 0.0, 0.0, 1.0], color="0.0", linewidth=1.0, clip_on=False)
    axes.set_xlim(0.0, 1.0)
    axes.set_ylim(-0.2, 1.2)
    axes.annotate(
        f"{length:g} {units.unit('mm')}", (1.0, 0.4), (6, 0), textcoords="offset points", va="center", color=GUIDE
    )
