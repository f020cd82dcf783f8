"""Pictures that only the margin sheet needs: material curve, magnified sections, place on the capacity curve, mode."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from buckle.case import Case
from buckle.record.holding import holding_of
from buckle.record.quantities import Fields
from buckle.record.sheet.ladder import OnCurve, dome_curve, on_curve
from buckle.record.sheet.sensitivities import sensitivities_of
from buckle.record.states import REQUIRED, SERVICE, UNLOADED, deformed_states
from buckle.report.figures.demand import draw_demand
from buckle.report.figures.labels import length_text, load_text
from buckle.report.figures.panel import Box
from buckle.report.figures.plot import Named, add_axes, add_title, name_values, new_figure
from buckle.report.figures.sensitivities import draw_sensitivities
from buckle.report.figures.shapes import add_shape_panels, around, view_of
from buckle.report.figures.style import GUIDE, STYLE
from buckle.report.figures.surface import draw_surface
from buckle.results import MidSurface, Mode, Outcome
from buckle.units import RECORDED, Units

STRAIN = 0.10  # plastic strain up to which the material curve is drawn
WIDEST = 0.12  # largest travel in the magnified picture, as a part of the wide side of the body
LEAST = 2.0  # smallest magnification; what travels farther than WIDEST as it is, the true scale shows
MOVING = 0.2  # what moves less than this part of the largest travel is left out of sight
_STEPS = np.array([1.0, 2.0, 5.0])
_LINE: dict[str, Any] = {"color": "0.0", "linewidth": 1.3}
_THIN: dict[str, Any] = {"color": GUIDE, "linewidth": 1.0, "linestyle": (0, (8, 4))}


def sheet_figures(
    case: Case, outcomes: Sequence[Outcome], recorded: Fields, units: Units = RECORDED
) -> Iterator[tuple[str, Figure]]:
    """Yield the pictures that the outcomes have something to show for, with their names."""
    if case.material.hardening is not None:
        yield "material", draw_material(case)
    if case.demand is not None:
        yield "demand", draw_demand(case, holding_of(recorded), units)
    where = on_curve(recorded)
    if where is not None:
        yield "capacity", draw_on_curve(case, where)
    made = sensitivities_of(recorded)
    if made is not None and made.effects:
        yield "sensitivities", draw_sensitivities(case.title, made)
    deciding = _deciding(outcomes)
    if deciding is not None:
        yield "magnified", draw_magnified(case, *deciding, units)
    critical = critical_mode(outcomes)
    if critical is not None:
        yield "mode", draw_surface(case, *critical, units)


def critical_mode(outcomes: Sequence[Outcome]) -> tuple[str, Mode] | None:
    """Return the mode of the most complete analysis that has one, with its kind."""
    found = {outcome.kind: outcome.modes[0] for outcome in outcomes if outcome.modes}
    return next(((kind, found[kind]) for kind in ("GMNIA", "GMNA", "GNIA", "GNA", "LBA") if kind in found), None)


def draw_material(case: Case) -> Figure:
    """Return true stress against plastic strain as the plastic analyses used it."""
    hardening = case.material.hardening
    assert hardening is not None
    strain = np.linspace(0.0, STRAIN, 201)
    stress = hardening.stress_and_slope(strain)[0]
    with matplotlib.rc_context(dict(STYLE)):
        figure = new_figure(6.2, 3.0)
        words = f"Material curve; elastic up to the yield stress with E = {case.material.youngs_modulus:.6g} MPa"
        add_title(figure, case.title, words)
        axes = add_axes(figure, (0.65, 0.5, 4.6, 2.4))
        axes.plot(np.concatenate([[0.0], strain]), np.concatenate([[0.0], stress]), **_LINE)
        axes.set_xlim(0.0, STRAIN)
        axes.set_ylim(0.0, 1.15 * float(np.max(stress)))
        axes.set_xlabel("plastic strain, true  [–]")
        axes.set_ylabel("true stress  [MPa]")
        last = float(stress[-1])
        ends = [Named(hardening.yield_stress, f"{hardening.yield_stress:.4g} MPa  yield", 0.0)]
        if last > hardening.yield_stress * (1.0 + 1e-6):
            ends.append(Named(last, f"{last:.4g} MPa  at {STRAIN:.2f}"))
        name_values(axes, ends)
    return figure


def draw_on_curve(case: Case, where: OnCurve) -> Figure:
    """Return the governing load over the plastic reference against relative slenderness, beside simple curves."""
    across = np.linspace(0.02, max(2.0, 1.5 * where.slenderness), 400)
    with matplotlib.rc_context(dict(STYLE)):
        figure = new_figure(7.0, 3.6)
        curved = where.radius_over_thickness is not None
        words = (
            "the capacity curve, whose form and constants are from memory" if curved else "yield and elastic buckling"
        )
        add_title(figure, case.title, f"Place of the body beside {words}")
        axes = add_axes(figure, (0.65, 0.55, 4.2, 2.95))
        axes.set_xlim(0.0, float(across[-1]))
        axes.set_ylim(0.0, 1.2 * max(1.0, where.reached))
        axes.plot(across, np.minimum(1.0, across**-2.0), **_THIN)
        named = [_at_right(across, np.minimum(1.0, across**-2.0), "perfect: yield or elastic")]
        if where.radius_over_thickness is not None:
            curve = dome_curve(where.radius_over_thickness)
            chi = np.array([curve.reduction(float(x)) for x in across])
            axes.plot(across, chi, **_LINE)
            named.append(_at_right(across, chi, "clamped spherical dome"))
        axes.plot([where.slenderness], [where.reached], "o", color="0.0", markersize=7, zorder=4)
        named.append(Named(where.reached, f"{where.reached:.3g}  this body, {where.kind}", where.slenderness))
        name_values(axes, named)
        axes.set_xlabel("relative slenderness  √(MNA / LBA)  [–]")
        axes.set_ylabel(f"{case.loads.increasing.words} / plastic reference MNA  [–]")
    return figure


def _at_right(across: np.ndarray, values: np.ndarray, text: str) -> Named:
    return Named(float(values[-1]), text, float(across[-1]))


@dataclass(frozen=True, eq=False)
class Magnified:
    """A loaded state, the largest travel in it [mm], and how many times its displacements are drawn."""

    state: MidSurface
    travel: float
    factor: float


def _deciding(outcomes: Sequence[Outcome]) -> tuple[str, MidSurface, list[Magnified]] | None:
    """Return kind, unloaded section and loaded states of the deciding path; None where all travel far as they are.

    The states are those at the demanded pressures, or the first loaded one where the path reached none of them.
    """
    recorded = {outcome.kind: deformed_states(outcome) for outcome in outcomes}
    kind = next((kind for kind in ("GMNIA", "GMNA", "GNIA", "GNA") if len(recorded.get(kind, ())) > 1), None)
    if kind is None:
        return None
    start = recorded[kind][UNLOADED]
    demanded = [recorded[kind][name] for name in (SERVICE, REQUIRED) if name in recorded[kind]]
    loaded = demanded or [section for name, section in recorded[kind].items() if name != UNLOADED][:1]
    made = [magnified for magnified in (_magnified(start, state) for state in loaded) if magnified is not None]
    return (kind, start, made) if made else None


def _magnified(start: MidSurface, state: MidSurface) -> Magnified | None:
    """Return a state with a round factor; None where it travels far as it is, or not at all."""
    most = float(np.max(_travel(start, state)))
    wide = float(max(np.ptp(start.r), np.ptp(start.z)))
    if not 0.0 < most < WIDEST * wide:
        return None
    wanted = WIDEST * wide / most
    steps = _STEPS * 10.0 ** np.floor(np.log10(wanted))
    return Magnified(state, most, max(LEAST, float(np.max(steps[steps <= wanted]))))


def _travel(start: MidSurface, state: MidSurface) -> np.ndarray:
    return np.hypot(state.r - start.r, state.z - start.z)


def draw_magnified(case: Case, kind: str, start: MidSurface, loaded: Sequence[Magnified], units: Units) -> Figure:
    """Return the unloaded section and loaded ones, each with its displacements times a factor of its own."""
    with matplotlib.rc_context(dict(STYLE)):
        view = around([_view(start, each) for each in loaded])
        figure, panels = add_shape_panels(view, len(loaded), 3, units)
        add_title(figure, case.title, "Deformed sections, axisymmetric path, displacements magnified")
        for axes, each in zip(panels, loaded, strict=True):
            _draw_pair(axes, start, each)
            words = f"{kind}, {each.state.name}: {load_text(each.state, units)}"
            size = f"moved up to {length_text(each.travel, units)},\ndrawn {each.factor:g} times as far"
            axes.set_title(f"{words}\n{size}", loc="left", fontsize=7.5)
        figure.legend(*panels[0].get_legend_handles_labels(), loc="lower left", ncols=2, frameon=False)
    return figure


def _enlarged(start: MidSurface, each: Magnified) -> tuple[np.ndarray, np.ndarray]:
    state, factor = each.state, each.factor
    return start.r + factor * (state.r - start.r), start.z + factor * (state.z - start.z)


def _view(start: MidSurface, each: Magnified) -> Box:
    """The box around whatever moves, before and as drawn."""
    r, z = _enlarged(start, each)
    moved = np.tile(_travel(start, each.state), 2)
    return view_of(np.concatenate([start.r, r]), np.concatenate([start.z, z]), moved, MOVING)


def _draw_pair(axes: Axes, start: MidSurface, each: Magnified) -> None:
    axes.plot(start.r, start.z, color="0.65", linewidth=2.2, label="unloaded")
    axes.plot(*_enlarged(start, each), **_LINE, label="loaded, magnified")
