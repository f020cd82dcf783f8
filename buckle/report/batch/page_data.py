"""What the page of a batch carries: columns with unit, what is known of them at least, what they are held against."""

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np

from buckle.batch.numbers import DEMANDS, MASS, REQUIRED, VERDICT, common_demand, governing_column, independent
from buckle.increasing import PUSH
from buckle.margins import Word
from buckle.record.quantities import KINDS
from buckle.report.batch.labels import label
from buckle.report.batch.text import BESIDE, KEYS
from buckle.store import Table
from buckle.store.table import NUMBER, STATUS
from buckle.units import UNITS, convert, preferred_suffix, to_unit

AT_LEAST = "at_least_pressure_bar"
BOUNDED = ("capacity_pressure_bar", "governing_pressure_bar", "limit_pressure_bar")
"""Pressures of a kind that lie no lower than the one its path was followed to, where they were not found."""
RESERVE, STATE = "reserve_factor", "governing_limit_state"
NO_EVENT = "no event found"
"""The limit state, as margins.judge names it, of a path that was followed beyond what is required and met nothing."""
CHOICES: Mapping[str, Sequence[str]] = {"pressure": ("bar", "psi", "MPa", "kPa"), "length": ("mm", "in")}
"""Units that a reader may choose; whatever is stored keeps its own."""

Plain = dict[str, Any]


def page_data(table: Table, chosen: Mapping[str, str]) -> Plain:
    """Return all of a table as plain data: columns of values in stored units, and how the page begins."""
    pressure, demand = _pressure(table), common_demand(table)
    main = [name for name in (pressure, *BESIDE, STATUS) if name in table.columns]
    return {
        "title": table.title,
        "columns": [_column(table, name, demand) for name in table.columns],
        "main": [NUMBER, *table.varied[:KEYS], *main],
        "start": {"x": _first_input(table), "y": pressure or _first_number(table), **_picked(table)},
        "independent": _must_be_alike(table),
        "verdicts": [str(word) for word in Word] if any(row.get(REQUIRED) for row in table.rows) else [],
        "verdict": VERDICT,
        "differs": _demands(table) > 1,
        "units": {name: _per_preferred(name) for name in CHOICES},
        "choices": {name: list(units) for name, units in CHOICES.items()},
        "chosen": dict(chosen),
    }


def _pressure(table: Table) -> str | None:
    """Return the pressure that a batch is about; that which is reached at least, where no row has another."""
    reached = (f"{kind}.{AT_LEAST}" for kind in reversed(KINDS))
    return governing_column(table) or next((name for name in reached if name in table.quantities), None)


def _first_input(table: Table) -> str:
    """Return the first input that takes more than one value."""
    several = (name for name in table.varied if len({str(row.get(name)) for row in table.rows}) > 1)
    return next(several, table.varied[0] if table.varied else NUMBER)


def _first_number(table: Table) -> str:
    return next((name for name in table.quantities if np.isfinite(table.numbers(name)).any()), NUMBER)


def _must_be_alike(table: Table) -> list[str]:
    """Return the inputs that must agree where two designs differ in one alone: those that follow from no other."""
    numbers = {name: table.numbers(name) for name in table.varied}
    whole = {name: column for name, column in numbers.items() if np.isfinite(column).all()}
    leading = independent(whole)
    return [name for name in table.varied if name not in whole or name in leading]


def _picked(table: Table) -> Plain:
    """Return the row that is picked at first, and why: of samples the worst, of designs the lightest that will do."""
    reserves, masses = (_known(table, name) for name in (RESERVE, MASS))
    met = {at: mass for at, mass in masses.items() if table.rows[at].get(VERDICT) == Word.MET}
    if met and not table.random:
        return {"row": min(met, key=met.__getitem__), "why": "The lightest of the designs whose verdict is met."}
    if reserves:
        return {"row": min(reserves, key=reserves.__getitem__), "why": "The design with the least reserve factor."}
    return {"row": 0, "why": "The first design."}


def _known(table: Table, name: str) -> dict[int, float]:
    return {at: row[name] for at, row in enumerate(table.rows) if row.get(name) is not None}


def _demands(table: Table) -> int:
    return len({row[name] for row in table.rows for name in DEMANDS if row.get(name) is not None})


def _per_preferred(dimension: str) -> dict[str, float]:
    """Return what 1 of each unit is in the unit that stands first, such as bar."""
    return {
        unit: to_unit(convert(1.0, dimension, unit), dimension, preferred_suffix(dimension))
        for unit in UNITS[dimension]
    }


def _column(table: Table, name: str, demand: float | None) -> Plain:
    made: Plain = {"name": name, "input": name in table.varied, **_unit(name), "held": _is_held(name)}
    made["label"] = label(made.get("stem", name))
    made["values"] = [_plain(row.get(name)) for row in table.rows]
    bounds, lines = dict(_bounds(table, name)), list(_lines(name, demand))
    return made | ({"bounds": bounds} if bounds else {}) | ({"lines": lines} if lines else {})


def _plain(value: object) -> object:
    return json.dumps(value) if isinstance(value, list | dict) else value


def _unit(name: str) -> Plain:
    """Return dimension and unit of a column that a reader may see in another unit."""
    stem, _, suffix = name.rpartition("_")
    if suffix in UNITS["pressure"] and stem.endswith("pressure"):
        return {"stem": stem, "dimension": "pressure", "unit": suffix}
    if suffix in UNITS["length"] and not stem.endswith("altitude"):
        return {"stem": stem, "dimension": "length", "unit": suffix}
    return {}


def _bounds(table: Table, name: str) -> Iterator[tuple[int, float]]:
    """Yield row and value where a number says no more than that a quantity is not below it."""
    kind, _, quantity = name.rpartition(".")
    for at, row in enumerate(table.rows):
        if name == RESERVE and row.get(STATE) == NO_EVENT and RESERVE in row:
            yield at, row[RESERVE]
        elif quantity == AT_LEAST and name in row:
            yield at, row[name]
        elif quantity in BOUNDED and name not in row and f"{kind}.{AT_LEAST}" in row:
            yield at, row[f"{kind}.{AT_LEAST}"]


def _lines(name: str, demand: float | None) -> Iterator[Plain]:
    """Yield what a quantity is held against: the pressure [bar] that is required of all, or reserve factor 1."""
    if name == RESERVE:
        yield {"value": 1.0, "words": "required"}
    elif demand is not None and _is_held(name):
        yield {"value": demand, "words": "required"}


def _is_held(name: str) -> bool:
    """Tell whether a quantity is held against the required load."""
    is_load = _unit(name).get("dimension") == "pressure" or name.endswith(PUSH.key)
    return name.rpartition(".")[0].rpartition(".")[2] in KINDS and is_load
