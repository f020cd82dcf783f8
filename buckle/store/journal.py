"""A file of lines that is only ever added to, each with a checksum: no damage reaches farther than its own lines."""

import errno
import hashlib
import json
import os
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

_DIGITS = 16  # of SHA-256: a damaged line passes for a whole one once in 2**64
_HEAD = b'{"check":"'
_BEHIND = len(_HEAD) + _DIGITS + len(b'",')
_BLOCK = 1 << 22  # bytes read at a time


class Journal:
    """One file of JSON objects, one a line; several processes of a machine may add to it and read it at once.

    Raises OSError where the system does.
    """

    def __init__(self, path: Path, *, create: bool = False) -> None:
        """Open the file for reading, or (`create`) for adding as well, and make it if it is not there."""
        flags = os.O_RDWR | os.O_APPEND | os.O_CREAT if create else os.O_RDONLY
        self._file = os.open(path, flags | getattr(os, "O_BINARY", 0), 0o666)
        self._reached = 0  # bytes; where the next line to be read begins
        self._whole = 0  # lines read whose checksum held

    def close(self) -> None:
        """Close the file; what was added is already safe."""
        os.close(self._file)

    def add(self, records: Sequence[Mapping[str, Any]], *, safe: bool) -> None:
        """Add records at the end, and (`safe`) wait until the drive has them."""
        # Begins with a line end of its own: what another process failed to write to its end must not spoil these lines.
        data = b"\n" + b"".join(map(_line, records))
        if os.write(self._file, data) < len(data):
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        if safe:
            os.fsync(self._file)

    def new(self) -> Iterator[Mapping[str, Any] | None]:
        """Yield the records that were added since the last call, by whichever process; None for an unreadable line.

        A last line without its end is left for the next call: it may still be in the writing.
        """
        size = os.fstat(self._file).st_size
        if self._reached > size:  # cut short in the meantime
            self._reached = size
        rest = b""
        os.lseek(self._file, self._reached, os.SEEK_SET)
        while block := os.read(self._file, _BLOCK):
            *lines, rest = (rest + block).split(b"\n")
            for line in lines:
                self._reached += len(line) + 1
                if line.strip():
                    record = _record(line)
                    self._whole += record is not None
                    yield record
            os.lseek(self._file, self._reached + len(rest), os.SEEK_SET)

    @property
    def is_strange(self) -> bool:
        """Tell whether the file holds something, but no line that was read and nothing that looks like one's beginning.

        Of use after a call of `new`.
        """
        if self._whole or not os.fstat(self._file).st_size:
            return False
        os.lseek(self._file, 0, os.SEEK_SET)
        return _HEAD not in os.read(self._file, _BLOCK)


def _line(record: Mapping[str, Any]) -> bytes:
    body = json.dumps(dict(record), separators=(",", ":"), allow_nan=False, ensure_ascii=False).encode()[1:]
    return _HEAD + _checksum(body) + b'",' + body + b"\n"


def _record(line: bytes) -> Mapping[str, Any] | None:
    body = line[_BEHIND:]
    if not line.startswith(_HEAD) or line[len(_HEAD) : _BEHIND - 2] != _checksum(body):
        return None
    read: Mapping[str, Any] = json.loads(b"{" + body)
    return read


def _checksum(body: bytes) -> bytes:
    return hashlib.sha256(body).hexdigest()[:_DIGITS].encode()
