"""The record of a container: what follows from the records of its parts, and what is said of the whole."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from buckle.cautions import CAUTIONS
from buckle.container.container import Container
from buckle.container.summary import (
    Cut,
    Standing,
    Volumes,
    cuts_of,
    filling_note,
    masses_of,
    standing_of,
    unasked_vacuum,
    volumes_of,
)
from buckle.increasing import PRESSURE, PUSH, Increasing
from buckle.margins import Verdict, Word
from buckle.margins.contents import unasked_sentence
from buckle.margins.margin import JUDGED, Margin
from buckle.margins.verdict import word_of_parts
from buckle.record.margins import margin_of
from buckle.record.quantities import Fields, Record, benchmarks, plain_mapping, versions
from buckle.record.reading import number_of, rows_of, texts_of
from buckle.record.seal import SEAL
from buckle.results import Status
from buckle.units import bar, to_unit

FAMILY = "container"
"""What the record of a container has as its family."""
JOINT = "joint."
"""How the keys begin of what the parts came to as one shell."""
LEFT_OUT = (SEAL, "versions", "benchmarks", "cautions", "purpose")
"""Of a part's record: what is the same of all parts."""
_CARRIES = (*JUDGED, Verdict.NO_REQUIREMENT, Verdict.NO_VERDICT)


@dataclass(frozen=True)
class First:
    """What a part carries of one load before its first limit state that counts."""

    part: str
    margin: Margin
    word: Word  # on the whole part, doubts about its shape among it


def container_record(
    container: Container, records: Mapping[str, Fields], failed: Mapping[str, str], joint: Fields | None = None
) -> Record:
    """Return the record of a container as plain data under flat keys, those of a part behind its name.

    `failed` tells of parts without a record why they have none; `joint` is what the parts came to as one shell.
    """
    return plain_mapping(
        {
            "title": container.title,
            "purpose": container.purpose,
            "family": FAMILY,
            "input_sha256": container.input_hash,
            "versions": versions(),
            "benchmarks": benchmarks(),
            "parts": [each.name for each in container.loaded],
            **_verdict_fields(container, records, failed),
            **_first_fields(records),
            **summary_fields(container),
            **(joint or {}),
            **{key: value for name in records for key, value in _of_part(name, records[name])},
            **{f"{name}.{key}": value for name in failed for key, value in _of_failed(failed[name])},
            "margins": [row for name, each in records.items() for row in _rows(name, each)],
            "cautions": CAUTIONS,
        }
    )


def _of_part(name: str, recorded: Fields) -> Iterator[tuple[str, object]]:
    """Yield the numbers and words of a part's record."""
    for key, value in recorded.items():
        if isinstance(value, float | int | str | bool) and key not in LEFT_OUT:
            yield f"{name}.{key}", value


def _of_failed(reason: str) -> Iterator[tuple[str, object]]:
    yield "status", Status.FAILED.value
    yield "reason", reason


def _rows(name: str, recorded: Fields) -> Iterator[Fields]:
    """Yield the computed margins of a part."""
    yield from ({"part": name, **row} for row in rows_of(recorded["margins"]) if "beside" not in row)


# The verdict ----------------------------------------------------------------------------------------------------------


def _verdict_fields(container: Container, records: Mapping[str, Fields], failed: Mapping[str, str]) -> Fields:
    words = {name: Word(str(each["verdict"])) for name, each in records.items()} | dict.fromkeys(
        failed, Word.NO_VERDICT
    )
    reserves = {
        name: reserve
        for name, each in records.items()
        if (reserve := number_of(each.get("reserve_factor"))) is not None
    }
    least = min(reserves, key=lambda name: reserves[name], default=None)
    vacuum = unasked_vacuum(container)
    of_contents = [f"contents: {Word.DOUBT}: {unasked_sentence(vacuum)}"] if vacuum else []
    return {
        "verdict": str(word_of_parts([*words.values(), *([Word.DOUBT] if vacuum else [])])),
        "reserve_factor": None if least is None else reserves[least],
        "governing_part": least,
        "governing_limit_state": None if least is None else records[least].get("governing_limit_state"),
        "required": any(each.get("required") for each in records.values()),
        **_required(records),
        "reasons": [f"{name}: {_why(word, records.get(name), failed.get(name))}" for name, word in words.items()]
        + of_contents,
    }


def _required(records: Mapping[str, Fields]) -> Fields:
    """What is required of all parts alike, by load."""
    found = {}
    for load in (PRESSURE, PUSH):
        key = f"required_{load.key}"
        values = {number for each in records.values() if (number := number_of(each.get(key))) is not None}
        if len(values) == 1:
            found[key] = values.pop()
    return found


def _why(word: Word, recorded: Fields | None, failed: str | None) -> str:
    """Return the word on a part, and why it is no better."""
    if recorded is None:
        return f"{word}: {failed}"
    missed = [str(row["limit_state"]) for row in rows_of(recorded["margins"]) if row.get("verdict") == Verdict.NOT_MET]
    because: Mapping[Word, Sequence[str]] = {
        Word.NOT_MET: missed,
        Word.DOUBT: texts_of(recorded.get("doubts")),
        Word.NO_VERDICT: texts_of(recorded.get("not_judged")),
    }
    return ": ".join(each for each in (str(word), "; ".join(because.get(word, ()))) if each)


# Which part goes first ------------------------------------------------------------------------------------------------


def firsts(records: Mapping[str, Fields]) -> list[First]:
    """Return what each part carries of its load, pressures first, each load from the weakest part on."""
    found = [first for name, each in records.items() if (first := _first(name, each)) is not None]
    return sorted(found, key=lambda each: (not each.margin.increasing.is_pressure, each.margin.capacity))


def _first(name: str, recorded: Fields) -> First | None:
    """Return the lowest load among the limit states that the deciding analysis found."""
    decider = recorded.get("decided_by")
    margins = [margin_of(row) for row in rows_of(recorded["margins"]) if "beside" not in row]
    carried = [
        each
        for each in margins
        if each.method == decider and each.size is None and each.capacity and each.verdict in _CARRIES
    ]
    lowest = min(carried, key=lambda each: each.capacity or 0.0, default=None)
    return None if lowest is None else First(name, lowest, Word(str(recorded["verdict"])))


def _first_fields(records: Mapping[str, Fields]) -> Fields:
    """Which part goes first under each load, at how much of it."""
    found = firsts(records)
    return {
        key: value
        for load in (PRESSURE, PUSH)
        for key, value in _of_load(load, [each for each in found if each.margin.increasing == load])
    }


def _of_load(load: Increasing, found: Sequence[First]) -> Iterator[tuple[str, object]]:
    """Yield the first of the parts under one load; those that met no limit come after all others."""
    if not found:
        return
    ends = [each for each in found if not each.margin.at_least] or found
    margin = ends[0].margin
    assert margin.capacity is not None
    yield f"capacity_{load.key}", load.recorded(margin.capacity)
    yield f"capacity_{load.name}_part", ends[0].part
    yield f"capacity_{load.name}_limit_state", margin.limit_state


# What is said of the whole --------------------------------------------------------------------------------------------


def summary_fields(container: Container) -> Fields:
    """Return masses, volumes, discs with their cost, and how it stands on a pallet."""
    masses, volumes = masses_of(container), volumes_of(container)
    known = len(masses) == len(container.parts)
    cuts, standing = cuts_of(container), standing_of(container)
    costs = [cut.metal.net for cut in cuts.values()]
    return {
        "mass_g": sum(masses.values()) if known else None,
        **{f"{name}.own_mass_g": mass for name, mass in masses.items()},
        **({} if volumes is None else _volume_fields(volumes)),
        "filling_note": filling_note(container, volumes) or None,
        **{key: value for name, cut in cuts.items() for key, value in _cut_fields(f"blanks.{name}", cut)},
        "metal_cost_per_thousand": sum(costs) if costs else None,
        **({} if standing is None else _standing_fields(standing, container.pallet.layers if container.pallet else 0)),
    }


def _volume_fields(found: Volumes) -> Fields:
    return {
        "height_mm": found.height,
        "brim_volume_ml": _ml(found.brim),
        "closed_volume_ml": _ml(found.closed),
        "fill_line_volume_ml": _ml(found.to_line),
        "filled_below_brim_mm": found.filled_below_brim,
        "headspace_ml": _ml(found.headspace),
    }


def _ml(volume: float | None) -> float | None:
    return None if volume is None else to_unit(volume, "volume", "ml")


def _cut_fields(name: str, cut: Cut) -> Iterator[tuple[str, object]]:
    metal = cut.metal
    yield f"{name}.diameter_mm", cut.disc
    yield f"{name}.strip_share", cut.strip_share
    yield f"{name}.bought_g", metal.bought
    yield f"{name}.skeleton_g", metal.skeleton
    yield f"{name}.trimmed_g", metal.trimmed
    yield f"{name}.in_part_g", metal.part
    yield f"{name}.paid_per_thousand", metal.paid
    yield f"{name}.returned_per_thousand", metal.returned
    yield f"{name}.metal_cost_per_thousand", metal.net


def _standing_fields(found: Standing, layers: float) -> Fields:
    most = found.most
    return {
        "pallet.square_per_layer": found.square,
        "pallet.hexagonal_per_layer": found.hexagonal,
        "pallet.square_share": found.square_share,
        "pallet.hexagonal_share": found.hexagonal_share,
        "pallet.layers": int(layers),
        "pallet.containers": int(layers) * max(found.square, found.hexagonal),
        "pallet.filled_mass_g": found.mass,
        "pallet.height_mm": found.height,
        "pallet.axial_force_N": -found.force,
        "pallet.least_pressure_bar": bar(found.pressure),
        "pallet.lower_bound_axial_force_N": None if found.allowed is None else -found.allowed,
        "pallet.layers_by_lower_bound": None if most is None or most.layers is None else most.layers,
    }
