"""What a sizing came to, as plain data under the contract's names."""

from collections.abc import Iterator, Mapping
from typing import Any

from buckle.batch.judged import CAPACITY
from buckle.size.answer import notes, why_none
from buckle.size.one import Crossing, Scan
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
            state = trial.governing if name == trial.least_of or name == CAPACITY else name.replace("_", " ")
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
