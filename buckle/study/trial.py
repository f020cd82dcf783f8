"""Whether a case takes the keys of a study at all: tried on a few designs, before thousands are."""

import re
from collections.abc import Iterator, Mapping

from buckle.case.keys import Finding
from buckle.case.locator import KeyPath
from buckle.errors import CaseError, Fault
from buckle.study.study import Design, Study

TRIES = 9
COUNTED_BY_NONE = ("tolerances", "size", "expect")
"""Tables of a case, or of a container or its parts, that no analysis of a design counts."""


def try_keys(study: Study, paths: Mapping[str, KeyPath]) -> Iterator[Finding]:
    """Yield a finding for each key that is at fault in every one of a few designs spread over the study.

    A value that only does not go with some others is no fault of the key: it makes designs that cannot be built.
    """
    for key, path in paths.items():
        if _table(key) in COUNTED_BY_NONE:
            yield Finding(path, "is counted by no analysis of a design", allowed="a key of another table")
    numbers = sorted({1 + (study.count - 1) * at // (TRIES - 1) for at in range(TRIES)})
    faults = [_faults(study, study.design(number)) for number in numbers]
    for key, path in paths.items():
        own = [next((fault for fault in each if _about(fault, key)), None) for each in faults]
        if own[0] is not None and all(own) and _table(key) not in COUNTED_BY_NONE:
            yield Finding(path, own[0].problem, own[0].value, own[0].allowed)


def _table(key: str) -> str:
    """Return the table of a case that a key stands in, which may be a part's or that of a state of one."""
    return re.sub(r"^parts\.[^.]+\.(states\.[^.]+\.)?", "", key).partition(".")[0]


def _faults(study: Study, design: Design) -> tuple[Fault, ...]:
    try:
        study.case(design)
    except CaseError as error:
        key, _, problem = str(error).partition(": ")
        return error.faults or (Fault(key, problem),)
    return ()


def _about(fault: Fault, key: str) -> bool:
    """Tell whether a fault stands at a key, at a table that holds it, or inside its value."""
    return fault.key == key or key.startswith(f"{fault.key}.") or fault.key.startswith((f"{key}.", f"{key}["))
