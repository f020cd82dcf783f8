"""One plain sentence why a hand value and a computed one differ, derived from the results."""

from collections.abc import Mapping

from buckle.case import Case
from buckle.formulas.base import Formula
from buckle.results import BIFURCATION, Event, Outcome

CLOSE = 0.05
_KNOWN_ELASTIC = ("sphere.classical", "sphere.thin", "sphere.shear", "cap.", "cylinder.hydro", "cylinder.lateral")


def why(case: Case, kind: str, event: Event, formula: Formula, outcomes: Mapping[str, Outcome]) -> str:
    """Say why the formula's value differs from the event of an analysis."""
    if formula.value is None:
        return f"out of range: {formula.reason}"
    ratio = formula.value / event.pressure
    if abs(ratio - 1.0) <= CLOSE:
        return f"agree within {max(abs(ratio - 1.0) * 100.0, 0.1):.1f} %"
    return _cause(case, kind, event, formula, outcomes)


def _cause(case: Case, kind: str, event: Event, formula: Formula, outcomes: Mapping[str, Outcome]) -> str:
    if case.family in HEADS:
        return _head(case, kind, event, formula, outcomes)
    elastic = formula.name.startswith(_KNOWN_ELASTIC)
    if formula.kind == "lower bound":
        return _bound(formula, event, elastic and kind == "GMNA", outcomes[kind])
    if formula.kind == "mechanism estimate":
        return _mechanism(event, formula, outcomes)
    if elastic and kind == "GMNA":
        return f"elastic formula; {_plastic_event(case, outcomes['GMNA'], event)}"
    if formula.name.startswith("capacity.two_term"):
        return f"joins a smooth dome's two limits; {_plastic_event(case, outcomes['GMNA'], event)}"
    return _elastic_cause(case, kind, event, formula)


def _plastic_event(case: Case, outcome: Outcome, event: Event) -> str:
    place = outcome.yielded_at
    if case.family == "domed_base" and place.startswith(("nose", "inner leg", "undercut", "reform", "outer leg")):
        body = "the base rolls out plastically at its stand"
    elif case.family == "recessed_end" and place:
        body = "the countersink unrolls plastically"
    else:
        body = "the wall yields first"
    deepest = f" (deepest in the {place})" if place else ""
    wave = f" and waves begin at n = {event.wave_number}" if event.kind == BIFURCATION else ""
    return body + deepest + wave


def _bound(formula: Formula, event: Event, elastic_only: bool, outcome: Outcome) -> str:
    side = "below" if (formula.value or 0.0) < event.pressure else "above"
    claim = "a lower bound to imperfect elastic domes" if elastic_only else "a lower bound to imperfect domes"
    yielding = f"; it knows no yielding, which decides here in the {outcome.yielded_at}" if outcome.yielded_at else ""
    return f"{claim}, {side} the perfect shape computed{yielding}"


def _mechanism(event: Event, formula: Formula, outcomes: Mapping[str, Outcome]) -> str:
    wave = f" and no waves, which begin at n = {event.wave_number}" if event.kind == BIFURCATION else ""
    side = "above" if (formula.value or 0.0) > event.pressure else "below"
    return f"the same rolling mechanism, rigid-plastic, {side} the computed one: it knows no elastic strain{wave}"


def _elastic_cause(case: Case, kind: str, event: Event, formula: Formula) -> str:
    if case.family == "domed_base":
        sides = {
            "LBA": "a complete sphere without an edge; the dome stands on a flexible ring and buckles beside it",
            "GNA": "a rigidly clamped cap; the ring under the dome gives, bends the edge and takes part",
            "MNA": "a complete sphere squashed; at small displacements the stand ring collapses long before",
        }
        return sides[kind]
    if kind == "MNA":
        return "a simpler mechanism and support than the body has"
    if formula.name.startswith("sphere.") and case.family != "complete_sphere":
        return "a complete sphere without an edge; here the edge bends the wall before it buckles"
    return f"the formula leaves out: {formula.ignores[0]}"


HEADS = ("torispherical_head", "ellipsoidal_head")
_MECHANISM = "head.shield_drucker_limit"
_HEAD_REASONS: Mapping[str, str] = {
    "head.elastic_knuckle_buckling": "takes the knuckle for a toroid of one effective radius",
    _MECHANISM: "a lower fit to a mechanism at small displacements by Tresca; von Mises carries 6 to 8 % more",
    "head.knuckle_buckling": "set below tests of fabricated steel heads with their imperfections",
    "head.plastic_waves": "fits computed perfect heads of steel without hardening",
    "head.axisymmetric_yielding": "fits computed heads that yield all around, without hardening",
    "sphere.classical_pressure": "a complete sphere of the crown's radius; the knuckle gives way at the crown's edge",
    "sphere.squash_pressure": "a complete sphere of the crown's radius; the knuckle folds",
    "capacity.dome_clamped": "a steel dome with the imperfections of its best class on a rigid clamp, not on a knuckle",
    "capacity.two_term": "joins two limits of a complete sphere of the crown's radius; the knuckle folds before",
}
_POLE = "the sphere that touches the ellipse at its pole; towards its equator the ellipse curves more"
_ELLIPSE_REASONS: Mapping[str, str] = {
    "sphere.classical_pressure": _POLE,
    "sphere.squash_pressure": _POLE,
    "capacity.dome_clamped": f"a steel dome with the imperfections of its best class, cut from {_POLE}",
    "capacity.two_term": f"joins two limits of {_POLE}",
}
_OF_COLLAPSE = (_MECHANISM, "head.axisymmetric_yielding", "sphere.squash_pressure")


def _head(case: Case, kind: str, event: Event, formula: Formula, outcomes: Mapping[str, Outcome]) -> str:
    parts = [_HEAD_REASONS[formula.name]]
    if case.family == "ellipsoidal_head":
        own = _ELLIPSE_REASONS.get(formula.name)
        parts = [own] if own else [*parts, "for the equivalent torisphere, sharper than the ellipse"]
    if formula.name == _MECHANISM and kind == "GMNA":
        verb = "round" if case.loads.pressure_side == "inside" else "flatten"
        parts.append(f"displacements {verb} the head, which the mechanism does not know")
    parts.append(_head_event(kind, event, formula, outcomes[kind]))
    return "; ".join(part for part in parts if part)


def _head_event(kind: str, event: Event, formula: Formula, outcome: Outcome) -> str:
    """Say what was computed, where the formula speaks of another event."""
    of_waves = formula.name.startswith("head.") and formula.name not in _OF_COLLAPSE
    if of_waves and event.kind != BIFURCATION:
        return "no waves come before the collapse computed"
    if formula.name in _OF_COLLAPSE and event.kind == BIFURCATION:
        return f"waves come first, at n = {event.wave_number}"
    return f"deepest yield in the {outcome.yielded_at}" if outcome.yielded_at and kind == "GMNA" else ""
