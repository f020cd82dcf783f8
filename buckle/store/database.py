"""One SQLite file for the results of a batch: what was reported done is there, whoever is killed at whatever moment."""

import json
import sqlite3
import time
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from buckle.errors import CaseError
from buckle.store.place import is_network_drive
from buckle.store.rows import About, Listed, Result, RowStatus
from buckle.store.table import NUMBER, REASON, STATUS, Table

FILE = "study.sqlite"
LAYOUT = 1
OURS = 0x6275636B
"""Mark in the file's head that tells it from any other SQLite file."""
PATIENCE = 60.0  # s that a writer waits for another one
_MENDABLE = {
    sqlite3.SQLITE_FULL: "the disk is full",
    sqlite3.SQLITE_READONLY: "it may only be read",
    sqlite3.SQLITE_CANTOPEN: "it cannot be opened",
    sqlite3.SQLITE_PERM: "permission denied",
    sqlite3.SQLITE_IOERR: "the drive does not take or give the data",
    sqlite3.SQLITE_NOTADB: "it is not a file of this program",
    sqlite3.SQLITE_CORRUPT: "it is damaged",
    sqlite3.SQLITE_BUSY: "another process keeps it locked",
    sqlite3.SQLITE_PROTOCOL: "the drive cannot lock files; use a local disk",
}
_TABLES = """
CREATE TABLE IF NOT EXISTS results (
  key TEXT PRIMARY KEY, status TEXT NOT NULL, reason TEXT NOT NULL, quantities TEXT NOT NULL, seconds REAL NOT NULL
) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS designs (
  study TEXT NOT NULL, number INTEGER NOT NULL, key TEXT NOT NULL, inputs TEXT NOT NULL, PRIMARY KEY (study, number)
) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS studies (
  study TEXT PRIMARY KEY, title TEXT NOT NULL, varied TEXT NOT NULL, keep TEXT NOT NULL, count INTEGER NOT NULL,
  random INTEGER NOT NULL
) WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS latest (only INTEGER PRIMARY KEY CHECK (only = 1), study TEXT NOT NULL);
"""


class Store:
    """The results file of a directory, open in this process; use it in a `with` block."""

    def __init__(self, directory: str | Path, *, create: bool = False) -> None:
        """Open the file, or make it. Raises CaseError if there is none, or it cannot be read or written."""
        self.path = Path(directory) / FILE
        if not create and not self.path.is_file():
            raise CaseError(f"{directory}: holds no {FILE}; allowed: a directory that buckle sweep wrote")
        with self._told():
            self._connection = _connect(self.path, create)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file; what was added is already safe."""
        self._connection.close()

    def begin(self, about: About) -> None:
        """Make a study the one that `table` speaks of."""
        lists = json.dumps(list(about.varied)), json.dumps(list(about.keep))
        with self._writing() as connection:
            fields = (about.study, about.title, *lists, about.count, int(about.random))
            connection.execute("INSERT OR REPLACE INTO studies VALUES (?, ?, ?, ?, ?, ?)", fields)
            connection.execute("INSERT OR REPLACE INTO latest VALUES (1, ?)", (about.study,))

    def list_designs(self, study: str, designs: Iterable[Listed]) -> None:
        """Note which case each design of a study is."""
        rows = [(study, each.number, each.key, _json(each.inputs)) for each in designs]
        with self._writing() as connection:
            connection.executemany("INSERT OR IGNORE INTO designs VALUES (?, ?, ?, ?)", rows)

    def listed(self, study: str) -> dict[int, str]:
        """Return {design number: key of its case} as far as it was noted."""
        with self._told():
            return dict(self._connection.execute("SELECT number, key FROM designs WHERE study = ?", (study,)))

    def add(self, results: Sequence[Result]) -> None:
        """Keep results for good, all or none; a case whose worker died gives way to one that was tried again."""
        rows = [(each.key, each.status, each.reason, _json(each.quantities), each.seconds) for each in results]
        with self._writing() as connection:
            connection.executemany(
                "INSERT INTO results VALUES (?, ?, ?, ?, ?) ON CONFLICT (key) DO UPDATE SET status = excluded.status, "
                "reason = excluded.reason, quantities = excluded.quantities, seconds = excluded.seconds "
                f"WHERE status = '{RowStatus.DIED}'",
                rows,
            )

    def finished(self, keys: Sequence[str]) -> dict[str, RowStatus]:
        """Return {key: status} of those cases that need no work: all that are kept but those whose worker died."""
        marks = ", ".join("?" * len(keys))
        query = f"SELECT key, status FROM results WHERE key IN ({marks}) AND status != '{RowStatus.DIED}'"
        with self._told():
            return {key: RowStatus(status) for key, status in self._connection.execute(query, tuple(keys))}

    def table(self, study: str | None = None) -> Table:
        """Return the finished rows of a study (None: the one begun last), in the order of its designs."""
        with self._told():
            found = self._connection.execute(
                "SELECT study, title, varied, keep, count, random FROM studies "
                "WHERE study = coalesce(?, (SELECT study FROM latest))",
                (study,),
            ).fetchone()
            if found is None:
                raise CaseError(f"{self.path}: holds no study yet; try: buckle sweep STUDY --out {self.path.parent}")
            name, title, varied, keep, count, drawn = found
            about = About(name, title, json.loads(varied), json.loads(keep), count, bool(drawn))
            rows = self._connection.execute(
                "SELECT number, inputs, status, reason, quantities FROM designs JOIN results USING (key) "
                "WHERE study = ? ORDER BY number",
                (name,),
            ).fetchall()
        return _table(about, rows)

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        """Lend the connection for one transaction, kept whole or not at all."""
        with self._told():
            self._connection.execute("BEGIN IMMEDIATE")
            try:
                yield self._connection
                self._connection.execute("COMMIT")
            except BaseException:
                if self._connection.in_transaction:
                    self._connection.execute("ROLLBACK")
                raise

    @contextmanager
    def _told(self) -> Iterator[None]:
        """Turn what a user can mend into a CaseError; anything else is a fault of this program and passes."""
        try:
            yield
        except OSError as error:
            raise CaseError(f"{self.path}: cannot be used: {error.strerror or error}") from error
        except sqlite3.DatabaseError as error:
            reason = _MENDABLE.get(getattr(error, "sqlite_errorcode", 0) & 0xFF)
            if reason is None:
                raise
            kept = "every row that was reported done is kept, and the same command goes on from there"
            raise CaseError(f"{self.path}: cannot be used: {reason} ({error}); {kept}") from error


def _connect(path: Path, create: bool) -> sqlite3.Connection:
    if create:
        path.parent.mkdir(parents=True, exist_ok=True)
    connection = sqlite3.connect(path, timeout=PATIENCE, isolation_level=None)
    try:
        _check_mark(connection, path, create)
        # Write-ahead: readers and one writer never wait for each other. It needs memory shared between processes,
        # which a network drive does not have; one process at a time may write there.
        _set_journal(connection, "delete" if is_network_drive(path) else "wal")
        connection.execute("PRAGMA synchronous = FULL")
        if create:
            _make_tables(connection)
    except BaseException:
        connection.close()
        raise
    return connection


def _set_journal(connection: sqlite3.Connection, mode: str) -> None:
    """Set the journal mode, waiting for another process that sets it too: SQLite itself does not wait here."""
    deadline = time.monotonic() + PATIENCE
    while connection.execute("PRAGMA journal_mode").fetchone()[0] != mode:
        try:
            connection.execute(f"PRAGMA journal_mode = {mode}")
            return  # where the mode cannot be had SQLite keeps the one it has, and says nothing
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF not in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
                raise
            if time.monotonic() > deadline:
                raise
            time.sleep(0.01)


def _check_mark(connection: sqlite3.Connection, path: Path, create: bool) -> None:
    """Raise CaseError for a database of someone else, of another version, or (unless it may be filled) an empty one."""
    mark = connection.execute("PRAGMA application_id").fetchone()[0]
    layout = connection.execute("PRAGMA user_version").fetchone()[0]
    empty = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0] == 0
    if empty and not create:
        raise CaseError(f"{path}: holds no study yet; try: buckle sweep STUDY --out {path.parent}")
    if mark != OURS and not empty:
        raise CaseError(f"{path}: is a database of another program; allowed: a directory that buckle sweep wrote")
    if mark == OURS and layout != LAYOUT:
        raise CaseError(f"{path}: was written by another version (layout {layout}); allowed: layout {LAYOUT}")


def _make_tables(connection: sqlite3.Connection) -> None:
    connection.execute("BEGIN IMMEDIATE")
    connection.execute(f"PRAGMA application_id = {OURS}")
    connection.execute(f"PRAGMA user_version = {LAYOUT}")
    for statement in _TABLES.split(";"):
        connection.execute(statement)
    connection.execute("COMMIT")


def _json(values: Mapping[str, object]) -> str:
    return json.dumps(dict(values), separators=(",", ":"), allow_nan=False, ensure_ascii=False)


def _table(about: About, rows: Iterable[Any]) -> Table:
    quantities: dict[str, None] = {}
    made = []
    for number, inputs, status, reason, found in rows:
        values = {name: value for name, value in json.loads(found).items() if _kept(name, about.keep)}
        quantities.update(dict.fromkeys(values))
        made.append({NUMBER: number, **json.loads(inputs), **values, STATUS: status, REASON: reason})
    return Table(about.title, tuple(about.varied), tuple(quantities), tuple(made), about.random)


def _kept(name: str, keep: Sequence[str]) -> bool:
    return not keep or name in keep
