"""A hand calculation beside a computed value, as a record holds it."""

from dataclasses import dataclass

from buckle.formulas.base import NO_UNIT, Interval
from buckle.record.quantities import Fields
from buckle.record.reading import number_of, rows_of, texts_of


@dataclass(frozen=True)
class Put:
    """A number under its letter, in N, mm, MPa, rad; '-' is no unit, and a number that is not finite has no value."""

    symbol: str
    value: float | None
    unit: str


@dataclass(frozen=True)
class Check:
    """A range of use, the number that must lie in it (None: not worked out), and whether it does."""

    symbol: str
    low: float | None
    high: float | None
    value: float | None
    unit: str
    met: bool | None

    @property
    def interval(self) -> Interval:
        """The range, open where it has no end."""
        bounds = {key: end for key, end in (("low", self.low), ("high", self.high)) if end is not None}
        return Interval(self.symbol, **bounds)


@dataclass(frozen=True)
class Beside:
    """One hand calculation beside a computed value; sizes in `unit` ('bar', 'mm', ''), None outside its range."""

    name: str
    kind: str
    limit_state: str
    beside: str
    unit: str
    computed: float
    value: float | None
    ratio: float | None
    expression: str
    numbers: tuple[Put, ...]
    checks: tuple[Check, ...]
    conditions: tuple[str, ...]
    ignores: tuple[str, ...]
    source: str
    why: str
    shown_before: bool = False  # the same calculation stands beside an earlier event


def beside_of(row: Fields, computed: float, unit: str) -> Beside:
    """Return a hand row of results.json beside a computed capacity [bar] or [N], or size [mm]."""
    return Beside(
        name=str(row["formula"]),
        kind=str(row["kind"]),
        limit_state=str(row["limit_state"]),
        beside=str(row.get("beside", "")),
        unit=unit,
        computed=computed,
        value=number_of(row.get(f"capacity_{unit}" if unit in ("bar", "N") else f"found_{unit}")),
        ratio=number_of(row.get("ratio_hand_to_computed")),
        expression=str(row.get("expression", "")),
        numbers=tuple(_put(each) for key in ("inputs", "steps") for each in rows_of(row.get(key))),
        checks=tuple(map(_check, rows_of(row.get("ranges")))),
        conditions=texts_of(row.get("conditions")),
        ignores=texts_of(row.get("ignores")),
        source=str(row["source"]),
        why=str(row.get("reason", "")),
    )


def _put(row: Fields) -> Put:
    return Put(str(row["symbol"]), number_of(row.get("value")), str(row["unit"]))


def _check(row: Fields) -> Check:
    low, high, value = (number_of(row.get(key)) for key in ("low", "high", "value"))
    met = row.get("met")
    return Check(
        str(row["symbol"]), low, high, value, str(row.get("unit", NO_UNIT)), None if met is None else bool(met)
    )
