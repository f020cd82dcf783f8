"""Where a batch keeps its results: one file that survives kills and damage, and the table read from it."""

from buckle.store.rows import About, DesignRow, Result, RowStatus
from buckle.store.store import Store
from buckle.store.table import Table

__all__ = ["About", "DesignRow", "Result", "RowStatus", "Store", "Table"]
