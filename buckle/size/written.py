"""A sized design as a file that can be run: the text of the original with the values put in."""

import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from buckle.case import Case, read_text
from buckle.case.locator import KeyPath
from buckle.case.reader import PARTS
from buckle.case.rewrite import rewritten_case, with_files
from buckle.container.container import Container
from buckle.container.reader import REFERENCE, read_input
from buckle.errors import CaseError


def write_design(base: Case | Container, values: Mapping[str, Any], path: Path, words: str) -> Case | Container:
    """Write the file of a case or a container with values under keys, and return what is read back from it.

    `words` stand in a comment at its head. Parts of a container, scans and measured tolerances that stand in files of
    their own stay there, called from where the new file stands: what is new of a part stands below it. Raises
    CaseError if it cannot be written, or does not read as it should.
    """
    assert base.path is not None
    is_json = base.path.endswith(".json")
    old, new = Path(base.path).absolute().parent, path.absolute().parent
    stay = base.references if isinstance(base, Container) else {}

    def called(key: KeyPath, file: str) -> str:
        # a scan of a part that has its own file lies beside that, and it stays
        beside_its_part = key[0] == PARTS and key[1] in stay and key[2:] != (REFERENCE,)
        return file if beside_its_part else _called(file, old, new)

    text = with_files(read_text(base.path), called, is_json=is_json)
    text = rewritten_case(text, values, is_json=is_json)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text if is_json else _headed(text, words), encoding="utf-8", newline="\n")
    except OSError as error:
        raise CaseError(f"{path}: cannot be written: {error.strerror or error}") from error
    return read_input(path)


def _called(file: str, old: Path, new: Path) -> str:
    """Return what a file that is named in one folder is called from another; one with its whole name keeps it."""
    return file if Path(file).is_absolute() else Path(os.path.relpath(old / file, new)).as_posix()


def _headed(text: str, words: str) -> str:
    """Put a comment at the head of a file, in the place of the schema that stood where the original is."""
    first, _, rest = text.partition("\n")
    return f"# {words}\n{rest if first.startswith('#:schema') else text}"
