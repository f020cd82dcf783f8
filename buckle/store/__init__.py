"""Where a batch keeps its results: one file that survives being killed, the table read from it, and its filter."""

from buckle.store.database import Store
from buckle.store.expression import Expression, read_expression
from buckle.store.rows import About, Listed, Result, RowStatus
from buckle.store.table import Table

__all__ = ["About", "Expression", "Listed", "Result", "RowStatus", "Store", "Table", "read_expression"]
