"""Parametric families of meridians: plain functions with keyword dimensions in mm and rad."""

from collections.abc import Callable, Mapping
from types import MappingProxyType

from buckle.meridian import Meridian
from buckle.shapes.base import domed_base
from buckle.shapes.end import recessed_end
from buckle.shapes.free import WalkPiece, meridian
from buckle.shapes.heads import ellipsoidal_head, torispherical_head
from buckle.shapes.plain import circular_plate, cylinder
from buckle.shapes.spheres import complete_sphere, spherical_cap

FAMILIES: Mapping[str, Callable[..., Meridian]] = MappingProxyType(
    {
        "complete_sphere": complete_sphere,
        "spherical_cap": spherical_cap,
        "torispherical_head": torispherical_head,
        "ellipsoidal_head": ellipsoidal_head,
        "cylinder": cylinder,
        "circular_plate": circular_plate,
        "meridian": meridian,
        "domed_base": domed_base,
        "recessed_end": recessed_end,
    }
)
"""Family name of a case file -> its function."""

__all__ = [
    "FAMILIES",
    "WalkPiece",
    "circular_plate",
    "complete_sphere",
    "cylinder",
    "domed_base",
    "ellipsoidal_head",
    "meridian",
    "recessed_end",
    "spherical_cap",
    "torispherical_head",
]
