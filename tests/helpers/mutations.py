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


def mutated(recorded: dict[str, Any], seed: int) -> tuple[dict[str, Any], str]:
    """Return a copy of a record with one part of it changed, and in words what was."""
    chance = random.Random(seed)
    changed = copy.deepcopy(recorded)
    while True:
        path = chance.choice(list(_paths(recorded)))
        kind = chance.choice(sorted(_KINDS))
        holder: Any = changed
        for part in path[:-1]:
            holder = holder[part]
        old = holder[path[-1]]
        new = _KINDS[kind](old, chance, recorded)
        if kind == "drop":
            del holder[path[-1]]
        else:
            holder[path[-1]] = new
        if repr(changed) != repr(recorded):  # true and 1 are equal
            return changed, f"{kind} {'.'.join(map(str, path))}"


def _paths(value: Any, at: Path = ()) -> Iterator[Path]:
    """Yield where every part of a record lies."""
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in items:
        yield (*at, key)
        yield from _paths(item, (*at, key))


def _swapped(old: Any, chance: random.Random, recorded: dict[str, Any]) -> Any:
    other: Any = recorded
    for part in chance.choice(list(_paths(recorded))):
        other = other[part]
    return copy.deepcopy(other)


def _truncated(old: Any, chance: random.Random, recorded: dict[str, Any]) -> Any:
    if isinstance(old, str | list):
        return old[: len(old) // 2]
    return dict(list(old.items())[: len(old) // 2]) if isinstance(old, dict) else float(f"{_number(old):.3g}")


def _number(old: Any) -> float:
    return float(old) if isinstance(old, int | float) else 1.0


def _nested(old: Any, chance: random.Random, recorded: dict[str, Any]) -> Any:
    for _ in range(chance.choice([1, 2, 40])):
        old = chance.choice([[old], {"": old}, [old, [old]] if isinstance(old, int | float | str) else [old]])
    return old


_KINDS: dict[str, Any] = {
    "drop": lambda old, chance, recorded: None,
    "swap": _swapped,
    "negate": lambda old, chance, recorded: (not old) if isinstance(old, bool) else -_number(old),
    "nudge": lambda old, chance, recorded: _number(old) * chance.choice([0.9, 1.1, 1.0 + 1e-9]),
    "NaN": lambda old, chance, recorded: float("nan"),
    "infinity": lambda old, chance, recorded: float("-inf") if chance.random() < 0.5 else float("inf"),
    "huge": lambda old, chance, recorded: chance.choice([1e300, -1e300, 10**400, 5e-324, 1e29, 0]),
    "retype": lambda old, chance, recorded: chance.choice(
        [str(old), [old], {"x": old}, None, True, 1, 1.5, "", [], {}]
    ),
    "text": lambda old, chance, recorded: chance.choice(
        ["\ud800", "<b>\n\0", "x = (", "1e.+ <= x", "p = 1/0; = ^", "1 <="]
    ),
    "truncate": _truncated,
    "nest": _nested,
}


def rewritten(directory: FilePath, recorded: dict[str, Any], *, resealed: bool = False) -> None:
    """Replace the record of a results directory, with a digest worked out anew as who changes it on purpose would."""
    if resealed:
        recorded = {**recorded, SEAL: {**recorded[SEAL], DIGEST: digest_of(recorded)}}
    (directory / RECORD).write_text(json.dumps(recorded), encoding="utf-8")
