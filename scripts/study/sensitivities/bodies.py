"""Twenty random bodies for the study of sensitivities: every tenth of those of the study of errors; always the same.

Each is asked for growth and a limit of it at half of what it carries, so that there are movements to derive; a cylinder
pressed along its axis takes the place of one under pressure.
"""

from collections.abc import Iterator
from itertools import islice

import numpy as np

from buckle.analysis import run
from buckle.case import Case, case_from_dict, replace_keys
from buckle.sensitivity.numbers import numbers
from scripts.study.errors.bodies import bodies as all_bodies

EVERY = 10
SEED = 70311
MOST_KEYS = 3
ALWAYS = ("thickness", "gauge", "yield_stress")


def bodies() -> Iterator[tuple[str, Case]]:
    """Name and case of every body."""
    for family, number, case in islice(all_bodies(), 4, None, EVERY):
        yield f"{family} {number}", (_pressed(case) if family == "cylinder" and number % 4 else _asked(case))


def keys_of(name: str, case: Case) -> list[str]:
    """Gauge and yield stress of a body and a few of its other numbers, drawn at random."""
    keys = [number.key for number in numbers(case)]
    first = [key for key in keys if any(part in key for part in ALWAYS)]
    others = [key for key in keys if key not in first and "density" not in key]
    draw = np.random.default_rng([SEED, *name.encode()])
    chosen = draw.choice(others, max(min(MOST_KEYS - len(first), len(others)), 0), replace=False)
    return [key for key in keys if key in first or key in chosen]


def _asked(case: Case) -> Case:
    capacity = run(case, "GMNA", estimate_error=False, lower_bracket=False, pictures=False).capacity
    if capacity is None:
        return case
    service = float(f"{5.0 * capacity.load:.3g}")
    return case_from_dict(replace_keys(case.tables, {"requirements.service_pressure_bar": service}))


def _pressed(case: Case) -> Case:
    changes = {"loads.increases": "axial_force", "loads.axial_force_N": -1.0, "supports.outer_edge": "sleeve"}
    return case_from_dict(replace_keys(case.tables, changes))
