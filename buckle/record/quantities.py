"""The content of results.json: one flat object whose keys are names of quantities, absent when not found."""

import json
import math
import platform
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

import numpy as np

from buckle.case import Case
from buckle.cautions import CAUTIONS
from buckle.proportions import unusual
from buckle.record.demand import demand_fields
from buckle.results import Event, Growth, Outcome, Status, WavePath
from buckle.units import to_unit

Record = dict[str, object]
Fields = Mapping[str, object]

KINDS = ("LA", "LBA", "MNA", "GNA", "GMNA", "GNIA", "GMNIA")
"""Kinds of analysis of EN 1993-1-6 in the order of their names on a sheet."""
SUITE = "suite.json"
"""Written by scripts/pages."""
WITH_CAPACITY = ("GMNA", "GMNIA")
"""Kinds whose path has ceilings; the capacity of the others is their governing pressure."""
PACKAGES = ("buckle", "numpy", "scipy", "numba", "scikit-fem")


def record(case: Case, outcomes: Sequence[Outcome], verdict: Fields, expectations: Sequence[Fields] = ()) -> Record:
    """Return the record of a run as plain data; no value in it is None, NaN or infinite.

    Pressures are in bar, lengths in mm, forces in N as they act (compression negative), in texts too, where they are
    marked; verdict (with its margins) and expectations are what the caller has worked out.
    """
    kinds = {f"{outcome.kind}.{key}": value for outcome in outcomes for key, value in _kind_fields(outcome).items()}
    recorded = {
        **_name_fields(case),
        "versions": versions(),
        "benchmarks": benchmarks(),
        **kinds,
        **growth_fields(case, outcomes),
        **_body_fields(case),
        **demand_fields(case),
        **verdict,
        "expectations": list(expectations) or None,
        "inputs": _inputs(case),
        "cautions": CAUTIONS,
    }
    return plain_mapping(recorded)


def of_case(case: Case) -> Record:
    """Return the part of a record that follows from the case alone, whatever its analyses find."""
    return plain_mapping({**_name_fields(case), **_body_fields(case), **demand_fields(case), "inputs": _inputs(case)})


def versions() -> dict[str, str]:
    """Return the versions that the numbers came from."""
    return {"python": platform.python_version(), **{name: _version(name) for name in PACKAGES}}


@cache
def benchmarks() -> dict[str, int]:
    """Return how the benchmark suite of this version stands: cases, expectations and how many of these are met."""
    counts: dict[str, int] = json.loads((Path(__file__).parent / SUITE).read_text(encoding="utf-8"))
    return counts


@cache
def _version(package: str) -> str:
    try:
        return version(package)
    except PackageNotFoundError:  # run from a source tree
        return "not installed"


def _kind_fields(outcome: Outcome) -> Fields:
    """Everything that one analysis found, under names without its kind."""
    return {
        "status": outcome.status.value,
        "reason": outcome.reason or None,
        "remedy": outcome.remedy or None,
        "notes": list(outcome.notes) or None,
        "shapes_not_read": outcome.unread or None,
        f"first_yield_{outcome.increasing.key}": _size(outcome, outcome.first_yield),
        **linear_fields(outcome),
        **event_fields(outcome),
        "waves": [wave_fields(outcome, path) for path in outcome.waves] if outcome.in_waves else None,
        "settings": dict(outcome.settings) or None,
        "balance": _balance_fields(outcome),
        "convergence_percent": dict(outcome.convergence) or None,
    }


def linear_fields(outcome: Outcome) -> Fields:
    """Return the linear bifurcations, the lowest among them."""
    lowest, load = outcome.lowest_critical, outcome.increasing
    if lowest is None:
        return {}
    return {
        f"critical_{load.key}": load.recorded(lowest.load),
        "wave_number": lowest.wave_number,
        "by_wave_number": [
            {"wave_number": event.wave_number, load.key: load.recorded(event.load)} for event in outcome.critical
        ],
    }


def wave_fields(outcome: Outcome, path: WavePath) -> Fields:
    """Return what came of a deviation in waves: highest load, waves there [mm], and the load at which they are seen."""
    key = outcome.increasing.key
    return {
        "deviation_mm": path.deviation,
        "wave_number": path.wave_number,
        f"limit_{key}": _size(outcome, path.peak),
        f"visible_waves_{key}": _size(outcome, path.visible),
        "waves_mm": path.peak_waves,
        "growth_beyond": path.growth_beyond,
        "saturates": path.saturates,
        "ended": path.ended or None,
    }


def event_fields(outcome: Outcome) -> Fields:
    """Return limits, bifurcations, the one of them that governs, and the capacity with its numerical error."""
    governing, capacity, key = outcome.governing, outcome.capacity, outcome.increasing.key
    recorded = capacity if outcome.kind in WITH_CAPACITY else None
    reached = outcome.reached if outcome.status is Status.NO_LIMIT and outcome.reached else None
    return {
        f"limit_{key}": _load(outcome.limit),
        f"highest_limit_{key}": _load(outcome.highest_limit),
        f"bifurcation_{key}": _load(outcome.bifurcation),
        "bifurcation_wave_number": _wave_number(outcome.bifurcation),
        "bifurcation_at": _piece_and_radius(outcome.bifurcation or outcome.lowest_critical),
        f"deformation_theory_bifurcation_{key}": _load(outcome.deformation_bifurcation),
        "deformation_theory_bifurcation_wave_number": _wave_number(outcome.deformation_bifurcation),
        f"governing_{key}": _load(governing),
        "governing_event": None if governing is None else governing.kind,
        f"capacity_{key}": _load(recorded),
        "capacity_event": None if recorded is None else recorded.kind,
        f"at_least_{key}": _size(outcome, reached),
        "numerical_error_percent": outcome.first_yield_error if capacity is None else capacity.error_percent,
    }


def _load(event: Event | None) -> float | None:
    return None if event is None else event.increasing.recorded(event.load)


def _size(outcome: Outcome, size: float | None) -> float | None:
    return None if size is None else outcome.increasing.recorded(size)


def _wave_number(event: Event | None) -> int | None:
    return None if event is None else event.wave_number


def _piece_and_radius(event: Event | None) -> str | None:
    """Where along the meridian the mode of a bifurcation moves most."""
    if event is None or event.radius is None:
        return None
    return f"{event.piece}, r = {event.radius:.1f} mm"


def _balance_fields(outcome: Outcome) -> Fields | None:
    if outcome.balance is None:
        return None
    return {"applied_N": outcome.balance.applied, "reaction_N": outcome.balance.reaction}


def growth_source(outcomes: Sequence[Outcome]) -> Outcome | None:
    """Return the analysis that growth is told from: GMNA if it was run, whether it found any or not, else GNA.

    That of the deviated shape goes before that of the perfect one, as in the verdict.

    An elastic path must not speak for a base that yields, so that nothing is said where GMNA came to no state.
    """
    ran = {outcome.kind: outcome for outcome in outcomes if not outcome.in_waves}
    return next((ran[kind] for kind in ("GMNIA", "GMNA", "GNIA", "GNA") if kind in ran), None)


def growth_fields(case: Case, outcomes: Sequence[Outcome]) -> Fields:
    """Return how a body moves under the loads of its case and at its capacity, and what of it stays."""
    source = growth_source(outcomes)
    if source is None:
        return {}
    recorded = [
        {
            each.increasing.key: each.increasing.recorded(each.load),
            "growth_mm": each.loaded,
            "permanent_growth_mm": each.permanent,
            "stand_drop_mm": each.stand_drop,
            "face_strain": each.face_strain,
            "middle_strain": each.middle_strain,
            "at": name,
            "analysis": source.kind,
        }
        for name, each in states(case, source)
    ]
    return {
        f"growth_at_{source.increasing.unit}": recorded or None,
        "permanent_growth_mm": _permanent(case, source.growth),
    }


def states(case: Case, source: Outcome) -> Iterator[tuple[str, Growth]]:
    """Yield the states whose movement is told, with what their pressure is."""
    for each in source.growth:
        yield ("service" if each.load == case.requirements.service_pressure else "required"), each
    if source.at_capacity is not None:
        yield "capacity", source.at_capacity


def _permanent(case: Case, growths: Sequence[Growth]) -> float | None:
    """Growth that stays after the service pressure, else after the required one [mm]."""
    wanted = case.requirements.service_pressure or case.required_load
    return next((each.permanent for each in growths if each.load == wanted), None)


def _body_fields(case: Case) -> Fields:
    meridian, density = case.meridian, case.material.density
    return {
        "mass_g": meridian.mass(density) if density else None,
        "enclosed_volume_ml": to_unit(meridian.enclosed_volume, "volume", "ml"),
        "surface_area_mm2": meridian.surface_area,
        "blank_diameter_mm": meridian.blank_diameter,
        "body_cautions": list(unusual(meridian, case.material)) or None,
    }


def _name_fields(case: Case) -> Fields:
    return {
        "title": case.title,
        "purpose": case.purpose,
        "family": case.family,
        "input_sha256": case.input_hash,
    }


def _inputs(case: Case) -> Sequence[Fields]:
    return [
        {"key": line.key, "value": line.value, "origin": line.origin, "source": line.source or None}
        for line in case.echo
    ]


def plain_mapping(fields: Fields) -> Record:
    """Return the fields that have a value, as data that JSON knows."""
    plain = {str(key): _plain(value) for key, value in fields.items()}
    return {key: value for key, value in plain.items() if not _missing(value)}


def _plain(value: object) -> object:
    if isinstance(value, Mapping):
        return plain_mapping(value)
    if isinstance(value, np.ndarray | np.generic):
        return _plain(value.tolist())
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return value


def _missing(value: object) -> bool:
    return value is None or (isinstance(value, float) and not math.isfinite(value))
