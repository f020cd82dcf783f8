"""How many will fall short, for people."""

import math
from collections.abc import Iterator

from rich.console import Group, RenderableType
from rich.table import Table as PrintedTable
from rich.text import Text

from buckle.batch.reserves import in_words
from buckle.case import Case
from buckle.cautions import CAUTIONS
from buckle.container.container import Container
from buckle.shortfall.distribution import SHARES, Distribution
from buckle.shortfall.engine import widest
from buckle.shortfall.sampling import Level
from buckle.shortfall.second_order import SecondOrder
from buckle.shortfall.words import capability_words, interval, ppm, second_words, sentence
from buckle.study.scores import Scatter
from buckle.units import Units

ONLY_TOLERANCES = (
    "This counts what [tolerances] scatters and nothing else: not the doubt about the metal's curve, about the "
    "program's own numbers, about dents and eccentric loads, or about a tool that wears."
)


def shortfall_text(case: Case | Container, made: Distribution, scatter: Scatter, units: Units) -> RenderableType:
    """Return everything that `buckle shortfall` prints."""
    return Group(
        Text(case.title, style="bold"),
        _tolerance_table(made, scatter),
        _way_table(made),
        *(Text(units.words(line)) for line in _lines(made)),
        Text(f"ANSWER: {sentence(made)}", style="bold"),
        Text(" ".join(CAUTIONS), style="dim"),
    )


def _tolerance_table(made: Distribution, scatter: Scatter) -> PrintedTable:
    table = PrintedTable(title="What scatters", title_justify="left")
    for name in ("key", "law"):
        table.add_column(name, overflow="fold")
    table.add_column("change of the reserve by one standard deviation", justify="right")
    table.add_column("share of the scatter", justify="right")
    for each, slope, share in zip(scatter.tolerances, made.slopes, made.scatter_shares, strict=True):
        table.add_row(Text(each.key), widest(each), f"{slope:+.4f}", f"{100.0 * share:.1f} %")
    return table


def _bends(words: str, curved: SecondOrder) -> Iterator[str]:
    """Say what second order has for one requirement, or why it has nothing."""
    if curved.share is None:
        yield f"{words}: second order has no value: {curved.reason}."
    elif curved.curvatures:
        bends = ", ".join(f"{each:+.3f}" for each in curved.curvatures)
        yield f"{words}: the limit bends there by {bends} per standard deviation (+ away from the middle)."


def _way_table(made: Distribution) -> PrintedTable:
    table = PrintedTable(title="Least reserve factor over all requirements", title_justify="left")
    table.add_column("way", overflow="fold")
    table.add_column(f"below {made.asked:g}", justify="right")
    for share in SHARES:
        table.add_column(f"{_share(share)} are below", justify="right")
    rows = (
        ("first order", ppm(made.first_share), [f"{each:.4f}" for each in made.first_levels]),
        ("second order", second_words(made), ["" for _ in SHARES]),
        (
            f"{len(made.weighted.reserves)} about the design points",
            interval(made.weighted_share),
            [_level(each) for each in made.levels(made.weighted)],
        ),
        (
            f"{len(made.plain.reserves)} plain samples",
            interval(made.plain_share),
            [_level(each) for each in made.levels(made.plain)],
        ),
    )
    for name, short, levels in rows:
        table.add_row(name, short, *levels)
    return table


def _share(share: float) -> str:
    return "1 ppm" if share == SHARES[-1] else f"{100.0 * share:g} %"


def _level(level: Level) -> str:
    if not math.isfinite(level.low) or not math.isfinite(level.value):
        return "too few samples"
    return f"{level.value:.4f} ({level.low:.4f} to {level.high:.4f})"


def _lines(made: Distribution) -> Iterator[str]:
    seen: list[float] = []
    for name, point, curved in zip(made.requirements, made.points, made.curved, strict=True):
        if point.beta in seen:  # an onset that never comes first has the capacity's
            continue
        seen.append(point.beta)
        words = in_words(name)
        if point.found:
            yield f"{words}: the nearest designs that fall short are {point.beta:.2f} standard deviations away."
            yield from _bends(words, curved)
        else:
            yield f"{words}: no design point was found within {abs(point.beta):.3g} standard deviations."
    lost = int((made.plain.reserves == -math.inf).sum())
    if lost:
        yield f"NOTE: {lost} plain samples have no reserve (not closed, or an analysis failed): they count as short."
    yield capability_words(made)
    yield from (f"NOTE: {each}." for each in made.disagreements)
    if not made.disagreements:
        yield f"The {'three' if made.second_share is None else 'four'} ways agree within their intervals."
    yield f"CAUTION: {ONLY_TOLERANCES}"
