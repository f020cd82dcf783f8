"""One body of the study of error estimates: each kind as a user runs it, and with everything finer."""

import buckle
from buckle.case import Case, case_from_dict, replace_keys
from buckle.results import Status
from scripts.study.errors.bodies import RUN
from scripts.study.errors.table import Row

FINER = {"numerics.mesh_density": 4.0, "numerics.step": 0.25}
LAYERS = {"MNA": 24, "GMNA": 24}
"""Twice the usual ones; the elastic kinds need no more."""


def rows_of(family: str, number: int, case: Case) -> list[Row]:
    return [row_of(family, number, case, kind) for kind in RUN]


def row_of(family: str, number: int, case: Case, kind: str, *, reference: bool = True) -> Row:
    status, event, value, estimate = _found(case, kind, estimated=True)
    true = None
    if reference and value is not None:
        layers = {"numerics.layers": LAYERS[kind]} if kind in LAYERS else {}
        true = _found(case_from_dict(replace_keys(case.tables, FINER | layers)), kind, estimated=False)[2]
    return Row(family, number, kind, status, event, value, estimate, true)


def _found(case: Case, kind: str, *, estimated: bool) -> tuple[str, str, float | None, float | None]:
    """Status, what decides, its pressure [bar] and its estimated error [%]."""
    outcome = buckle.run(case, kind, estimate_error=estimated, lower_bracket=False, pictures=False)
    if kind == "LA":
        yields = outcome.first_yield and 10.0 * outcome.first_yield
        return outcome.status, "first yield", yields, outcome.first_yield_error
    capacity = outcome.capacity if outcome.status is Status.SOLVED else None
    if capacity is None:
        return outcome.status, "", None, None
    return outcome.status, capacity.kind, 10.0 * capacity.pressure, capacity.error_percent
