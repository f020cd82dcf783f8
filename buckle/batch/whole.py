"""A container that is asked for its reserves: which of its parts are asked, and what their answers are together."""

from collections.abc import Iterator, Mapping, Sequence

from buckle.batch.reserves import AT_LEAST, CAPACITY, DECIDES, DEMAND, LOWER, ONSET, RESERVE, SLOPE, of_part
from buckle.case import Case
from buckle.case.reader import PARTS
from buckle.container.container import Container, Loaded
from buckle.container.reader import STATES
from buckle.container.summary import closed_volume_of, masses_of, unasked_vacuum
from buckle.margins.contents import unasked_sentence
from buckle.margins.verdict import Word, word_of_parts
from buckle.marked import plain
from buckle.store import Result, RowStatus
from buckle.store.rows import Value
from buckle.units import to_unit

WITHOUT_ANSWER = (RowStatus.FAILED, RowStatus.NOT_BUILT, RowStatus.DIED)
OF_REQUIREMENTS = (RESERVE, DEMAND, AT_LEAST)


def is_required(case: Case) -> bool:
    """Tell whether anything is required of a case."""
    needs = case.requirements
    asked = (case.required_load, needs.growth, needs.permanent_growth, needs.stand_drop, needs.plastic_strain)
    return any(each is not None for each in asked)


def asked_of(container: Container) -> tuple[Loaded, ...]:
    """Return the parts, under each of their loads, of which something is required."""
    return tuple(each for each in container.loaded if is_required(each.case))


def keys_of(loaded: Loaded, keys: Sequence[str]) -> tuple[str, ...]:
    """Return the keys of a container that are of a part, as the part's own file has them."""
    head = f"{PARTS}.{loaded.part}."
    return tuple(key.removeprefix(head) for key in keys if key.startswith(head))


def derivable(keys: Sequence[str]) -> bool:
    """Tell whether each key is of one part in all of its states, so that no other part depends on it."""
    return all(key.startswith(f"{PARTS}.") and key.split(".")[2:3] != [STATES] for key in keys)


def together(container: Container, results: Mapping[str, Result], keys: Sequence[str]) -> Result:
    """Return what a container is judged by, from what its parts are under each load, behind their names.

    It has no reserve where one of its parts has none, or where something that is required of one cannot be judged.
    With keys, the derivatives of all reserves by them: nil for those of a part that a key is not of.
    """
    spent = sum(each.seconds for each in results.values())
    reasons = [f"{name}: {each.reason}" for name, each in results.items() if each.reason]
    open_ = [name for name, each in results.items() if not _is_judged(each)]
    if open_:
        why = [results[name].reason or "nothing that is required can be judged" for name in open_]
        reason = "; ".join(f"{name}: {each}" for name, each in zip(open_, why, strict=True))
        return Result("", RowStatus.FAILED, reason, {}, spent)
    found = dict(_of_whole(container, results))
    for loaded in asked_of(container):
        found |= dict(_of_requirements(loaded, results[loaded.name], keys))
    states = {each.status for each in results.values()}
    status = RowStatus.NO_LIMIT if RowStatus.NO_LIMIT in states else RowStatus.SOLVED
    return Result("", status, "; ".join(reasons), found, spent)


def _is_judged(result: Result) -> bool:
    """Tell whether a part has reserves, and all of them: of a path without a limit they are known from below."""
    unknown = result.quantities.get("verdict") == Word.NO_VERDICT and result.status is not RowStatus.NO_LIMIT
    return result.status not in WITHOUT_ANSWER and any(_reserves(result)) and not unknown


def _reserves(result: Result) -> Iterator[tuple[str, float]]:
    for name, value in result.quantities.items():
        if name.startswith(RESERVE):
            yield name.removeprefix(RESERVE), float(value)


def _of_whole(container: Container, results: Mapping[str, Result]) -> Iterator[tuple[str, Value]]:
    """Yield what is said of the whole: what governs is what does so in the part with the least reserve."""
    masses = masses_of(container)
    if len(masses) == len(container.parts):
        yield "mass_g", sum(masses.values())
    volume = closed_volume_of(container)
    if volume is not None:
        yield "enclosed_volume_ml", to_unit(volume, "volume", "ml")
    vacuum = unasked_vacuum(container)
    words = [Word(str(each.quantities["verdict"])) for each in results.values()]
    yield "verdict", str(word_of_parts([*words, *([Word.DOUBT] if vacuum else [])]))
    doubts = [f"{name}: {each.quantities['doubts']}" for name, each in results.items() if "doubts" in each.quantities]
    doubts += [plain(f"contents: {unasked_sentence(vacuum)}")] if vacuum else []
    if doubts:
        yield "doubts", "; ".join(doubts)
    reserves = {name: float(each.quantities["reserve_factor"]) for name, each in results.items() if _has(each)}
    if not reserves:
        return
    least = min(reserves, key=lambda name: reserves[name])
    governing = results[least].quantities
    yield "reserve_factor", reserves[least]
    yield "governing_limit_state", f"{least.replace('.', ', ')}: {governing['governing_limit_state']}"
    if "numerical_error_percent" in governing:
        yield "numerical_error_percent", governing["numerical_error_percent"]


def _has(result: Result) -> bool:
    return "reserve_factor" in result.quantities


def _of_requirements(loaded: Loaded, result: Result, keys: Sequence[str]) -> Iterator[tuple[str, Value]]:
    """Yield what is known of each requirement of a part; an onset stands for a capacity where the path broke off."""
    quantities = dict(result.quantities)
    own = keys_of(loaded, keys)
    slopes = {(name, key): quantities.get(f"{SLOPE}{name} {key}") for name, _ in _reserves(result) for key in own}
    names = {name: name for name, _ in _reserves(result)}
    if ONSET in names and CAPACITY not in names:
        names[CAPACITY] = ONSET
    for name, like in names.items():
        called = of_part(loaded.name, name)
        for head in OF_REQUIREMENTS:
            if f"{head}{like}" in quantities:
                yield f"{head}{called}", quantities[f"{head}{like}"]
        for key in keys:
            inner = keys_of(loaded, [key])
            slope = slopes[like, inner[0]] if inner else 0.0
            if slope is not None:
                yield f"{SLOPE}{called} {key}", slope
        if name == LOWER and loaded.case.requirements.onset == "deformation":
            yield f"{DECIDES}{called}", True
