"""Where data of a record is not what something else gives."""

import math
from collections.abc import Iterator

SAME = 1e-9
"""Parts in one by which a number may differ between machines, whose last digits do."""
OF_CASE = "the case file gives"


def differences(where: str, own: object, recorded: object, gives: str = OF_CASE, same: float = SAME) -> Iterator[str]:
    """Yield the places where data of a record is not what something else gives."""
    if isinstance(own, dict) and isinstance(recorded, dict) and set(own) == set(recorded):
        for key in own:
            yield from differences(f"{where}.{key}", own[key], recorded[key], gives, same)
    elif isinstance(own, list) and isinstance(recorded, list) and len(own) == len(recorded):
        for index, (one, other) in enumerate(zip(own, recorded, strict=True)):
            yield from differences(f"{where}[{index}]", one, other, gives, same)
    elif not _same(own, recorded, same):
        yield f"{where}: is not what {gives}"


def _same(own: object, recorded: object, same: float) -> bool:
    numbers = all(isinstance(each, int | float) and not isinstance(each, bool) for each in (own, recorded))
    if numbers:
        return math.isclose(own, recorded, rel_tol=same)  # type: ignore[arg-type]  # numbers, as just seen
    return type(own) is type(recorded) and own == recorded
