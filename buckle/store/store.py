"""The results of a batch in one file: what was reported done is there, whoever is killed at whatever moment."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from buckle.errors import CaseError
from buckle.store.coding import decoded, encoded
from buckle.store.journal import Journal
from buckle.store.rows import About, DesignRow, Mended, Pages, Result, Row, RowStatus
from buckle.store.table import NUMBER, REASON, STATUS, Table

FILE = "study.jsonl"
KEPT = "every row that was reported done is kept, and the same command goes on from there"


class Store:
    """The results file of a directory, open in this process; use it in a `with` block."""

    def __init__(self, directory: str | Path, *, create: bool = False) -> None:
        """Open the file, or make it. Raises CaseError if there is none, or it cannot be read or written."""
        self.path = Path(directory) / FILE
        self.unreadable = 0
        """Lines that hold no row of this program any more and are not made good yet; their rows count for nothing."""
        self._latest: About | None = None  # the study begun last
        self._studies: dict[str, About] = {}
        self._pages: dict[str, Mapping[str, str]] = {}
        self._statuses: dict[str, RowStatus] = {}  # by key of the case
        with self._errors():
            if not self.path.is_file() and (self.path.exists() or not create):
                raise CaseError(f"{directory}: holds no file {FILE}; allowed: a directory that buckle sweep wrote")
            if create:
                self.path.parent.mkdir(parents=True, exist_ok=True)
            self._journal = Journal(self.path, create=create)
        try:
            self._check()
        except BaseException:
            self.close()
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file; what was added is already safe."""
        self._journal.close()

    def begin(self, about: About) -> None:
        """Make a study the one that `table` speaks of."""
        self._read_on()
        if self._latest != about:
            self._add([about])

    def note_designs(self, designs: Sequence[DesignRow]) -> None:
        """Note which case each of some designs is."""
        if designs:
            self._add(designs)

    def design_keys(self, study: str) -> dict[int, str]:
        """Return {design number: key of its case} as far as it was noted."""
        keys: dict[int, str] = {}
        for row in self._rows():
            if isinstance(row, DesignRow) and row.study == study:
                keys.setdefault(row.number, row.key)
        return keys

    def add(self, results: Sequence[Result]) -> None:
        """Keep results for good; of two of one case the first counts, but for one whose worker died."""
        self._add(results, safe=True)

    def finished(self, keys: Iterable[str]) -> dict[str, RowStatus]:
        """Return {key: status} of those cases that need no work: all that are kept but those whose worker died."""
        self._read_on()
        known = {key: self._statuses[key] for key in keys if key in self._statuses}
        return {key: status for key, status in known.items() if status is not RowStatus.DIED}

    def results(self) -> dict[str, Result]:
        """Return {key of the case: its result} of all that is kept but of those whose worker died."""
        found: dict[str, Result] = {}
        for row in self._rows():
            if isinstance(row, Result) and row.status is not RowStatus.DIED:
                found.setdefault(row.key, row)
        return found

    def mended(self) -> None:
        """Note that what could not be read is made good."""
        self._read_on()
        if self.unreadable:
            self._add([Mended()])

    def note_pages(self, fingerprint: str, files: Mapping[str, str]) -> None:
        """Note which files were made of a finished table, {name: SHA-256}."""
        self._add([Pages(fingerprint, files)])

    def pages(self, fingerprint: str) -> Mapping[str, str]:
        """Return {name: SHA-256} of the files that were made of a finished table; empty if none were."""
        self._read_on()
        return self._pages.get(fingerprint, {})

    def table(self, study: str | None = None) -> Table:
        """Return the finished rows of a study (None: the one begun last), in the order of its designs."""
        self._read_on()
        about = self._latest if study is None else self._studies.get(study)
        if about is None:
            raise CaseError(f"{self.path}: holds no study yet; try: buckle sweep STUDY --out {self.path.parent}")
        designs: dict[int, DesignRow] = {}
        results: dict[str, Result] = {}
        for row in self._rows():
            if isinstance(row, DesignRow) and row.study == about.study:
                designs.setdefault(row.number, row)
            elif isinstance(row, Result) and _gives_way(results.get(row.key)):
                results[row.key] = row
        return _table(about, [(each, results[each.key]) for _, each in sorted(designs.items()) if each.key in results])

    def _rows(self) -> Iterator[Row | None]:
        """Yield every row of the file from its beginning, None for a line that cannot be read."""
        with self._errors():
            whole = Journal(self.path)
            try:
                yield from map(decoded, whole.new())
            finally:
                whole.close()

    def _read_on(self) -> None:
        """Take note of what was added, by this process or another, since the last time."""
        with self._errors():
            for row in map(decoded, self._journal.new()):
                if row is None:
                    self.unreadable += 1
                elif isinstance(row, Mended):
                    self.unreadable = 0
                elif isinstance(row, Pages):
                    self._pages[row.fingerprint] = row.files
                elif isinstance(row, About):
                    self._latest = self._studies[row.study] = row
                elif isinstance(row, Result) and self._statuses.get(row.key, RowStatus.DIED) is RowStatus.DIED:
                    self._statuses[row.key] = row.status

    def _add(self, rows: Sequence[Row], *, safe: bool = False) -> None:
        with self._errors(f"; {KEPT}"):
            self._journal.add([encoded(row) for row in rows], safe=safe)

    def _check(self) -> None:
        """Raise CaseError for a file in which nothing is this program's."""
        with self._errors():
            strange = self._journal.is_strange
        if strange:
            raise CaseError(
                f"{self.path}: no row of a batch is in it: it is another program's, or damaged from end to end; "
                "allowed: another directory, or this one without the file, when every design is computed anew"
            )
        self._read_on()

    @contextmanager
    def _errors(self, behind: str = "") -> Iterator[None]:
        """Turn what the system refuses into a CaseError."""
        try:
            yield
        except OSError as error:
            raise CaseError(f"{self.path}: cannot be used: {error.strerror or error}{behind}") from error


def _gives_way(known: Result | None) -> bool:
    """Tell whether a result gives way to a later one of its case."""
    return known is None or known.status is RowStatus.DIED


def _table(about: About, rows: Iterable[tuple[DesignRow, Result]]) -> Table:
    quantities: dict[str, None] = {}
    made: list[dict[str, Any]] = []
    for design, result in rows:
        values = {name: value for name, value in result.quantities.items() if not about.keep or name in about.keep}
        quantities.update(dict.fromkeys(values))
        made.append(
            {NUMBER: design.number, **design.inputs, **values, STATUS: str(result.status), REASON: result.reason}
        )
    return Table(about.title, tuple(about.varied), tuple(quantities), tuple(made), about.random)
