"""Whether a case takes the keys of a study at all: tried on a few designs, before thousands are."""

from collections.abc import Iterator, Mapping

from buckle.case.keys import Finding
from buckle.case.locator import KeyPath
from buckle.errors import CaseError, Fault
from buckle.study.study import Design, Study

TRIES = 9


def try_keys(study: Study, paths: Mapping[str, KeyPath]) -> Iterator[Finding]:
    """Yield a finding for each key that is at fault in every one of a few designs spread over the study.

    A value that only does not go with some others is no fault of the key: it makes designs that cannot be built.
    """
    numbers = sorted({1 + (study.count - 1) * at // (TRIES - 1) for at in range(TRIES)})
    faults = [_faults(study, study.design(number)) for number in numbers]
    for key, path in paths.items():
        own = [next((fault for fault in each if _about(fault, key)), None) for each in faults]
        if own[0] is not None and all(own):
            yield Finding(path, own[0].problem, own[0].value, own[0].allowed)


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
