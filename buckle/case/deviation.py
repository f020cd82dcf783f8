"""[deviation]: how far the body lies off its perfect shape, chosen by its own word as a hardening law is."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from buckle.case.keys import Finding, unknown_word
from buckle.case.locator import KeyPath
from buckle.case.models import (
    DEVIATIONS,
    Deviation,
    DimpleDeviation,
    Loads,
    MeasuredDeviation,
    WaveDeviation,
)
from buckle.case.validate import Checked, check_table
from buckle.errors import CaseError, ShapeError
from buckle.imperfection.body import deviated
from buckle.imperfection.profile import Dimple, Profile, Wave
from buckle.imperfection.scan import profile_of, read_scan, thickness_of
from buckle.inputs import read_bytes
from buckle.landmarks import push
from buckle.meridian import Meridian
from buckle.shapes.thickness import with_thickness

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
class Deviated:
    """The body that has the deviation, or None with what is wrong; `digest` is that of a scan."""

    meridian: Meridian | None = None
    findings: tuple[Finding, ...] = ()
    digest: str = ""


def deviated_body(deviation: Deviation, meridian: Meridian, loads: Loads, folder: Path) -> Deviated:
    """Return the body with a deviation, positive towards the side away from the pressure; scans lie in a folder."""
    side = int(push(meridian, loads.pressure_side))
    try:
        if isinstance(deviation, MeasuredDeviation):
            path = folder / deviation.file
            scan = read_scan(path)
            whole = with_thickness(meridian, thickness_of(scan, meridian, deviation.filter))
            profile: Profile = profile_of(scan, meridian, side, deviation.filter)
            return Deviated(deviated(whole, profile, side), digest=hashlib.sha256(read_bytes(path)).hexdigest())
        return Deviated(deviated(meridian, _profile(deviation, meridian), side))
    except CaseError as error:
        return Deviated(findings=(Finding((*PATH, "file"), error.faults[0].problem),))
    except ShapeError as error:
        fault = error.fault
        key = fault.key.removeprefix("deviation").strip(".")
        if not key or key in type(deviation).model_fields:
            return Deviated(findings=(Finding((*PATH, key) if key else PATH, fault.problem, allowed=fault.allowed),))
        return Deviated(findings=(Finding(PATH, f"{fault.key}: {fault.problem}", allowed=fault.allowed),))


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
        return Dimple(deviation.at, deviation.width, deviation.depth)
    return Wave(deviation.at, deviation.wavelength, deviation.depth)


def _length(deviation: DimpleDeviation | WaveDeviation) -> tuple[str, float]:
    return (
        ("width", deviation.width) if isinstance(deviation, DimpleDeviation) else ("wavelength", deviation.wavelength)
    )
