"""[deviation]: how far the body lies off its perfect shape, chosen by its own word as a hardening law is."""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from buckle.case.keys import Finding, unknown_word
from buckle.case.locator import KeyPath
from buckle.case.models import (
    DEVIATIONS,
    ClassDeviation,
    Deviation,
    DimpleDeviation,
    Loads,
    MeasuredDeviation,
    WaveDeviation,
)
from buckle.case.validate import Checked, check_table
from buckle.errors import CaseError, ShapeError
from buckle.imperfection.body import Deviated, deviated
from buckle.imperfection.profile import Dimple, Profile, Wave
from buckle.imperfection.quality import rings
from buckle.imperfection.scan import profile_of, read_scan, thickness_of
from buckle.inputs import read_bytes
from buckle.landmarks import push
from buckle.meridian import Meridian
from buckle.shapes.thickness import with_thickness
from buckle.units import length_text

PATH: KeyPath = ("deviation",)
DEEPEST = 20.0
"""Thicknesses: a dent so deep is another shape, and no deviation from this one."""


def check_deviation(table: object) -> Checked:
    """Validate a [deviation] table; its shape is judged first, since all other keys depend on it."""
    if not isinstance(table, Mapping):
        return Checked(None, (Finding(PATH, "must be a table", table),))
    shape = table.get("shape")
    if not isinstance(shape, str) or shape not in DEVIATIONS:
        problem = "missing" if shape is None else unknown_word("shape", str(shape), DEVIATIONS)
        return Checked(None, (Finding((*PATH, "shape"), problem, shape, ", ".join(DEVIATIONS)),))
    return check_table(DEVIATIONS[shape], table, PATH)


@dataclass(frozen=True)
class ReadBodies:
    """The bodies that have the deviation, or none and what is wrong; `digest` is that of a scan."""

    bodies: tuple[Deviated, ...] = ()
    findings: tuple[Finding, ...] = ()
    digest: str = ""


def deviated_bodies(deviation: Deviation, meridian: Meridian, loads: Loads, folder: Path) -> ReadBodies:
    """Return the bodies with a deviation, positive towards the side away from the pressure; scans lie in a folder."""
    side = int(push(meridian, loads.pressure_side))
    try:
        if isinstance(deviation, ClassDeviation):
            return ReadBodies(_set(rings(meridian, deviation.quality), meridian, side))
        if isinstance(deviation, MeasuredDeviation):
            return _measured(deviation, meridian, side, folder)
        profile = _profile(deviation, meridian)
        return ReadBodies((Deviated(deviated(meridian, profile, side), profile),))
    except CaseError as error:
        return ReadBodies(findings=(Finding((*PATH, "file"), error.faults[0].problem),))
    except ShapeError as error:
        fault = error.fault
        key = fault.key.removeprefix("deviation").strip(".")
        if not key or key in type(deviation).model_fields:
            return ReadBodies(findings=(Finding((*PATH, key) if key else PATH, fault.problem, allowed=fault.allowed),))
        return ReadBodies(findings=(Finding(PATH, f"{fault.key}: {fault.problem}", allowed=fault.allowed),))


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


def _measured(deviation: MeasuredDeviation, meridian: Meridian, side: int, folder: Path) -> ReadBodies:
    path = folder / deviation.file
    scan = read_scan(path)
    whole = with_thickness(meridian, thickness_of(scan, meridian, deviation.filter))
    profile = profile_of(scan, meridian, side, deviation.filter)
    return ReadBodies(
        (Deviated(deviated(whole, profile, side), profile),), digest=hashlib.sha256(read_bytes(path)).hexdigest()
    )


def _profile(deviation: DimpleDeviation | WaveDeviation, meridian: Meridian) -> Profile:
    """Return the profile of a deviation in numbers. Raises ShapeError for one that is another shape, or lies beyond."""
    deepest = DEEPEST * max(thickness for piece in meridian.pieces for thickness in piece.thickness)
    if abs(deviation.depth) > deepest:
        problem = f"deeper than {DEEPEST:g} walls: another shape"
        raise ShapeError("deviation.depth", deviation.depth, problem, f"up to {deepest:.4g} mm")
    if deviation.at > meridian.length:
        problem = "lies beyond the meridian"
        raise ShapeError("deviation.at", deviation.at, problem, f"up to {meridian.length:.6g} mm")
    name, length = _length(deviation)
    thinnest = min(thickness for piece in meridian.pieces for thickness in piece.thickness)
    if not thinnest <= length:
        raise ShapeError(f"deviation.{name}", length, "shorter than the wall is thick", f">= {thinnest:.4g} mm")
    if isinstance(deviation, DimpleDeviation):
        return Dimple(deviation.at, deviation.width, deviation.depth, meridian.closed_at_start)
    return Wave(deviation.at, deviation.wavelength, deviation.depth)


def _length(deviation: DimpleDeviation | WaveDeviation) -> tuple[str, float]:
    return (
        ("width", deviation.width) if isinstance(deviation, DimpleDeviation) else ("wavelength", deviation.wavelength)
    )
