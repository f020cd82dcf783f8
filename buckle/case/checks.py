"""What the tables of a case demand of each other; each check returns its findings and reads nothing."""

from collections.abc import Iterator, Sequence
from typing import get_args

from buckle.case.keys import Finding, unknown_word
from buckle.case.models import (
    IMPERFECT_KINDS,
    PLASTIC_KINDS,
    Analyses,
    Contents,
    Expectation,
    Kind,
    Loads,
    Requirements,
    Supports,
)
from buckle.material import Material
from buckle.meridian import Meridian

KINDS: tuple[str, ...] = get_args(Kind)
AVAILABLE = ", ".join(kind for kind in KINDS if kind not in IMPERFECT_KINDS)
AXIALLY_FREE = ("free", "diaphragm", "sleeve")


def support_findings(supports: Supports, meridian: Meridian) -> Iterator[Finding]:
    """An edge that exists needs a support, and one that does not exist takes none."""
    closed = {"start_edge": meridian.closed_at_start, "outer_edge": meridian.closed_at_end}
    for key, on_axis in closed.items():
        given = getattr(supports, key)
        if on_axis and given is not None:
            yield Finding(
                ("supports", key), "the meridian ends on the axis there and has no edge", given, "leave it out"
            )
        if not on_axis and given is None:
            yield Finding(("supports", key), "missing, the meridian has an edge there", allowed=_edges())


def load_findings(loads: Loads, supports: Supports) -> Iterator[Finding]:
    """A force on an edge that cannot move along the axis would do nothing."""
    if loads.axial_force and supports.outer_edge not in AXIALLY_FREE:
        problem = f"acts on the outer edge, which {supports.outer_edge!r} holds axially"
        allowed = "0, or outer_edge = " + " or ".join(map(repr, AXIALLY_FREE))
        yield Finding(("loads", "axial_force"), problem, loads.axial_force, allowed)


def analysis_findings(analyses: Analyses, material: Material | None) -> Iterator[Finding]:
    """Kinds must be available, named once and possible for the material; the range of waves must not be empty."""
    for at, kind in enumerate(analyses.run):
        where = ("analyses", "run", at)
        if kind in IMPERFECT_KINDS:
            yield Finding(where, "analyses with imperfections are not available yet", kind, AVAILABLE)
        elif kind in analyses.run[:at]:
            yield Finding(where, "named twice", kind, "each kind once")
        elif kind in PLASTIC_KINDS and material is not None and material.hardening is None:
            yield Finding(where, "needs a yield stress", kind, "elastic kinds, or [material] yield_stress_MPa")
    low, high = analyses.wave_numbers
    if low > high:
        allowed = "[lowest, highest] with lowest <= highest"
        yield Finding(("analyses", "wave_numbers"), "the range is empty", [low, high], allowed)


def requirement_findings(requirements: Requirements) -> Iterator[Finding]:
    """Growth is measured at a pressure."""
    if requirements.pressure is None and requirements.service_pressure is None:
        for name in ("growth", "permanent_growth"):
            if getattr(requirements, name) is not None:
                allowed = "service_pressure_bar beside it"
                yield Finding(("requirements", name), "growth needs a pressure", getattr(requirements, name), allowed)


def contents_findings(contents: Contents) -> Iterator[Finding]:
    """Each gas has its own measure of how much of it is there."""
    needed, useless = ("carbonation_volumes", "fill_pressure")
    if contents.gas == "nitrogen":
        needed, useless = useless, needed
    if getattr(contents, needed) is None:
        allowed = {"carbonation_volumes": "above 0", "fill_pressure": "fill_pressure_bar, gauge"}[needed]
        yield Finding(("contents", needed), f"missing, {contents.gas} is measured by it", allowed=allowed)
    if getattr(contents, useless) is not None:
        yield Finding(("contents", useless), f"means nothing for {contents.gas}", getattr(contents, useless), needed)


def expectation_findings(expect: Sequence[Expectation], run: Sequence[str] | None) -> Iterator[Finding]:
    """An expectation must be about an analysis that is run, and a number that was measured needs a tolerance."""
    for at, each in enumerate(expect):
        kind = each.quantity.split(".")[0]
        if "." in each.quantity and kind not in KINDS:
            yield Finding(
                ("expect", at, "quantity"), unknown_word("analysis", kind, KINDS), each.quantity, "KIND.quantity"
            )
        elif "." in each.quantity and run is not None and kind not in run:
            yield Finding(("expect", at, "quantity"), "its analysis is not run", each.quantity, ", ".join(run))
        if isinstance(each.value, float) and each.tolerance_percent is None:
            yield Finding(
                ("expect", at, "tolerance_percent"), "missing, the value is not a whole number", allowed=">= 0"
            )
        if isinstance(each.value, tuple | str) and each.tolerance_percent:
            problem = "a list or a word is met exactly or not at all"
            yield Finding(("expect", at, "tolerance_percent"), problem, each.tolerance_percent, "0, or leave it out")


def _edges() -> str:
    return ", ".join(f'"{edge}"' for edge in EDGES)


EDGES: tuple[str, ...] = get_args(get_args(Supports.model_fields["outer_edge"].annotation)[0])
