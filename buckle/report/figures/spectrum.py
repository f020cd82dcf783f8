"""Critical load against the number of waves around the circumference."""

from collections.abc import Sequence

import matplotlib
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from buckle.case import Case
from buckle.report.figures.labels import load_label, load_number, shown_load
from buckle.report.figures.plot import LOOKS, Named, add_axes, add_title, name_values, new_figure
from buckle.report.figures.style import GUIDE, STYLE
from buckle.results import Outcome
from buckle.units import RECORDED, Units

REACH = 3.0  # how far above the lowest critical load the graph goes; all of it is in by_wave_number.csv
LEAST = 6  # wave numbers at least that the graph spans


def draw_spectrum(case: Case, outcomes: Sequence[Outcome], units: Units = RECORDED) -> Figure:
    """Return the linear critical loads over the wave numbers, and where nonlinear paths first bifurcate.

    The graph spans the wave numbers whose loads it reaches, and says of those that it leaves out.
    """
    top = _top(case, outcomes, units)
    low, high = _span(case, outcomes, top, units)
    with matplotlib.rc_context(dict(STYLE)):
        figure = new_figure(7.0, 4.0)
        add_title(
            figure,
            case.title,
            f"Critical {case.loads.increasing.words} against the number of waves around the circumference",
        )
        axes = add_axes(figure, (0.65, 0.55, 4.5, 3.35))
        axes.set_xlim(low - 0.5, high + 0.5)
        axes.set_ylim(0.0, top)
        axes.xaxis.set_major_locator(MaxNLocator(integer=True))
        axes.set_xlabel(f"waves around the circumference, n{_left_out(outcomes, low, high)}")
        axes.set_ylabel(load_label(case.loads.increasing, units))
        named = [one for outcome in outcomes for one in _draw_kind(axes, outcome, units)]
        name_values(axes, [*named, *_draw_required(axes, case, units)])
    return figure


def _top(case: Case, outcomes: Sequence[Outcome], units: Units) -> float:
    """Highest load shown."""
    lowest = [event.load for outcome in outcomes if (event := outcome.lowest_critical) is not None]
    highest = [event.load for outcome in outcomes for event in outcome.critical]
    points = [outcome.bifurcation.load for outcome in outcomes if outcome.bifurcation is not None]
    curve = min(max(highest, default=0.0), REACH * max(lowest, default=0.0))
    return 1.1 * shown_load(max([curve, *points, case.required_load or 0.0]), case.loads.increasing, units)


def _span(case: Case, outcomes: Sequence[Outcome], top: float, units: Units) -> tuple[int, int]:
    """First and last wave number shown: those whose load is in sight, one more on either side, at least LEAST."""
    first, last = case.analyses.wave_numbers
    events = [event for outcome in outcomes for event in (*outcome.critical, outcome.bifurcation) if event is not None]
    seen = [event.wave_number for event in events if shown_load(event.load, event.increasing, units) <= top]
    low, high = max(first, min(seen) - 1), min(last, max(seen) + 1)
    high = min(last, max(high, low + LEAST))
    return max(first, min(low, high - LEAST)), high


def _left_out(outcomes: Sequence[Outcome], low: int, high: int) -> str:
    """Say which wave numbers with a critical load lie above the graph, beside what it spans."""
    found = [event.wave_number for outcome in outcomes for event in outcome.critical]
    beside = [[n for n in found if n < low], [n for n in found if n > high]]
    words = [f"{min(some)} to {max(some)}" if len(some) > 1 else str(some[0]) for some in beside if some]
    return f"  ({' and '.join(words)} higher)" if words else ""


def _draw_kind(axes: Axes, outcome: Outcome, units: Units) -> list[Named]:
    """Draw what an analysis found, and return its lowest points to be named."""
    look, lowest, named = LOOKS.get(outcome.kind), outcome.lowest_critical, []
    if look is None:
        return []
    if lowest is not None:
        n, loads = zip(
            *((event.wave_number, shown_load(event.load, event.increasing, units)) for event in outcome.critical),
            strict=True,
        )
        axes.plot(n, loads, marker=look.marker, markersize=3.5, zorder=3, **look.line)
        named.append((lowest, "lowest"))
    if outcome.bifurcation is not None:
        named.append((outcome.bifurcation, "bifurcation"))
    for event, _ in named:
        axes.plot(
            [event.wave_number],
            [shown_load(event.load, event.increasing, units)],
            look.marker,
            markersize=8,
            markerfacecolor="white",
            markeredgecolor=look.color,
            markeredgewidth=1.4,
            zorder=4,
        )
    return [
        Named(
            shown_load(event.load, event.increasing, units),
            _text(outcome.kind, word, event.wave_number, load_number(event.load, event.increasing, units)),
            event.wave_number,
        )
        for event, word in named
    ]


def _text(kind: str, word: str, wave_number: int, load: str) -> str:
    return f"{load}  {kind} {word}, n = {wave_number}"


def _draw_required(axes: Axes, case: Case, units: Units) -> list[Named]:
    if case.required_load is None:
        return []
    required = shown_load(case.required_load, case.loads.increasing, units)
    axes.axhline(required, color=GUIDE, linewidth=1.0, linestyle=(0, (8, 4)), zorder=2)
    return [Named(required, f"{load_number(case.required_load, case.loads.increasing, units)}  required")]
