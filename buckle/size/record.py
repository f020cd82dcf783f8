"""What a sizing came to, as plain data under the contract's names."""

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from buckle.batch.reserves import CAPACITY, in_words, part_of
from buckle.case import Case
from buckle.container.container import Container
from buckle.size.answer import notes, why_none
from buckle.size.front import OnFront
from buckle.size.neighbourhood import Checked
from buckle.size.objective import UNITS
from buckle.size.one import Crossing, Scan
from buckle.size.optimise import Visit
from buckle.size.sizing import Sized
from buckle.size.trial import Trial

ACTIVE = 1e-2
"""A requirement is active where its reserve is within this share of what is asked."""


def scan_record(scan: Scan, evaluations: int, sure: Trial | None, cautions: tuple[str, ...]) -> dict[str, Any]:
    """Return the answer to a question about one variable; without an answer the design is empty and `reason` says why.

    `sure` is the answer with its numerical error.
    """
    answer = scan.answer
    shared = {
        "asked_reserve_factor": scan.asked,
        "varied": scan.variable.key,
        "value_of_the_case": scan.variable.value,
        "looked_at_from": scan.trials[0][0],
        "looked_at_to": scan.trials[-1][0],
        "evaluations": evaluations,
        "cautions": list(cautions),
        "scan": [_point(scan, value, trial) for value, trial in scan.trials],
    }
    if answer is None:
        return {"design": {}, "reason": why_none(scan), **shared}
    return {
        "design": {scan.variable.key: answer.value},
        **trial_record(sure or answer.trial, scan.asked),
        "holds": "above" if answer.holds_above else "below",
        "other_answers": [each.value for each in scan.crossings if each is not answer],
        "notes": notes(scan, answer),
        **shared,
    }


def trial_record(trial: Trial, asked: float) -> dict[str, Any]:
    """Return what a design is judged by."""
    found = trial.quantities
    return {
        "reserve_factor": trial.least,
        "objective": found.get("mass_g"),
        "mass_g": found.get("mass_g"),
        "verdict": found.get("verdict"),
        "governing_limit_state": trial.governing,
        "numerical_error_percent": found.get("numerical_error_percent"),
        "doubts": found.get("doubts"),
        "active": list(active(trial, asked)),
    }


def active(trial: Trial, asked: float) -> Iterator[Mapping[str, Any]]:
    """Yield the requirements whose reserve is what is asked."""
    for name, reserve in trial.reserves.items():
        if reserve <= asked * (1.0 + ACTIVE):
            state = trial.governing if name == trial.least_of or name == CAPACITY else in_words(name)
            yield {"requirement": name, "limit_state": state, "reserve_factor": reserve, "demand": trial.demands[name]}


def _point(scan: Scan, value: float, trial: Trial) -> dict[str, Any]:
    point: dict[str, Any] = {scan.variable.key: value, "status": str(trial.status)}
    if trial.least is not None:
        point |= {"reserve_factor": trial.least, "governing_limit_state": trial.governing}
    return point | ({"reason": trial.reason} if trial.reason else {})


def crossing_words(scan: Scan, answer: Crossing) -> str:
    """Say what a sized case file is."""
    return (
        f"Sized by buckle: {scan.variable.key} = {answer.value:.6g} (was {scan.variable.value:.6g}) "
        f"for a reserve factor of {scan.asked:g}."
    )


def sized_record(case: Case | Container, sized: Sized, evaluations: int, check: Checked | None) -> dict[str, Any]:
    """Return the lightest design under the contract's names."""
    problem, trial = sized.problem, sized.sure if sized.sure.judged else sized.visit.trial
    return {
        "design": dict(sized.values),
        "minimised": problem.table.minimise,
        "unit": UNITS[problem.table.minimise],
        **trial_record(trial, problem.asked),
        "objective": sized.visit.objective,
        "objective_of_the_case": sized.first.objective,
        "reserve_factor_of_the_case": sized.first.trial.least,
        "reserve_factor_at_double_mesh_density": sized.fine.least,
        "meets_all_at_both_mesh_densities": sized.holds,
        "asked_reserve_factor": problem.asked,
        "active": [_with_price(case, sized, each) for each in active(trial, problem.asked)],
        "at_bounds": [_bound(sized, key, price) for key, price in sized.prices.bounds.items()],
        "unexplained_slope": sized.prices.unexplained,
        "searches_ended_at": [None if math.isnan(each) else each for each in sized.ends],
        "neighbourhood": None if check is None else check_record(check),
        "evaluations": evaluations,
        "history": [_step(sized, number, visit) for number, visit in enumerate(sized.visits, start=1)],
    }


def price_per_load(sized: Sized, name: str) -> float | None:
    """Return what a requirement costs: unit of what is least, for one bar or one N more of the load it is asked at.

    A reserve is a load over the demand: a demand higher by 1 takes the share 1 / demand off it.
    """
    price, demand = sized.prices.requirements.get(name), sized.visit.trial.demands.get(name)
    return None if price is None or not demand else price / abs(demand)


def load_unit(base: Case | Container, name: str) -> str:
    """Return the unit of the load that a requirement is asked at: what increases on the case, or on its part."""
    if isinstance(base, Container):
        case = next(each.case for each in base.loaded if each.name == part_of(name))
        return load_unit(case, name)
    return "bar" if base.loads.increasing.is_pressure else "N"


def _with_price(case: Case | Container, sized: Sized, row: Mapping[str, Any]) -> dict[str, Any]:
    price = price_per_load(sized, str(row["requirement"]))
    unit = load_unit(case, str(row["requirement"]))
    return {**row, f"price_{UNITS[sized.problem.table.minimise]}_per_{unit}".replace(" ", "_"): price}


def _bound(sized: Sized, key: str, price: float) -> dict[str, Any]:
    """A bound that the design lies at, and what a wider one would gain, by a unit of the key."""
    each = next(one for one in sized.problem.variables if one.key == key)
    which = "low" if abs(sized.values[key] - each.low) < abs(sized.values[key] - each.high) else "high"
    return {"key": key, "bound": which, "value": sized.values[key], "gain_per_unit": price / (each.high - each.low)}


def _step(sized: Sized, number: int, visit: Visit) -> dict[str, Any]:
    objective = None if math.isnan(visit.objective) else visit.objective
    return {"number": number, "objective": objective, "reserve_factor": visit.trial.least} | sized.problem.values(
        visit.x
    )


def check_record(check: Checked) -> dict[str, Any]:
    """Return what the neighbourhood of a design came to."""
    return {
        "designs": check.count,
        "within_share_of_intervals": check.reach,
        "lighter_by_percent": 100.0 * check.share,
        "cannot_be_built": check.unbuilt,
        "lighter": check.lighter,
        "lighter_and_meets_all": [dict(each) for each in check.better],
    }


def front_record(base: Case | Container, front: Sequence[OnFront]) -> list[dict[str, Any]]:
    """Return the designs of a front by number."""
    return [
        {
            "number": each.number,
            "design": dict(each.inputs),
            "asked_reserve_factor": each.asked,
            "allowed_growth_mm": each.growth,
            "reserve_factor": each.visit.trial.least,
            "objective": each.visit.objective,
            "governing_limit_state": each.visit.trial.governing,
            "case_file": front_name(each, base),
        }
        for each in front
    ]


def front_name(each: OnFront, base: Case | Container) -> str:
    """Return the name of the case file of a design of a front; JSON where the file of the case is."""
    return f"front-{each.number:02d}.{'json' if (base.path or '').endswith('.json') else 'toml'}"


def front_words(each: OnFront) -> str:
    """Say what the case file of a design of a front is."""
    growth = "" if each.growth is None else f" and a growth of {each.growth:.4g} mm"
    return f"Design {each.number} of a front by buckle: least for a reserve factor of {each.asked:.4g}{growth}."
