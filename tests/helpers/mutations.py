"""Records changed at random, as a slip of an editor or of a script would."""

import copy
import json
import random
from collections.abc import Iterator
from pathlib import Path as FilePath
from typing import Any

from buckle.record.artefacts import RECORD
from buckle.record.seal import DIGEST, SEAL, digest_of

Path = tuple[str | int, ...]


def mutated(told: dict[str, Any], seed: int) -> tuple[dict[str, Any], str]:
    """Return a copy of a record with one part of it changed, and in words what was."""
    chance = random.Random(seed)
    changed = copy.deepcopy(told)
    while True:
        path = chance.choice(list(_paths(told)))
        kind = chance.choice(sorted(_KINDS))
        holder: Any = changed
        for part in path[:-1]:
            holder = holder[part]
        old = holder[path[-1]]
        new = _KINDS[kind](old, chance, told)
        if kind == "drop":
            del holder[path[-1]]
        else:
            holder[path[-1]] = new
        if repr(changed) != repr(told):  # true and 1 are equal
            return changed, f"{kind} {'.'.join(map(str, path))}"


def _paths(value: Any, at: Path = ()) -> Iterator[Path]:
    """Yield where every part of a record lies."""
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in items:
        yield (*at, key)
        yield from _paths(item, (*at, key))


def _swapped(old: Any, chance: random.Random, told: dict[str, Any]) -> Any:
    other: Any = told
    for part in chance.choice(list(_paths(told))):
        other = other[part]
    return copy.deepcopy(other)


def _truncated(old: Any, chance: random.Random, told: dict[str, Any]) -> Any:
    if isinstance(old, str | list):
        return old[: len(old) // 2]
    return dict(list(old.items())[: len(old) // 2]) if isinstance(old, dict) else float(f"{_number(old):.3g}")


def _number(old: Any) -> float:
    return float(old) if isinstance(old, int | float) else 1.0


def _nested(old: Any, chance: random.Random, told: dict[str, Any]) -> Any:
    for _ in range(chance.choice([1, 2, 40])):
        old = chance.choice([[old], {"": old}, [old, [old]] if isinstance(old, int | float | str) else [old]])
    return old


_KINDS: dict[str, Any] = {
    "drop": lambda old, chance, told: None,
    "swap": _swapped,
    "negate": lambda old, chance, told: (not old) if isinstance(old, bool) else -_number(old),
    "nudge": lambda old, chance, told: _number(old) * chance.choice([0.9, 1.1, 1.0 + 1e-9]),
    "NaN": lambda old, chance, told: float("nan"),
    "infinity": lambda old, chance, told: float("-inf") if chance.random() < 0.5 else float("inf"),
    "huge": lambda old, chance, told: chance.choice([1e300, -1e300, 10**400, 5e-324, 1e29, 0]),
    "retype": lambda old, chance, told: chance.choice([str(old), [old], {"x": old}, None, True, 1, 1.5, "", [], {}]),
    "text": lambda old, chance, told: chance.choice(
        ["\ud800", "<b>\n\0", "x = (", "1e.+ <= x", "p = 1/0; = ^", "1 <="]
    ),
    "truncate": _truncated,
    "nest": _nested,
}


def rewritten(directory: FilePath, told: dict[str, Any], *, resealed: bool = False) -> None:
    """Replace the record of a results directory, with a digest worked out anew as who changes it on purpose would."""
    if resealed:
        told = {**told, SEAL: {**told[SEAL], DIGEST: digest_of(told)}}
    (directory / RECORD).write_text(json.dumps(told), encoding="utf-8")
