"""Which code numbers come from: rows of another are never taken for those of this one."""

import hashlib
from functools import cache
from pathlib import Path

PACKAGE = Path(__file__).resolve().parents[1]
DECIDING = (".py", ".toml")
"""Kinds of files that numbers follow from: code, and the shipped grades of metal."""


DRAWING = (".j2", ".js", ".css")
"""Kinds of files that, beside those, pages follow from."""


@cache
def code_sha256(package: Path = PACKAGE, kinds: tuple[str, ...] = DECIDING) -> str:
    """Return the SHA-256 of every file of some kinds in the package, names included."""
    digest = hashlib.sha256()
    for path in sorted(path for path in package.rglob("*") if path.suffix in kinds):
        digest.update(f"{path.relative_to(package).as_posix()}\0".encode())
        digest.update(hashlib.sha256(path.read_bytes()).digest())
    return digest.hexdigest()
