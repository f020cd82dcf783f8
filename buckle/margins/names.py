"""What a limit state is called: by the kind of event, the family of the body, and the analysis that found it."""

from collections.abc import Mapping

from buckle.case import Case
from buckle.case.models import like
from buckle.increasing import PUSH
from buckle.results import BIFURCATION, GROWTH_CEILING, LIMIT_POINT, STRAIN_CEILING, WALLS_TOUCH, Event, Outcome
from buckle.shapes import FAMILIES, Family

_WORDS = {
    STRAIN_CEILING: "plastic strain up to its ceiling",
    WALLS_TOUCH: "the wall touches itself",
}
AXIAL_CRUSH = "axial crush"
WALL = "wall"
"""Name of the piece that is crushed as a wall, whichever body it is a part of."""
COLLAPSE_WITH_WAVES = "collapse with waves"
PASSED = "first limit point"
BY_DEFORMATION = ", by deformation theory"
_ELASTIC = {"LBA": ", elastic, linear", "GNA": ", elastic"}


def limit_state(case: Case, event: Event, outcome: Outcome) -> str:
    """Return the name of the limit state that an event of an analysis is."""
    if is_passed(event, outcome):
        return PASSED
    if outcome.in_waves:
        return COLLAPSE_WITH_WAVES
    if outcome.kind == "MNA":
        return "plastic mechanism at small displacements"
    if not outcome.increasing.is_pressure:
        return _along(case, event, outcome)
    name = onset(event) if event.kind == BIFURCATION else _words(FAMILIES[case.family])[event.kind]
    return name + _ELASTIC.get(like(outcome.kind), "")


def _along(case: Case, event: Event, outcome: Outcome) -> str:
    """Return the name of an event as the axial force increases: its collapse, or what begins and where."""
    where = event.piece or outcome.yielded_at
    elsewhere = FAMILIES[case.family].crush if where and where != WALL else AXIAL_CRUSH
    of = elsewhere if outcome.increasing == PUSH else "axial collapse"
    what = {LIMIT_POINT: "", BIFURCATION: f", {onset(event)}", GROWTH_CEILING: ", up to the ceiling of movement"}
    return of + what.get(event.kind, f", {_WORDS.get(event.kind, event.kind)}") + _ELASTIC.get(like(outcome.kind), "")


def _words(family: Family) -> Mapping[str, str]:
    """Names by the kind of event, those that depend on the family among them."""
    return {**_WORDS, LIMIT_POINT: family.collapse, GROWTH_CEILING: family.growth_limit}


def onset(event: Event) -> str:
    """Return what begins at a bifurcation and where: waves, a tilt (n = 1), or an axisymmetric branch (n = 0)."""
    begins = {0: "axisymmetric branch", 1: "tilt"}.get(event.wave_number, "onset of waves")
    return f"{begins} in the {event.piece}" if event.piece else begins


def is_passed(event: Event, outcome: Outcome) -> bool:
    """Tell whether an event is a first limit that decides nothing: it is passed, or lies beyond a stop."""
    return outcome.peak is not None and event is outcome.limit
