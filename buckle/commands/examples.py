"""The work behind `buckle examples`: the demonstration cases and studies, copied to where one can change them."""

import shutil
from pathlib import Path

from buckle.commands.codes import MET
from buckle.commands.output import say
from buckle.errors import CaseError
from buckle.shipped import BENCHMARKS, CASES


def copy_examples(out: Path, *, quiet: bool = False) -> int:
    """Copy the examples into a folder and say what they are; raises CaseError rather than replace a file."""
    if CASES is None:
        raise CaseError(
            "no example cases come with this copy of the package; allowed: an installed one or a source tree"
        )
    files = sorted(
        path for path in CASES.rglob("*") if path.is_file() and path.relative_to(CASES).parts[0] != BENCHMARKS
    )
    targets = [out / path.relative_to(CASES) for path in files]
    if there := next((target for target in targets if target.exists()), None):
        raise CaseError(f"{there}: is there already; allowed: --out DIR, a folder without these files")
    for path, target in zip(files, targets, strict=True):
        _copy(path, target)
    if not quiet:
        say("\n".join([*map(str, targets), "", f"Try: buckle run {out / 'demo' / 'base.toml'}\n"]))
    return MET


def _copy(path: Path, target: Path) -> None:
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(path, target)
    except OSError as error:
        raise CaseError(f"{target}: cannot be written ({error.strerror}); allowed: a folder to write to") from error
