"""Runs of the study of the capacity."""

import buckle
from buckle.case import Case, case_from_dict, replace_keys
from buckle.errors import CaseError
from scripts.study.capacity.bodies import Body, Line, with_value
from scripts.study.capacity.table import LEVELS, LevelRow, SweepRow


def swept(line: Line) -> list[SweepRow]:
    """Capacities along a line; values that make no body are left out."""
    rows = []
    for value in line.values:
        try:
            case = with_value(line.case, line.key, value)
        except CaseError:
            continue
        pressure, event, error = _capacity(case, estimated=True)
        rows.append(SweepRow(line.body, line.key, value, pressure, event, error))
    return rows


def at_levels(body: Body) -> LevelRow:
    """Capacity of a body as usual, with its estimate, and at every other level."""
    pressure, event, error = _capacity(body.case, estimated=True)
    others = [
        _capacity(case_from_dict(replace_keys(body.case.tables, keys)), estimated=False)[:2] for keys in LEVELS.values()
    ]
    pressures, events = zip(*others, strict=True)
    return LevelRow(body.name, pressure, event, error, *pressures, events="; ".join(events))


def _capacity(case: Case, *, estimated: bool) -> tuple[float | None, str, float | None]:
    """Pressure [bar], event and estimated error [%]."""
    outcome = buckle.run(case, "GMNA", estimate_error=estimated, lower_bracket=False, pictures=False)
    found = outcome.capacity if outcome.status == "solved" else None
    return (None, outcome.reason, None) if found is None else (10.0 * found.pressure, found.kind, found.error_percent)
