"""Parametric families of meridians: functions with keyword dimensions in mm and rad, and what is known of each."""

from collections.abc import Mapping
from types import MappingProxyType

from buckle.shapes.base import DOMED_BASE, domed_base
from buckle.shapes.end import RECESSED_END, recessed_end
from buckle.shapes.family import Family
from buckle.shapes.free import MERIDIAN, WalkPiece, meridian
from buckle.shapes.heads import ELLIPSOIDAL_HEAD, TORISPHERICAL_HEAD, ellipsoidal_head, torispherical_head
from buckle.shapes.neck import NECK, neck
from buckle.shapes.plain import CIRCULAR_PLATE, CYLINDER, circular_plate, cylinder
from buckle.shapes.spheres import COMPLETE_SPHERE, SPHERICAL_CAP, complete_sphere, spherical_cap

_FAMILIES = (
    COMPLETE_SPHERE,
    SPHERICAL_CAP,
    TORISPHERICAL_HEAD,
    ELLIPSOIDAL_HEAD,
    CYLINDER,
    CIRCULAR_PLATE,
    MERIDIAN,
    DOMED_BASE,
    RECESSED_END,
    NECK,
)
FAMILIES: Mapping[str, Family] = MappingProxyType({family.name: family for family in _FAMILIES})
"""Family name of a case file -> what is known of the family, its function among it."""


def described(name: str) -> Family:
    """Return what is known of the family of that name; what holds for any meridian if the name is not known."""
    return FAMILIES.get(name, MERIDIAN)


__all__ = [
    "FAMILIES",
    "Family",
    "WalkPiece",
    "circular_plate",
    "complete_sphere",
    "cylinder",
    "described",
    "domed_base",
    "ellipsoidal_head",
    "meridian",
    "neck",
    "recessed_end",
    "spherical_cap",
    "torispherical_head",
]
