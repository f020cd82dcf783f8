"""Which hand calculations belong beside which analysis of which body: one module a body, one entry a family."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from buckle.case import Case
from buckle.formulas.base import Formula
from buckle.margins.hand import base, cap, cylinder, end, head, neck, plate, sphere
from buckle.margins.hand.dimensions import HandSet
from buckle.results import Outcome

__all__ = ["BY_FAMILY", "ByHand", "HandSet", "bulge", "hand_calculations", "with_own"]


@dataclass(frozen=True)
class ByHand:
    """What can be worked out by hand of the bodies of a family."""

    calculations: Callable[[Case], HandSet]
    bulge: Callable[[Case, float], Formula | None] | None = None
    forces: bool = False  # whether it knows of an axial force that increases
    from_own: Callable[[Case, float, float], tuple[Formula, ...]] | None = None  # from its LBA and MNA


BY_FAMILY: Mapping[str, ByHand] = {
    "domed_base": ByHand(base.calculations, forces=True),
    "recessed_end": ByHand(end.calculations, end.bulge),
    "spherical_cap": ByHand(cap.calculations),
    "complete_sphere": ByHand(sphere.calculations),
    "cylinder": ByHand(cylinder.calculations, forces=True, from_own=cylinder.resistances),
    "neck": ByHand(neck.calculations, forces=True),
    "circular_plate": ByHand(plate.calculations, plate.bulge),
    "torispherical_head": ByHand(head.torispherical),
    "ellipsoidal_head": ByHand(head.ellipsoidal),
}
"""Family name -> its hand calculations; a family that is not here has none."""


def hand_calculations(case: Case) -> HandSet:
    """Return formulas by analysis kind, the one to compare first; a kind that no formula answers is absent."""
    by_hand = BY_FAMILY.get(case.family)
    if by_hand is None or not (by_hand.forces or case.loads.increasing.is_pressure):
        return {}
    return {kind: found for kind, found in by_hand.calculations(case).items() if found}


def with_own(case: Case, hands: HandSet, outcomes: Mapping[str, Outcome]) -> HandSet:
    """Add what follows from linear bifurcation and plastic limit of the body itself, beside its highest analysis."""
    by_hand, own = BY_FAMILY.get(case.family), [outcomes.get(kind) for kind in ("LBA", "MNA")]
    beside = next((kind for kind in ("GMNA", "GNA", "LBA") if kind in outcomes), "")
    loads = [each.capacity.load for each in own if each is not None and each.capacity is not None]
    if by_hand is None or by_hand.from_own is None or len(loads) < len(own):
        return hands
    found = by_hand.from_own(case, *loads)
    return {**hands, beside: (*hands.get(beside, ()), *found)} if found else hands


def bulge(case: Case, pressure: float) -> Formula | None:
    """Return the hand value of how far the centre of a panel or plate rises at a pressure [MPa], None without one."""
    by_hand = BY_FAMILY.get(case.family)
    return None if by_hand is None or by_hand.bulge is None else by_hand.bulge(case, pressure)
