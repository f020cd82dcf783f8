"""[deviation]: how far the body lies off its perfect shape, chosen by its own word as a hardening law is."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from buckle.case.deviates import (
    DEVIATIONS,
    ClassDeviation,
    DimpleDeviation,
    MeasuredDeviation,
    ModeDeviation,
    ModesDeviation,
    WaveDeviation,
)
from buckle.case.keys import Finding, unknown_word
from buckle.case.locator import KeyPath
from buckle.case.shape import MeasuredBody
from buckle.case.validate import Checked, check_table, value_at
from buckle.errors import CaseError, ShapeError
from buckle.imperfection.body import Deviated, deviated
from buckle.imperfection.profile import Dimple, Profile, Wave
from buckle.imperfection.quality import rings
from buckle.imperfection.scan import profile_of, read_scan, thickness_of
from buckle.landmarks import push
from buckle.meridian import Meridian
from buckle.shapes.thickness import with_thickness
from buckle.units import length_text

PATH: KeyPath = ("deviation",)
MOST_WAVES = 60
"""Along a meridian; eight elements are taken for each."""
DEEPEST = 20.0
"""Thicknesses: a dent so deep is another shape, and no deviation from this one."""


@dataclass(frozen=True)
class ReadDeviation(Checked):
    """The validated table and the bodies that have the deviation; `digest` is that of a scan."""

    bodies: tuple[Deviated, ...] = ()
    digest: str = ""


def read_deviation(table: object, body: MeasuredBody | None, side: str, folder: Path) -> ReadDeviation:
    """Return the bodies with a deviation, positive towards the side away from the pressure.

    Its shape is judged first, since all other keys depend on it. `side` is that of the pressure; scans lie in a folder.
    """
    if not isinstance(table, Mapping):
        return ReadDeviation(None, (Finding(PATH, "must be a table", table),))
    shape = table.get("shape")
    if not isinstance(shape, str) or shape not in DEVIATIONS:
        problem = "missing" if shape is None else unknown_word("shape", str(shape), DEVIATIONS)
        return ReadDeviation(None, (Finding((*PATH, "shape"), problem, shape, ", ".join(DEVIATIONS)),))
    checked = check_table(DEVIATIONS[shape], table, PATH)
    read = ReadDeviation(checked.model, checked.findings, checked.keys, checked.units)
    return read if body is None or checked.model is None else _with_bodies(read, table, body.meridian, side, folder)


def _with_bodies(
    read: ReadDeviation, table: Mapping[str, Any], meridian: Meridian, side: str, folder: Path
) -> ReadDeviation:
    deviation, onto = read.model, int(push(meridian, side))
    try:
        if isinstance(deviation, MeasuredDeviation):
            body, digest = _measured(deviation, meridian, onto, folder)
            return replace(read, bodies=(body,), digest=digest)
        return replace(read, bodies=tuple(_bodies(deviation, meridian, onto)))
    except CaseError as error:
        at, problem, allowed = "file", error.faults[0].problem, ""
    except ShapeError as error:
        fault = error.fault
        at, allowed = fault.key.removeprefix("deviation").strip("."), fault.allowed
        known = not at or at in type(deviation).model_fields
        at, problem = (at, fault.problem) if known else ("", f"{fault.key}: {fault.problem}")
    path = read.keys.get((*PATH, at), (*PATH, at) if at else PATH)
    return replace(read, findings=(Finding(path, problem, value_at(table, path[1:]) if at else None, allowed),))


def moved_with(
    table: Mapping[str, Any], member: Deviated, perfect: Meridian, other: Meridian, side: str
) -> Meridian | None:
    """Return another meridian with the deviation that a member of a case's set has; None where it cannot have it.

    Numbers of the table stand in mm, from the start of that meridian; of a class they are worked out for it. A scan's
    distances from the perfect shape are carried along as they are, and so is the wall that it measured.
    """
    deviation = check_table(DEVIATIONS[table["shape"]], table, PATH).model
    try:
        profile = None if deviation is None else _other_profile(deviation, member, perfect, other)
        return None if profile is None else deviated(other, profile, int(push(other, side)))
    except ShapeError:
        return None


def _other_profile(deviation: object, member: Deviated, perfect: Meridian, other: Meridian) -> Profile | None:
    if isinstance(deviation, ClassDeviation):
        before, after = (rings(one, deviation.quality) for one in (perfect, other))
        index = [ring == member.profile for ring in before].index(True)
        return after[index] if index < len(after) else None
    return _profile(deviation, other) if isinstance(deviation, DimpleDeviation | WaveDeviation) else member.profile


def _bodies(
    deviation: DimpleDeviation | WaveDeviation | ClassDeviation | ModeDeviation | ModesDeviation,
    meridian: Meridian,
    side: int,
) -> Sequence[Deviated]:
    if isinstance(deviation, ModeDeviation):
        _check_amplitude(deviation, meridian)
        return []  # its mode is for an analysis to find
    if isinstance(deviation, ModesDeviation):
        return []
    if isinstance(deviation, ClassDeviation):
        return _set(rings(meridian, deviation.quality), meridian, side)
    profile = _profile(deviation, meridian)
    return [Deviated(deviated(meridian, profile, side), profile)]


def _check_amplitude(deviation: ModeDeviation, meridian: Meridian) -> None:
    """Raise ShapeError for waves that are as deep as the wall is thick: those are another shape."""
    if deviation.amplitude is None:
        return
    thinnest = min(min(piece.thickness) for piece in meridian.pieces)
    if abs(deviation.amplitude) > thinnest:
        problem = "more than the wall is thick: another shape, and no deviation from this one"
        raise ShapeError("deviation.amplitude", deviation.amplitude, problem, f"up to {thinnest:.4g} mm")


def _set(dimples: Sequence[Dimple], meridian: Meridian, side: int) -> tuple[Deviated, ...]:
    """Return the body with each of the dimples that it can have. Raises ShapeError if it can have none."""
    made, refused = [], None
    for each in dimples:
        try:
            words = f"{length_text(abs(each.depth))} at {length_text(each.at)}"
            sense = "with" if each.depth > 0.0 else "against"
            made.append(Deviated(deviated(meridian, each, side), each, f"a dimple of {words}, {sense} the pressure"))
        except ShapeError as error:
            refused = error
    if not made and refused is not None:
        raise refused
    return tuple(made)


def _measured(deviation: MeasuredDeviation, meridian: Meridian, side: int, folder: Path) -> tuple[Deviated, str]:
    """Return the body of a scan, and the scan's digest."""
    _check_count("filter", deviation.filter, meridian)
    scan = read_scan(folder / deviation.file)
    whole = with_thickness(meridian, thickness_of(scan, meridian, deviation.filter))
    profile = profile_of(scan, meridian, side, deviation.filter)
    return Deviated(deviated(whole, profile, side), profile), scan.digest


def _profile(deviation: DimpleDeviation | WaveDeviation, meridian: Meridian) -> Profile:
    """Return the profile of a deviation in numbers. Raises ShapeError for one that is another shape, or lies beyond."""
    deepest = DEEPEST * max(thickness for piece in meridian.pieces for thickness in piece.thickness)
    if abs(deviation.depth) > deepest:
        problem = f"deeper than {DEEPEST:g} walls: another shape"
        raise ShapeError("deviation.depth", deviation.depth, problem, f"up to {deepest:.4g} mm")
    if deviation.at > meridian.length:
        problem = "lies beyond the meridian"
        raise ShapeError("deviation.at", deviation.at, problem, f"up to {meridian.length:.6g} mm")
    if isinstance(deviation, DimpleDeviation):
        name, length = "width", deviation.width
    else:
        name, length = "wavelength", deviation.wavelength
        _check_count(name, length, meridian)
    thinnest = min(thickness for piece in meridian.pieces for thickness in piece.thickness)
    if length < thinnest:
        raise ShapeError(f"deviation.{name}", length, "shorter than the wall is thick", f">= {thinnest:.4g} mm")
    if isinstance(deviation, DimpleDeviation):
        return Dimple(deviation.at, deviation.width, deviation.depth, meridian.closed_at_start)
    return Wave(deviation.at, deviation.wavelength, deviation.depth)


def _check_count(key: str, length: float, meridian: Meridian) -> None:
    """Raise ShapeError for waves so many that their mesh would take minutes and gigabytes."""
    least = meridian.length / MOST_WAVES
    if length < least:
        raise ShapeError(f"deviation.{key}", length, f"makes more than {MOST_WAVES} waves", f">= {least:.4g} mm")
