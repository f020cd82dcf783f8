"""What a run prints: the margin table, the hand values beside it, and the verdict in one line."""

from collections.abc import Sequence

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from buckle.case import Case
from buckle.cautions import CAUTIONS
from buckle.margins import Comparison, Judgement, Margin, Verdict
from buckle.results import BIFURCATION, WIDEN, Outcome, Status
from buckle.units import to_unit


def printed(
    case: Case,
    outcomes: Sequence[Outcome],
    judgement: Judgement,
    comparisons: Sequence[Comparison],
    unit: str,
) -> RenderableType:
    """Everything printed for one case; pressures in `unit`."""
    parts: list[RenderableType] = [Text(case.title, style="bold"), _margin_table(judgement, unit)]
    if any(margin.hand for margin in judgement.margins):
        parts.append(_hand_table(judgement, unit))
    if comparisons:
        parts.append(_comparison_table(comparisons))
    parts += [Text(line) for line in (*_notes(judgement), *_unfinished(outcomes))]
    parts.append(Text(verdict_line(judgement, unit), style="bold"))
    parts.append(Text(" ".join(CAUTIONS), style="dim"))
    return Group(*parts, "")


def verdict_line(judgement: Judgement, unit: str) -> str:
    """Governing event, its reserve and the verdict in one line."""
    governing = judgement.governing
    if governing is None or governing.capacity is None:
        return "VERDICT: none; the deciding analysis found no capacity."
    beyond = "more than " if governing.at_least else ""
    size = f"{beyond}{_size(governing, governing.capacity, unit)} {unit}"
    told = f"{governing.limit_state} at {size} ({_event(governing)})"
    if WIDEN in governing.reason:
        told += "; CAUTION: at the end of the wave numbers examined, lower ones may follow beyond it"
    missed = [margin.limit_state for margin in judgement.margins if margin.verdict is Verdict.NOT_MET]
    if missed:
        return f"VERDICT: not met ({', '.join(missed)}). Governing: {told}, {_reserve_words(governing)}."
    if not judgement.complete:
        return f"VERDICT: incomplete. Governing: {told}, {_reserve_words(governing)}."
    return f"VERDICT: {governing.verdict}. Governing: {told}, {_reserve_words(governing)}."


def _reserve_words(margin: Margin) -> str:
    return "no demand given" if margin.reserve is None else f"reserve factor {margin.reserve:.3f}"


def _margin_table(judgement: Judgement, unit: str) -> Table:
    table = Table(title="Margins (reserve factor = capacity / demand; growth: allowed / found)", title_justify="left")
    for name in ("limit state", "analysis", "event"):
        table.add_column(name, overflow="fold")
    for name in (f"capacity [{unit}]", "numerical error", f"demand [{unit}]", "reserve factor"):
        table.add_column(name.replace("[", r"\["), justify="right")
    table.add_column("verdict")
    for margin in judgement.margins:
        table.add_row(*_margin_cells(margin, unit), style="bold" if margin.governs else "")
    return table


def _margin_cells(margin: Margin, unit: str) -> tuple[str, ...]:
    mark = " mm" if margin.unit == "mm" else ""
    return (
        margin.limit_state,
        margin.method,
        _event(margin),
        ("> " if margin.at_least else "") + _size(margin, margin.capacity, unit) + (mark if margin.capacity else ""),
        _error(margin.error_percent),
        _size(margin, margin.demand, unit) + (mark if margin.demand else ""),
        "" if margin.reserve is None else f"{margin.reserve:.3f}",
        f"{margin.verdict}, governs" if margin.governs else str(margin.verdict),
    )


def _error(percent: float | None) -> str:
    if percent is None:
        return ""
    return f"{percent:.2g} %" if percent >= 0.01 else "< 0.01 %"


def _event(margin: Margin) -> str:
    if margin.event == BIFURCATION:
        return f"bifurcation, n = {margin.wave_number}"
    return margin.event


def _size(margin: Margin, value: float | None, unit: str) -> str:
    if value is None:
        return ""
    return f"{value:.3f}" if margin.unit == "mm" else f"{to_unit(value, 'pressure', unit):.4g}"


def _hand_table(judgement: Judgement, unit: str) -> Table:
    table = Table(title="Hand calculation beside it", title_justify="left")
    table.add_column("analysis")
    table.add_column("formula", overflow="fold")
    for name in (f"computed [{unit}]", f"by hand [{unit}]", "hand / computed"):
        table.add_column(name.replace("[", r"\["), justify="right")
    table.add_column("why they differ", overflow="fold")
    for margin in judgement.margins:
        mark = " mm" if margin.unit == "mm" else ""
        for hand in margin.hand:
            table.add_row(
                f"{margin.method}, {margin.event}",
                hand.formula.name,
                _size(margin, margin.capacity, unit) + mark,
                (_size(margin, hand.value, unit) + mark) if hand.value is not None else "out of range",
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
