"""A sized design as a file that can be run: the text of the original with the values put in."""

import os
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from buckle.case import Case, read_text
from buckle.case.reader import PARTS
from buckle.case.rewrite import rewritten_case
from buckle.container.container import Container
from buckle.container.reader import REFERENCE, read_input
from buckle.errors import CaseError


def write_design(base: Case | Container, values: Mapping[str, Any], path: Path, words: str) -> Case | Container:
    """Write the file of a case or a container with values under keys, and return what is read back from it.

    `words` stand in a comment at its head. Parts of a container that stand in files of their own stay there: what is
    new of them stands below the part instead. Raises CaseError if it cannot be written, or does not read as it should.
    """
    assert base.path is not None
    is_json = base.path.endswith(".json")
    changes = {**dict(_references(base, path)), **values}
    text = rewritten_case(read_text(base.path), changes, is_json=is_json)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text if is_json else _headed(text, words), encoding="utf-8", newline="\n")
    except OSError as error:
        raise CaseError(f"{path}: cannot be written: {error.strerror or error}") from error
    return read_input(path)


def _references(base: Case | Container, path: Path) -> Iterator[tuple[str, str]]:
    """Yield the files of parts as they are called from where a file is written."""
    if not isinstance(base, Container) or base.path is None:
        return
    folder = Path(base.path).absolute().parent
    for part, file in base.references.items():
        yield f"{PARTS}.{part}.{REFERENCE}", Path(os.path.relpath(folder / file, path.absolute().parent)).as_posix()


def _headed(text: str, words: str) -> str:
    """Put a comment at the head of a file, in the place of the schema that stood where the original is."""
    first, _, rest = text.partition("\n")
    return f"# {words}\n{rest if first.startswith('#:schema') else text}"
