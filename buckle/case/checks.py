"""What the tables of a case demand of each other; each check returns its findings and reads nothing."""

import math
from collections.abc import Iterator, Sequence
from typing import get_args

from buckle.case.contents import demand_of
from buckle.case.expected import OF_ANALYSIS, OF_CASE, of_load, wrong_kind
from buckle.case.keys import Finding, accepted_keys, unknown_word
from buckle.case.models import (
    IMPERFECT_KINDS,
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
from buckle.errors import ContentsError
from buckle.increasing import Increasing
from buckle.landmarks import push, ring
from buckle.material import Grade, Material
from buckle.meridian import Meridian
from buckle.proportions import ELEMENTS, elements_needed, sizes

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


def support_findings(supports: Supports, meridian: Meridian) -> Iterator[Finding]:
    """An edge that exists needs a support, and one that does not exist takes none."""
    closed = {"start_edge": meridian.closed_at_start, "outer_edge": meridian.closed_at_end}
    for key, on_axis in closed.items():
        given = getattr(supports, key) is not None
        if on_axis and given:
            yield _finding("the meridian ends on the axis there and has no edge", "leave it out", "supports", key)
        if not on_axis and not given:
            yield _finding("missing, the meridian has an edge there", EDGES, "supports", key)


def load_findings(loads: Loads, supports: Supports) -> Iterator[Finding]:
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


def force_findings(loads: Loads, meridian: Meridian, material: Material) -> Iterator[Finding]:
    """A force that would strain the widest, thinnest wall by a tenth is a slip of its unit."""
    body = sizes(meridian)
    most = MOST_STRAIN * material.youngs_modulus * 2.0 * math.pi * body.radius * body.thickest
    if abs(loads.axial_force) > most:
        problem = f"would strain a wall by more than {MOST_STRAIN:g}, check the unit"
        yield _finding(problem, f"-{most:.3g} to {most:.3g} N", "loads", "axial_force")


def fineness_findings(numerics: Numerics, meridian: Meridian) -> Iterator[Finding]:
    """A mesh that would take minutes and gigabytes is refused before it is made."""
    most = ELEMENTS / elements_needed(meridian, 1.0)
    if most < 1.0:
        problem = f"bends and lengths ask for more than {ELEMENTS:g} elements: too many pieces, or too fine ones"
        yield _finding(problem, "fewer pieces", "shape")
    elif numerics.mesh_density > most:
        problem = f"asks for more than {ELEMENTS:g} elements"
        yield _finding(problem, f"<= {most:.3g}", "numerics", "mesh_density")


def analysis_findings(analyses: Analyses, material: Material | None) -> Iterator[Finding]:
    """Kinds must be available, named once and possible for the material; the range of waves must not be empty."""
    elastic = material is not None and material.hardening is None
    for at, kind in enumerate(analyses.run):
        perfect = kind.replace("I", "")
        if kind in IMPERFECT_KINDS and perfect not in analyses.run:
            problem = f"starts from the waves that {perfect} finds, which is not run"
            yield _finding(problem, f"{perfect} and {kind}", "analyses", "run", at)
        elif kind in analyses.run[:at]:
            yield _finding("named twice", "each kind once", "analyses", "run", at)
        elif kind in PLASTIC_KINDS and elastic:
            allowed = "elastic kinds, or yield_stress_MPa in [material]"
            yield _finding("needs a yield stress", allowed, "analyses", "run", at)
    low, high = analyses.wave_numbers
    if low > high:
        yield _finding("the range is empty", "[lowest, highest] with lowest <= highest", "analyses", "wave_numbers")


def movement_findings(requirements: Requirements, meridian: Meridian) -> Iterator[Finding]:
    """What a body is allowed to move by cannot be more than it is long."""
    for name in MOVEMENTS:
        allowed = getattr(requirements, name)
        if allowed is not None and allowed > meridian.length:
            problem = "more than the whole meridian is long, check the unit"
            yield _finding(problem, f"up to {meridian.length:.6g} mm", "requirements", name)


OF_PRESSURE = ("pressure", "service_pressure", "growth", "permanent_growth", "stand_drop")
"""Requirements that are met, or measured, as the pressure increases."""


def axial_findings(requirements: Requirements, contents: Contents | None) -> Iterator[Finding]:
    """Where the axial force increases, nothing can be required of a pressure that does."""
    problem = "is for a pressure that increases, and here the axial force does"
    for name in OF_PRESSURE:
        if getattr(requirements, name) is not None:
            yield _finding(problem, "leave it out, or axial_force_N in [requirements]", "requirements", name)
    if contents is not None:
        yield _finding(problem, "leave [contents] out, and give pressure_bar in [loads]", "contents", "gas")
    if requirements.plastic_strain is not None and requirements.axial_force is None:
        yield _finding("plastic strain needs a force", "axial_force_N beside it", "requirements", "plastic_strain")


def requirement_findings(requirements: Requirements) -> Iterator[Finding]:
    """A movement or a strain is measured at the service pressure or at the required one."""
    if requirements.pressure is None and requirements.service_pressure is None:
        for name, what in MEASURED.items():
            if getattr(requirements, name) is not None:
                yield _finding(f"{what} needs a pressure", "service_pressure_bar beside it", "requirements", name)


def ceiling_findings(requirements: Requirements, loads: Loads, meridian: Meridian) -> Iterator[Finding]:
    """What is allowed must be a movement that the body has: of a base's stand, or of an end's countersink."""
    found = ring(meridian, push(meridian, loads.pressure_side))
    stand = "stand ahead of its apex", bool(found and found.ahead)
    moving = {
        "stand_drop": stand,
        "stand_drop_ceiling": stand,
        "countersink_rise_ceiling": ("countersink behind its apex", bool(found and not found.ahead)),
    }
    for name, (what, is_there) in moving.items():
        if getattr(requirements, name) is not None and not is_there:
            yield _finding(f"the body has no {what}", "leave it out", "requirements", name)


MEASURES = {"carbon_dioxide": "carbonation_volumes", "nitrogen": "fill_pressure"}
"""How much of a gas there is, is told by its own measure; air is closed in at the pressure of the atmosphere."""
OF_CARBONATED = ("drink", "air_fraction")


def contents_findings(contents: Contents) -> Iterator[Finding]:
    """Each gas has its own measure and keys, a drink one solubility, and there must be somewhere to be at."""
    needed, gas = MEASURES.get(contents.gas), contents.gas
    key = next((key for key, slot in accepted_keys(Contents).items() if slot.name == needed), "leave it out")
    if needed and getattr(contents, needed) is None:
        yield _finding(f"missing, {gas} is measured by it", key, "contents", key)
    for name in MEASURES.values():
        if name != needed and getattr(contents, name) is not None:
            yield _finding(f"means nothing for {gas}", key, "contents", name)
    for name in OF_CARBONATED:
        if gas != "carbon_dioxide" and getattr(contents, name) is not None:
            yield _finding(f"means nothing for {gas}", "leave it out", "contents", name)
    if contents.drink is not None and contents.solubility_factor is not None:
        yield _finding("the drink has its own factor", "one of the two", "contents", "solubility_factor")
    if not (contents.temperatures or contents.conditions or contents.pasteuriser):
        allowed = "temperatures_degC, [[contents.conditions]] or pasteuriser"
        yield _finding("missing: nothing says how warm the container gets", allowed, "contents", "temperatures_degC")


def state_findings(contents: Contents, side: str) -> Iterator[Finding]:
    """What is closed in must leave a state in every condition."""
    try:
        demand_of(contents, side)
    except ContentsError as error:
        yield _finding(error.fault.problem, error.fault.allowed, "contents", error.fault.key)


def warm_findings(contents: Contents, grade: Grade | None) -> Iterator[Finding]:
    """How metal softens is known of shipped grades only."""
    if contents.warm_metal and (grade is None or not grade.softens):
        allowed = "false, or a shipped grade in [material]"
        yield _finding("how this metal softens is not known", allowed, "contents", "warm_metal")


def expectation_findings(
    expect: Sequence[Expectation], run: Sequence[str] | None, increasing: Increasing
) -> Iterator[Finding]:
    """An expectation is about a quantity of an analysis that is run; a number that was measured needs a tolerance."""
    for at, each in enumerate(expect):
        yield from _analysis_findings(each, at, run)
        yield from _quantity_findings(each, at, increasing)
        if isinstance(each.value, float) and each.tolerance_percent is None:
            yield _finding("missing, the value is not a whole number", ">= 0", "expect", at, "tolerance_percent")
        if isinstance(each.value, tuple | str) and each.tolerance_percent:
            problem = "a list or a word is met exactly or not at all"
            yield _finding(problem, "0, or leave it out", "expect", at, "tolerance_percent")


def _analysis_findings(expect: Expectation, at: int, run: Sequence[str] | None) -> Iterator[Finding]:
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
