"""The results of a batch as a table: one row a design, one column each varied key and result quantity."""

import csv
import io
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from difflib import get_close_matches
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from buckle.case.values import same_quantity, value_in
from buckle.errors import CaseError
from buckle.expression import Expression, read_expression
from buckle.units import RECORDED, Units

NUMBER, STATUS, REASON = "design", "status", "reason"

FORMULA = ("=", "+", "-", "@")
"""Signs with which a spreadsheet begins to work out a cell: a text of others that begins so gets a quote before it."""


@dataclass(frozen=True, eq=False)
class Table:
    """Rows {column: value} without what was not found; pressures in bar, names end in their unit."""

    title: str
    varied: tuple[str, ...]
    quantities: tuple[str, ...]
    rows: tuple[Mapping[str, Any], ...]
    random: bool = False  # random samples of tolerances, so that shares of rows are probabilities

    @property
    def columns(self) -> tuple[str, ...]:
        """Return the names of all columns in order."""
        return (NUMBER, *self.varied, *self.quantities, STATUS, REASON)

    def __len__(self) -> int:
        """Return the number of rows."""
        return len(self.rows)

    def numbers(self, column: str) -> NDArray[np.float64]:
        """Return a column as numbers, NaN where there is none. Raises CaseError for an unknown column."""
        self._check(column, "column")
        return np.array([_number(row.get(column)) for row in self.rows])

    def where(self, text: str) -> "Table":
        """Return the rows for which an expression such as 'GMNA.limit_pressure_bar > 6.2' is true.

        A column may be named in another unit, such as GMNA.limit_pressure_psi. A row without a quantity that decides is
        left out. Raises CaseError for an expression that cannot be read or worked out, names no column, or is no
        condition.
        """
        condition = read_expression(text)
        for name in condition.names:
            if not any(same_quantity(name, column) for column in self.columns):
                self._check(name, text)
        return replace(self, rows=tuple(row for row in self.rows if _holds(condition, row)))

    def read_in(self, units: Units) -> "Table":
        """Return the table with the pressures and lengths of all columns, and their names, in a reader's units."""
        if units == RECORDED:
            return self
        names = {column: units.quantity(column) for column in self.columns}
        rows = tuple(
            {names.get(column, column): _read(units, column, value) for column, value in row.items()}
            for row in self.rows
        )
        varied, quantities = (tuple(names[column] for column in each) for each in (self.varied, self.quantities))
        return replace(self, varied=varied, quantities=quantities, rows=rows)

    def lines(self) -> Iterator[str]:
        """Yield the lines of the table as comma-separated values; an empty cell is a value that was not found."""
        columns = self.columns
        yield _line(columns)
        for row in self.rows:
            yield _line([_cell(row.get(column)) for column in columns])

    def to_csv(self, path: str | Path) -> None:
        """Write the table as comma-separated values. Raises CaseError if it cannot be written."""
        try:
            with Path(path).open("w", encoding="utf-8", newline="") as file:
                file.writelines(self.lines())
        except OSError as error:
            raise CaseError(f"{path}: cannot be written: {error.strerror or error}") from error

    def to_pandas(self) -> Any:
        """Return the table as a pandas DataFrame. Raises CaseError if pandas is not installed."""
        pandas = _optional("pandas", "frames")
        return pandas.DataFrame([dict(row) for row in self.rows], columns=list(self.columns))

    def to_parquet(self, path: str | Path) -> None:
        """Write the table as Parquet, through pandas and pyarrow. Raises CaseError if they are not installed."""
        _optional("pyarrow", "parquet")
        self.to_pandas().to_parquet(path)

    def _check(self, name: str, where: str) -> None:
        if name not in self.columns:
            near = "".join(f", did you mean {close!r}?" for close in get_close_matches(name, self.columns, n=1))
            raise CaseError(f"{where}: no column {name!r}{near}; allowed: {', '.join(self.columns)}")


def _holds(condition: Expression, row: Mapping[str, Any]) -> bool:
    held = condition.value({name: value_in(name, row) for name in condition.names})
    if held is not None and not isinstance(held, bool):
        raise CaseError(f"{condition.text}: is no condition; allowed: such as {condition.text} > 1")
    return held is True


def _read(units: Units, column: str, value: Any) -> Any:
    return units.of_quantity(column, value) if isinstance(value, int | float) and not isinstance(value, bool) else value


def _number(value: object) -> float:
    return float(value) if isinstance(value, int | float) else float("nan")


def _line(cells: Any) -> str:
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerow(cells)
    return text.getvalue()


def _cell(value: object) -> str:
    """Return all digits of a number, so that it reads back as itself, and a text that no spreadsheet works out."""
    if isinstance(value, str):
        return f"'{value}" if value.startswith(FORMULA) else value
    return "" if value is None else repr(value) if isinstance(value, float) else str(value)


def _optional(library: str, extra: str) -> Any:
    try:
        return import_module(library)
    except ImportError as error:
        raise CaseError(f"{library} is not installed; try: pip install 'buckle[{extra}]'") from error
