"""What the sound tables of a case demand of each other, and of the body."""

import math
from collections.abc import Iterator, Sequence
from typing import get_args

from buckle.case.contents import with_demand
from buckle.case.deviates import ModeDeviation, ModesDeviation
from buckle.case.expected import OF_ANALYSIS, OF_CASE, of_load, wrong_kind
from buckle.case.keys import Finding, unknown_word
from buckle.case.models import (
    PERFECT,
    PLASTIC_KINDS,
    Analyses,
    Contents,
    Edge,
    Expectation,
    Kind,
    Loads,
    Numerics,
    Requirements,
    Supports,
)
from buckle.case.parts import Parts
from buckle.case.shape import MeasuredBody
from buckle.increasing import PRESSURE, Increasing
from buckle.landmarks import stand
from buckle.material import Material
from buckle.meridian import Meridian
from buckle.proportions import ELEMENTS, Sizes
from buckle.units import pressure_text

KINDS: tuple[str, ...] = get_args(Kind)
EDGES = ", ".join(f'"{edge}"' for edge in get_args(Edge))
MEASURED = {
    "growth": "growth",
    "permanent_growth": "growth",
    "stand_drop": "drop of the stand",
    "plastic_strain": "plastic strain",
}
MOVEMENTS = (
    "growth",
    "permanent_growth",
    "stand_drop",
    "growth_ceiling",
    "stand_drop_ceiling",
    "countersink_rise_ceiling",
)
MOST_STRAIN = 0.1  # of an elastic wall under the axial force: no metal stays elastic to a tenth
AXIALLY_FREE = ("free", "diaphragm", "sleeve")


def cross_findings(parts: Parts) -> Iterator[Finding]:
    """Yield what the sound tables demand of each other, at internal paths; whoever has the file adds the values."""
    supports, loads, analyses, needs = (
        parts.plain[name].model for name in ("supports", "loads", "analyses", "requirements")
    )
    body, material, contents = parts.shape.body, parts.metal.material, parts.contents
    if body:
        yield from _size_findings(parts, body)
    if supports and body:
        yield from _support_findings(supports, body.meridian)
    if supports and loads:
        yield from _load_findings(loads, supports)
    if analyses:
        yield from _analysis_findings(analyses, material)
        yield from _imperfect_findings(analyses, given=parts.deviation is not None)
        if parts.deviation and isinstance(parts.deviation.model, ModeDeviation | ModesDeviation):
            yield from _mode_findings(analyses, parts.deviation.model)
    if needs and loads and not loads.increasing.is_pressure:
        yield from _axial_findings(needs, contents.model)
    elif needs:
        yield from _requirement_findings(with_demand(needs, contents.demand))
    if needs and loads and body:
        yield from _ceiling_findings(needs, body)
    yield from _expectation_findings(parts)


def _size_findings(parts: Parts, body: MeasuredBody) -> Iterator[Finding]:
    """Yield what is out of proportion to the body and its metal."""
    loads, needs, numerics = (parts.plain[name].model for name in ("loads", "requirements", "numerics"))
    if loads and parts.metal.material:
        yield from _force_findings(loads, body.sizes, parts.metal.material)
    if needs:
        yield from _movement_findings(needs, body.sizes)
    if numerics:
        yield from _fineness_findings(numerics, body.elements)


def _support_findings(supports: Supports, meridian: Meridian) -> Iterator[Finding]:
    """An edge that exists needs a support, and one that does not exist takes none."""
    closed = {"start_edge": meridian.closed_at_start, "outer_edge": meridian.closed_at_end}
    for key, on_axis in closed.items():
        given = getattr(supports, key) is not None
        if on_axis and given:
            yield _finding("the meridian ends on the axis there and has no edge", "leave it out", "supports", key)
        if not on_axis and not given:
            yield _finding("missing, the meridian has an edge there", EDGES, "supports", key)
    if supports.stand is not None and stand(meridian) is None:
        yield _finding(
            "the body has no stand: no lowest ring between apex and edge", "leave it out", "supports", "stand"
        )


def _load_findings(loads: Loads, supports: Supports) -> Iterator[Finding]:
    """One load increases, the other is constant; a force on an edge that cannot move axially would do nothing."""
    if loads.increases == "pressure" and loads.pressure is not None:
        problem = "the pressure increases, so that none is constant"
        yield _finding(problem, 'leave it out, or increases = "axial_force"', "loads", "pressure")
    if loads.increases == "axial_force" and not loads.axial_force:
        yield _finding("axial_force_N says in which sense it does", "axial_force_N = -1.0", "loads", "increases")
    if loads.axial_force and supports.outer_edge not in AXIALLY_FREE:
        problem = f"acts on the outer edge, which {supports.outer_edge!r} holds axially"
        allowed = "0, or outer_edge = " + " or ".join(map(repr, AXIALLY_FREE))
        yield _finding(problem, allowed, "loads", "axial_force")
    elif loads.axial_force and supports.start_edge in AXIALLY_FREE:
        problem = f"nothing carries it: start_edge {supports.start_edge!r} moves axially too"
        yield _finding(problem, "0, or a start_edge that is held axially", "loads", "axial_force")
    if supports.stand is not None:
        yield from _stand_findings(loads, supports)


def _stand_findings(loads: Loads, supports: Supports) -> Iterator[Finding]:
    """What a body stands on carries all of the axial force and cannot pull at it."""
    if supports.outer_edge not in AXIALLY_FREE:
        problem = f"the outer edge, {supports.outer_edge!r}, holds the body axially already"
        allowed = "leave it out, or outer_edge = " + " or ".join(map(repr, AXIALLY_FREE))
        yield _finding(problem, allowed, "supports", "stand")
    if loads.axial_force > 0.0:
        yield _finding("pulls the body off what it stands on", "<= 0 N, or no stand", "loads", "axial_force")
    if loads.pressure_side == "outside" and not loads.end_thrust:
        problem = "an open end under outside pressure lifts the body off what it stands on"
        yield _finding(problem, "true, or no stand", "loads", "end_thrust")


def _force_findings(loads: Loads, body: Sizes, material: Material) -> Iterator[Finding]:
    """A force that would strain the widest, thinnest wall by a tenth is a slip of its unit."""
    most = MOST_STRAIN * material.youngs_modulus * 2.0 * math.pi * body.radius * body.thickest
    if abs(loads.axial_force) > most:
        problem = f"would strain a wall by more than {MOST_STRAIN:g}, check the unit"
        yield _finding(problem, f"-{most:.3g} to {most:.3g} N", "loads", "axial_force")


def _fineness_findings(numerics: Numerics, needed: float) -> Iterator[Finding]:
    """A mesh that would take minutes and gigabytes is refused before it is made."""
    most = ELEMENTS / needed
    if most < 1.0:
        problem = f"bends and lengths ask for more than {ELEMENTS:g} elements: too many pieces, or too fine ones"
        yield _finding(problem, "fewer pieces", "shape")
    elif numerics.mesh_density > most:
        problem = f"asks for more than {ELEMENTS:g} elements"
        yield _finding(problem, f"<= {most:.3g}", "numerics", "mesh_density")


def _analysis_findings(analyses: Analyses, material: Material | None) -> Iterator[Finding]:
    """Kinds must be available, named once and possible for the material; the range of waves must not be empty."""
    elastic = material is not None and material.hardening is None
    for at, kind in enumerate(analyses.run):
        if kind in analyses.run[:at]:
            yield _finding("named twice", "each kind once", "analyses", "run", at)
        elif kind in PLASTIC_KINDS and elastic:
            allowed = "elastic kinds, or yield_stress_MPa in [material]"
            yield _finding("needs a yield stress", allowed, "analyses", "run", at)
    low, high = analyses.wave_numbers
    if low > high:
        yield _finding("the range is empty", "[lowest, highest] with lowest <= highest", "analyses", "wave_numbers")


def _imperfect_findings(analyses: Analyses, *, given: bool) -> Iterator[Finding]:
    """An analysis of a deviated shape needs a deviation, and one that is given is to be used."""
    imperfect = [at for at, kind in enumerate(analyses.run) if kind in PERFECT]
    if given and not imperfect:
        problem = "none of the analyses starts from the deviated shape"
        yield _finding(problem, f"{' or '.join(PERFECT)} among analyses.run, or no [deviation]", "deviation")
    for at in () if given else imperfect:
        allowed = f"{PERFECT[analyses.run[at]]}, or a [deviation]"
        yield _finding("no [deviation] says how the shape deviates", allowed, "analyses", "run", at)


def _mode_findings(analyses: Analyses, deviation: ModeDeviation | ModesDeviation) -> Iterator[Finding]:
    """Waves are followed beside the analysis on whose path they begin, and in a mode that it meets or of LBA."""
    modes = "LBA" if isinstance(deviation, ModesDeviation) else deviation.analysis
    if isinstance(deviation, ModeDeviation):
        yield from _wave_findings(deviation)
        if deviation.without_waves:
            return
    for at, kind in enumerate(analyses.run):
        perfect = PERFECT.get(kind)
        if perfect is not None and perfect not in analyses.run:
            problem = f"follows waves that begin on the path of {perfect}, which is not run"
            yield _finding(problem, f"{perfect} and {kind}", "analyses", "run", at)
        elif perfect is not None and modes not in (None, "LBA", perfect):
            yield _finding(f"is not the mode that {kind} starts from", f"{perfect} or LBA", "deviation", "analysis")


def _wave_findings(deviation: ModeDeviation) -> Iterator[Finding]:
    """A mode without waves is one of LBA, has two senses, and no usual amplitudes; in n = 1 none is followed."""
    amplitude, number = deviation.amplitude, deviation.wave_number
    if number == 1:
        yield _finding("waves are followed from wave number 2 on", ">= 2, or 0 with LBA", "deviation", "wave_number")
    if deviation.without_waves and deviation.analysis != "LBA":
        problem = "is that of a mode without waves, which is one of LBA"
        yield _finding(problem, '>= 2, or analysis = "LBA"', "deviation", "wave_number")
    if amplitude == 0.0:
        yield _finding("is no deviation", "not 0", "deviation", "amplitude")
    elif deviation.without_waves and amplitude is None:
        yield _finding(
            "a mode without waves needs its largest distance from the perfect shape", "amplitude_mm", "deviation"
        )
    elif amplitude is not None and amplitude < 0.0 and not deviation.without_waves:
        yield _finding("is that of a wave, whose other sense is the same wave", "> 0", "deviation", "amplitude")


def _movement_findings(requirements: Requirements, body: Sizes) -> Iterator[Finding]:
    """What a body is allowed to move by cannot be more than it is long."""
    for name in MOVEMENTS:
        allowed = getattr(requirements, name)
        if allowed is not None and allowed > body.length:
            problem = "more than the whole meridian is long, check the unit"
            yield _finding(problem, f"up to {body.length:.6g} mm", "requirements", name)


OF_PRESSURE = ("pressure", "service_pressure", "growth", "permanent_growth", "stand_drop")
"""Requirements that are met, or measured, as the pressure increases."""


def _axial_findings(requirements: Requirements, contents: Contents | None) -> Iterator[Finding]:
    """Where the axial force increases, nothing can be required of a pressure that does."""
    problem = "is for a pressure that increases, and here the axial force does"
    for name in OF_PRESSURE:
        if getattr(requirements, name) is not None:
            yield _finding(problem, "leave it out, or axial_force_N in [requirements]", "requirements", name)
    if contents is not None:
        yield _finding(problem, "leave [contents] out, and give pressure_bar in [loads]", "contents", "gas")
    if requirements.plastic_strain is not None and requirements.axial_force is None:
        yield _finding("plastic strain needs a force", "axial_force_N beside it", "requirements", "plastic_strain")


def _requirement_findings(requirements: Requirements) -> Iterator[Finding]:
    """A movement or a strain is measured at the service pressure or at the required one, which is not lower.

    A movement that is limited is judged up to a service pressure above it; without one nothing would be.
    """
    service, required = requirements.service_pressure, requirements.pressure
    moves = any(getattr(requirements, name) is not None for name in ("growth", "permanent_growth", "stand_drop"))
    if service is not None and required is not None and service > required and not moves:
        problem = "is higher than the pressure that is required, and nothing is judged at it"
        allowed = f"up to {pressure_text(required)}, or as high a pressure_bar"
        yield _finding(problem, allowed, "requirements", "service_pressure")
    if requirements.pressure is None and requirements.service_pressure is None:
        for name, what in MEASURED.items():
            if getattr(requirements, name) is not None:
                yield _finding(f"{what} needs a pressure", "service_pressure_bar beside it", "requirements", name)


def _ceiling_findings(requirements: Requirements, body: MeasuredBody) -> Iterator[Finding]:
    """What is allowed must be a movement that the body has: of a base's stand, or of an end's countersink."""
    found = body.ring
    stand = "stand ahead of its apex", bool(found and found.ahead)
    moving = {
        "stand_drop": stand,
        "stand_drop_ceiling": stand,
        "countersink_rise_ceiling": ("countersink behind its apex", bool(found and not found.ahead)),
    }
    for name, (what, is_there) in moving.items():
        if getattr(requirements, name) is not None and not is_there:
            yield _finding(f"the body has no {what}", "leave it out", "requirements", name)


def _expectation_findings(parts: Parts) -> Iterator[Finding]:
    """An expectation is about a quantity of an analysis that is run; a number that was measured needs a tolerance."""
    expect = [entry.model for entry in parts.expect]
    if not all(expect):
        return
    analyses, loads = parts.plain["analyses"].model, parts.plain["loads"].model
    run, increasing = (analyses.run if analyses else None), (loads.increasing if loads else PRESSURE)
    for at, each in enumerate(expect):
        yield from _run_findings(each, at, run)
        yield from _quantity_findings(each, at, increasing)
        if isinstance(each.value, float) and each.tolerance_percent is None:
            yield _finding("missing, the value is not a whole number", ">= 0", "expect", at, "tolerance_percent")
        if isinstance(each.value, tuple | str) and each.tolerance_percent:
            problem = "a list or a word is met exactly or not at all"
            yield _finding(problem, "0, or leave it out", "expect", at, "tolerance_percent")


def _run_findings(expect: Expectation, at: int, run: Sequence[str] | None) -> Iterator[Finding]:
    """The analysis must be one that is run."""
    kind, dot, name = expect.quantity.rpartition(".")
    if dot and kind not in KINDS:
        yield _finding(unknown_word("analysis", kind, KINDS), "KIND.quantity", "expect", at, "quantity")
    elif dot and run is not None and kind not in run:
        yield _finding("its analysis is not run", ", ".join(run), "expect", at, "quantity")
    elif not dot and name in OF_ANALYSIS:
        yield _finding("misses its analysis", f"such as GNA.{name}", "expect", at, "quantity")


def _quantity_findings(expect: Expectation, at: int, increasing: Increasing) -> Iterator[Finding]:
    """The quantity must be one that a result may have, and of the kind of the value."""
    kind, dot, name = expect.quantity.rpartition(".")
    if (kind not in KINDS) if dot else (name in OF_ANALYSIS):
        return
    known = of_load(OF_ANALYSIS if dot else OF_CASE, increasing)
    what = wrong_kind(name, expect.value)
    if name in (OF_ANALYSIS if dot else OF_CASE) and name not in known:
        problem = f"the {increasing.words} increases"
        yield _finding(problem, f"a name that ends in {increasing.key}", "expect", at, "quantity")
    elif name not in known:
        yield _finding(unknown_word("quantity", name, known), ", ".join(known), "expect", at, "quantity")
    elif what:
        yield _finding(f"{expect.quantity} is {what}", what, "expect", at, "value")


def _finding(problem: str, allowed: str, *path: str | int) -> Finding:
    """Return a finding at an internal path; whoever knows the file adds the value."""
    return Finding(path, problem, allowed=allowed)
