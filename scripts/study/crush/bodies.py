"""The random bases of the study of the rolling stand, standing on it under an axial force, empty and pressurised."""

from collections.abc import Iterator, Mapping

import buckle
from buckle.case import Case, case_from_dict
from buckle.formulas.stand import crushing
from buckle.margins.hand import hand_calculations
from scripts.study.rolling.bodies import feasible

COUNT = 40
PRESSURES = (0.0, 2.0, 4.0)  # bar
QUICK = {"estimate_error": False, "lower_bracket": False, "pictures": False}


def bodies(count: int) -> Iterator[tuple[int, float, Case]]:
    """Number in the draw, pressure [bar] and case of the first bodies that can be made."""
    for index, _, base in feasible("bases", count):
        for pressure in PRESSURES:
            yield index, pressure, case_of(base.tables, pressure)


def case_of(tables: Mapping[str, object], pressure: float) -> Case:
    """A base that stands on its stand, free to widen; the axial force increases beside a pressure [bar]."""
    push = {"pressure_side": "inside", "increases": "axial_force", "axial_force_N": -1.0, "pressure_bar": pressure}
    return case_from_dict(
        {**tables, "loads": push, "supports": {"outer_edge": "sleeve", "stand": crushing.crush.statement.edge}}
    )


def row(index: int, pressure: float, case: Case) -> dict[str, float]:
    """Limits of two analyses and the formula [N], without a value NaN."""
    found = {kind: buckle.run(case, kind, **QUICK).axisymmetric for kind in ("MNA", "GMNA")}
    limits = {f"{kind}_N": event.load if event else float("nan") for kind, event in found.items()}
    return {"number": index, "pressure_bar": pressure, **limits, "formula_N": by_hand(case)}


def by_hand(case: Case) -> float:
    (formula,) = hand_calculations(case)["GMNA"]
    return float("nan") if formula.value is None else formula.value
