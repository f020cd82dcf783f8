"""What a batch says about its parameters: which vary on their own, exponents, effects, the share that falls short."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.special import betaincinv

from buckle.increasing import PRESSURE, PUSH, Increasing
from buckle.margins import Word
from buckle.store import Table
from buckle.units import RECORDED, Units

Array = NDArray[np.float64]
SAME = 1e-9  # share by which a parameter that follows from others may miss them
VERDICT, REQUIRED, MASS = "verdict", "required", "mass_g"
DEMANDS = tuple(f"required_{load.key}" for load in (PRESSURE, PUSH))
"""Columns of what is required, of which a batch has one."""
CONFIDENCE = 0.95
EVENTS = (
    "GMNA.capacity",
    "GMNA.governing",
    "GNA.governing",
    "LBA.critical",
    "MNA.limit",
    "LA.first_yield",
)
TELLING = (
    *(f"capacity_{load.key}" for load in (PRESSURE, PUSH)),  # of a container: that of the part that goes first
    *(f"{event}_{load.key}" for load in (PRESSURE, PUSH) for event in EVENTS),
)
"""Loads of which the first that a batch has is printed; which of them decides follows margins.judge.FIDELITY."""


@dataclass(frozen=True)
class Batch:
    """The rows of a table that have a governing load, as numbers in a reader's units: parameters (rows, names).

    Names end in these units. Of what varies `names` are numbers that vary on their own, `following` those that follow
    linearly from them, `texts` what is no number in every row, such as a grade or a support, as {name: text a row}. The
    title tells of rows without a load; a force counts by its size. `short` (rows,) marks designs whose verdict is that
    something is not met.
    """

    title: str
    names: tuple[str, ...]
    values: Array
    load_name: str
    load: Array
    demand: float | None  # as the load, partial factor included, if it is the same for all
    short: NDArray[np.bool_]
    mass: Array | None
    texts: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    following: tuple[str, ...] = ()
    units: Units = RECORDED

    @property
    def of_load(self) -> Increasing:
        """The load that increases, whose sizes these are."""
        return PUSH if self.load_name.endswith(PUSH.key) else PRESSURE

    @property
    def load_words(self) -> str:
        """What the load is."""
        return self.of_load.words

    @property
    def load_unit(self) -> str:
        """The unit of the load."""
        return self.units.unit(self.of_load.unit)

    @property
    def parameters(self) -> tuple[str, ...]:
        """Return the names of all that varies on its own, numbers first."""
        return (*self.names, *self.texts)

    def kinds(self, but: str = "") -> tuple[tuple[object, ...], ...]:
        """Return for every row what it has of each parameter but one: rows alike in that differ in the one alone."""
        columns = [self.values[:, at].tolist() for at, name in enumerate(self.names) if name != but]
        columns += [list(texts) for name, texts in self.texts.items() if name != but]
        return tuple(zip(*columns, strict=True)) if columns else ((),) * len(self.load)


@dataclass(frozen=True)
class Slope:
    """How a load follows one parameter, by least squares over all rows, with its standard error."""

    name: str
    slope: float
    error: float


@dataclass(frozen=True)
class Shortfall:
    """How many of random samples fall short and the interval for the chance.

    Those that have no verdict, or are met with doubt only, are counted in.
    """

    short: int
    unknown: int
    count: int

    @property
    def interval(self) -> tuple[float, float]:
        """Return the exact interval of a binomial share, C. J. Clopper and E. S. Pearson, Biometrika 26, 1934."""
        tail, failed = (1.0 - CONFIDENCE) / 2.0, self.short + self.unknown
        low = 0.0 if failed == 0 else float(betaincinv(failed, self.count - failed + 1, tail))
        high = 1.0 if failed == self.count else float(betaincinv(failed + 1, self.count - failed, 1.0 - tail))
        return low, high

    @property
    def words(self) -> str:
        """Return the chance of falling short with its interval, and how many samples it rests on."""
        low, high = (100.0 * share for share in self.interval)
        failed = self.short + self.unknown
        unknown = f", {self.unknown} of them in doubt or without a verdict" if self.unknown else ""
        share = 100.0 * failed / self.count
        text = f"{share:.3g} % fall short ({failed} of {self.count}{unknown})"
        return f"{text}; with {100 * CONFIDENCE:.0f} % confidence between {low:.2g} and {high:.2g} %"


def governing_column(table: Table) -> str | None:
    """Return the column of the load that a batch is about; None if no row has any."""
    return next((name for name in TELLING if name in table.quantities), None)


def batch_of(table: Table, units: Units = RECORDED) -> Batch | None:
    """Return the numbers of a batch for a reader; None if fewer than two rows have a governing load."""
    name = governing_column(table)
    if name is None:
        return None
    load = np.abs(_numbers(table, name, units))
    found = np.isfinite(load)
    if found.sum() < 2:
        return None
    texts = _texts(table, found, units)
    varied = {units.quantity(key): key for key in table.varied}
    numbers = {read: _numbers(table, key, units)[found] for read, key in varied.items() if read not in texts}
    names = independent(numbers)
    values = np.column_stack([numbers[key] for key in names]) if names else np.empty((found.sum(), 0))
    mass = table.numbers(MASS)[found] if MASS in table.quantities else None
    short = np.array([row.get(VERDICT) == Word.NOT_MET for row in table.rows])[found]
    following = tuple(key for key, column in numbers.items() if key not in names and np.ptp(column) > 0.0)
    texts = {key: column for key, column in texts.items() if len(set(column)) > 1}
    demand = common_demand(table)
    required = None if demand is None else abs(units.of_quantity(name, demand))
    made = _title(table, found), names, values, units.quantity(name), load[found], required, short, mass
    return Batch(*made, texts, following, units)


def _numbers(table: Table, name: str, units: Units) -> Array:
    """Return a column in a reader's unit."""
    return table.numbers(name) * units.of_quantity(name, 1.0)


def _texts(table: Table, found: NDArray[np.bool_], units: Units) -> dict[str, tuple[str, ...]]:
    """Return what varies and is no number in every row that counts; a value that is not given says so."""
    rows = [row for row, counts in zip(table.rows, found, strict=True) if counts]
    columns = {key: [row.get(key) for row in rows] for key in table.varied}
    return {
        units.quantity(key): tuple(_as_text(key, value, units) for value in column)
        for key, column in columns.items()
        if not all(isinstance(value, int | float) and not isinstance(value, bool) for value in column)
    }


def _as_text(key: str, value: object, units: Units) -> str:
    if isinstance(value, float):
        return f"{units.of_quantity(key, value):g}"
    return "not given" if value is None else str(value)


def _title(table: Table, found: NDArray[np.bool_]) -> str:
    left_out = int(len(found) - found.sum())
    return f"{table.title} ({left_out} of {len(found)} designs without a load not shown)" if left_out else table.title


def common_demand(table: Table) -> float | None:
    """Return the load that is demanded of all designs [bar] or [N]; None if there is none or it differs."""
    name = next((name for name in DEMANDS if name in table.quantities), None)
    if name is None:
        return None
    demands = table.numbers(name)
    demands = demands[np.isfinite(demands)]
    return float(demands[0]) if len(demands) and np.allclose(demands, demands[0], rtol=1e-9) else None


def independent(columns: dict[str, Array]) -> tuple[str, ...]:
    """Return the names of columns that vary and do not follow linearly from those before them."""
    chosen: list[str] = []
    for name, column in columns.items():
        spread = float(np.ptp(column)) if np.isfinite(column).all() else 0.0
        if spread <= SAME * float(np.abs(column).max(initial=0.0)):
            continue
        before = np.column_stack([np.ones(len(column)), *[_scaled(columns[each]) for each in chosen]])
        left = column - before @ np.linalg.lstsq(before, column)[0]
        if float(np.abs(left).max()) > SAME * spread * len(column):
            chosen.append(name)
    return tuple(chosen)


def _scaled(column: Array) -> Array:
    return (column - column.mean()) / np.ptp(column)


def exponents(batch: Batch) -> list[Slope]:
    """Return d ln p / d ln x of every positive parameter; empty if the rows cannot tell them apart."""
    positive = [at for at in range(len(batch.names)) if batch.values[:, at].min() > 0.0]
    if not positive or batch.load.min() <= 0.0:
        return []
    logs = np.log(batch.values[:, positive])
    return _slopes([batch.names[at] for at in positive], logs, np.log(batch.load))


def effects(batch: Batch) -> list[Slope]:
    """Return what one standard deviation of each parameter does to the load, the strongest first."""
    if not batch.names:
        return []
    spread = batch.values.std(axis=0, ddof=1)
    found = _slopes(list(batch.names), (batch.values - batch.values.mean(axis=0)) / spread, batch.load)
    return sorted(found, key=lambda each: -abs(each.slope))


def strongest(batch: Batch, most: int) -> list[str]:
    """Return the numbers that move the load most, in their own order; the first where the rows cannot tell."""
    ranked = [each.name for each in effects(batch)] or list(batch.names)
    return sorted(ranked[:most], key=batch.names.index)


def _slopes(names: Sequence[str], values: Array, response: Array) -> list[Slope]:
    rows, count = values.shape
    matrix = np.column_stack([np.ones(rows), values - values.mean(axis=0)])
    if rows < count + 2 or np.linalg.matrix_rank(matrix) < count + 1:
        return []
    inverse = np.linalg.inv(matrix.T @ matrix)
    solution = inverse @ matrix.T @ response
    left = response - matrix @ solution
    errors = np.sqrt(np.diag(inverse) * (left @ left) / (rows - count - 1))
    return [Slope(name, float(solution[at]), float(errors[at])) for at, name in enumerate(names, start=1)]


def shortfall(table: Table) -> Shortfall | None:
    """Return how many random samples fall short of their requirement; None if nothing was drawn or is required."""
    if not table.random or not any(row.get(REQUIRED) for row in table.rows):
        return None
    words = [row.get(VERDICT) for row in table.rows]
    short = words.count(Word.NOT_MET)
    return Shortfall(short, len(words) - short - words.count(Word.MET), len(words))
