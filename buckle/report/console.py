"""What a run prints: the margin table, the hand values beside it, and the verdict in one line."""

from collections.abc import Sequence

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from buckle.case import Case
from buckle.cautions import CAUTIONS
from buckle.margins import Comparison, Judgement, Margin
from buckle.margins.margin import Size
from buckle.margins.wording import event_words, said, sentence, size_text
from buckle.record.quantities import growth_source, states
from buckle.report.demand import contents_lines
from buckle.results import Outcome, Status
from buckle.units import to_unit

GROWTH = "travel of the apex against the foot of the straight wall, or the edge"


def printed(
    case: Case,
    outcomes: Sequence[Outcome],
    judgement: Judgement,
    comparisons: Sequence[Comparison],
    unit: str,
) -> RenderableType:
    """Everything printed for one case; pressures in `unit`."""
    parts: list[RenderableType] = [Text(case.title, style="bold"), _margin_table(judgement, unit)]
    source = growth_source(outcomes)
    if source is not None and source.growth:
        parts.append(_movement_table(source, case, unit))
    if any(margin.hand for margin in judgement.margins):
        parts.append(_hand_table(judgement, unit))
    if comparisons:
        parts.append(_comparison_table(comparisons))
    parts += [Text(line) for line in (*_notes(judgement), *_unfinished(outcomes))]
    parts += [Text(f"CAUTION: {caution}.") for caution in judgement.cautions]
    parts += [Text(line) for line in contents_lines(case, judgement.holding, unit)]
    parts.append(Text(verdict_line(judgement, unit), style="bold"))
    parts.append(Text(" ".join(CAUTIONS), style="dim"))
    return Group(*parts, "")


def verdict_line(judgement: Judgement, unit: str) -> str:
    """The verdict in one line."""
    return f"VERDICT: {sentence(said(judgement), unit)}"


def _margin_table(judgement: Judgement, unit: str) -> Table:
    sizes = any(margin.size is not None for margin in judgement.margins)
    factor = max((margin.partial_factor for margin in judgement.margins), default=1.0)
    over = f"capacity / partial factor {factor:g} / demand"
    table = Table(title=f"Margins (reserve factor = {over})", title_justify="left")
    for name in ("limit state", "analysis", "event"):
        table.add_column(name, overflow="fold")
    for name in (f"capacity [{unit}]", "numerical error", f"demand [{unit}]", "reserve factor"):
        table.add_column(name.replace("[", r"\["), justify="right")
    if sizes:
        table.add_column("found (allowed)", justify="right")
    table.add_column("verdict")
    for margin in judgement.margins:
        cells = _margin_cells(margin, unit)
        table.add_row(*(cells if sizes else (*cells[:-2], cells[-1])), style="bold" if margin.governs else "")
    return table


def _margin_cells(margin: Margin, unit: str) -> tuple[str, ...]:
    return (
        margin.limit_state,
        margin.method,
        event_words(margin.event, margin.wave_number),
        ("> " if margin.at_least else "") + _pressure(margin.capacity, unit),
        _error(margin.error_percent),
        _pressure(margin.demand, unit),
        "" if margin.reserve is None else f"{margin.reserve:.3f}",
        _found(margin.size),
        f"{margin.verdict}, governs" if margin.governs else str(margin.verdict),
    )


def _found(size: Size | None) -> str:
    if size is None:
        return ""
    found = size_text(size.found, size.unit)
    return found if size.allowed is None else f"{found} ({size_text(size.allowed, size.unit)})"


def _movement_table(outcome: Outcome, case: Case, unit: str) -> Table:
    """How far the body moves and is strained, at the pressures that matter."""
    table = Table(title=f"How far it moves and is strained ({outcome.kind}; {GROWTH})", title_justify="left")
    stands = any(each.stand_drop is not None for _, each in states(case, outcome))
    names = ["growth", "growth that stays", *(["drop of the stand"] if stands else [])]
    table.add_column("under")
    for name in (f"pressure [{unit}]", *(f"{name} [mm]" for name in names), "strain of a face", "strain of mid-wall"):
        table.add_column(name.replace("[", r"\["), justify="right")
    for name, each in states(case, outcome):
        sizes = [each.loaded, each.permanent, *([each.stand_drop] if stands else [])]
        strains = [each.face_strain, each.middle_strain]
        table.add_row(
            name,
            _pressure(each.pressure, unit),
            *("" if size is None else f"{size:.3f}" for size in sizes),
            *("" if strain is None else f"{strain:.2g}" for strain in strains),
        )
    return table


def _error(percent: float | None) -> str:
    if percent is None:
        return ""
    return f"{percent:.2g} %" if percent >= 0.01 else "< 0.01 %"


def _pressure(value: float | None, unit: str) -> str:
    return "" if value is None else f"{to_unit(value, 'pressure', unit):.4g}"


def _compared(margin: Margin, value: float | None, unit: str) -> str:
    """A number in what hand and computed values of a margin are compared in."""
    return _pressure(value, unit) if margin.size is None else size_text(value, margin.size.unit)


def _hand_table(judgement: Judgement, unit: str) -> Table:
    table = Table(title="Hand calculation beside it", title_justify="left")
    table.add_column("analysis")
    table.add_column("formula", overflow="fold")
    for name in (f"computed [{unit}]", f"by hand [{unit}]", "hand / computed"):
        table.add_column(name.replace("[", r"\["), justify="right")
    table.add_column("why they differ", overflow="fold")
    for margin in judgement.margins:
        for hand in margin.hand:
            table.add_row(
                f"{margin.method}, {margin.event}",
                hand.formula.name,
                _compared(margin, margin.compared, unit),
                "out of range" if hand.value is None else _compared(margin, hand.value, unit),
                "" if hand.ratio is None else f"{hand.ratio:.2f}",
                hand.why,
            )
    return table


def _comparison_table(comparisons: Sequence[Comparison]) -> Table:
    table = Table(title="Expectations", title_justify="left")
    for name in ("quantity", "computed", "expected", "deviation", "tolerance", "", "source"):
        table.add_column(name, overflow="fold")
    for each in comparisons:
        table.add_row(
            each.quantity,
            _number(each.found),
            _number(each.expected),
            "" if each.deviation_percent is None else f"{each.deviation_percent:.3g} %",
            "" if each.tolerance_percent is None else f"{each.tolerance_percent:g} %",
            "met" if each.met else "NOT MET",
            each.source,
        )
    return table


def _number(value: object) -> str:
    return f"{value:.6g}" if isinstance(value, float) else ("not found" if value is None else str(value))


def _notes(judgement: Judgement) -> list[str]:
    return [f"{margin.method}, {margin.limit_state}: {margin.reason}." for margin in judgement.margins if margin.reason]


def _unfinished(outcomes: Sequence[Outcome]) -> list[str]:
    return [
        f"{outcome.kind} {outcome.status}: {outcome.reason}. Try: {outcome.remedy}."
        for outcome in outcomes
        if outcome.status is not Status.SOLVED
    ]
