"""Random bodies of every family, as cases, for the study of error estimates; always the same.

Ranges of bases and ends are those of the study of the rolling formula; all others are invented to be wide: from bodies
that yield long before they buckle to bodies that buckle elastically. Lengths in mm, angles in degrees, stresses in MPa.
"""

import math
from collections.abc import Callable, Iterator
from itertools import islice

import numpy as np

from buckle.case import Case, case_from_dict, replace_keys
from buckle.errors import CaseError
from scripts.study.rolling.bodies import case_of, samples

SEED = 51907
RUN = ["LA", "LBA", "MNA", "GNA", "GMNA"]
COUNTS = {
    "domed_base": 44,
    "recessed_end": 44,
    "spherical_cap": 20,
    "complete_sphere": 8,
    "torispherical_head": 20,
    "ellipsoidal_head": 16,
    "cylinder": 16,
    "circular_plate": 16,
    "meridian": 16,
}
"""Bodies of each family; 200 together."""

Draw = np.random.Generator
Tables = dict[str, object]


def bodies() -> Iterator[tuple[str, int, Case]]:
    """Family, number and case of every body that can be made."""
    for family, count in COUNTS.items():
        yield from ((family, number, case) for number, case in islice(_cases(family), count))


def _cases(family: str) -> Iterator[tuple[int, Case]]:
    container = {"domed_base": "bases", "recessed_end": "ends"}.get(family)
    made = _containers(container) if container else _random(family)
    for number, make in enumerate(made):
        try:
            yield number, make()
        except CaseError:
            continue


def _containers(what: str) -> Iterator[Callable[[], Case]]:
    """Bodies of the rolling study with all kinds of analysis and with waves."""
    for x in samples(what):
        yield lambda x=x: _with_all_kinds(case_of(what, x))


def _with_all_kinds(case: Case) -> Case:
    return case_from_dict(replace_keys(case.tables, {"analyses.run": RUN, "analyses.wave_numbers": [0, 40]}))


def _random(family: str) -> Iterator[Callable[[], Case]]:
    draw = np.random.default_rng([SEED, *family.encode()])
    while True:
        shape, supports, side = FAMILY[family](draw)
        tables: Tables = {
            "material": _metal(draw),
            "shape": {"family": family, **shape},
            "supports": supports,
            "loads": {"pressure_side": side},
            "analyses": {"run": RUN, "wave_numbers": [0, 40]},
        }
        yield lambda tables=tables: case_from_dict(tables)


def _metal(draw: Draw) -> Tables:
    aluminium = draw.random() < 0.7
    laws: list[Tables] = [
        {"law": "none"},
        {"law": "linear", "modulus_MPa": _real(draw, 200.0, 3000.0)},
        {"law": "voce", "increment_MPa": _real(draw, 20.0, 120.0), "rate": _real(draw, 10.0, 60.0)},
    ]
    return {
        "youngs_modulus_GPa": 69.0 if aluminium else 205.0,
        "poissons_ratio": 0.33 if aluminium else 0.3,
        "yield_stress_MPa": _real(draw, 120.0, 380.0),
        "hardening": laws[draw.integers(len(laws))],
    }


def _real(draw: Draw, low: float, high: float) -> float:
    return round(float(draw.uniform(low, high)), 5)


def _log(draw: Draw, low: float, high: float) -> float:
    return round(math.exp(draw.uniform(math.log(low), math.log(high))), 5)


def _one_of(draw: Draw, *words: str) -> str:
    return words[draw.integers(len(words))]


def _cap(draw: Draw) -> tuple[Tables, Tables, str]:
    radius, parameter = _log(draw, 80.0, 900.0), _real(draw, 3.5, 14.0)
    chord = parameter / (10.68**0.25 * math.sqrt(radius))
    shape = {
        "radius_mm": radius,
        "half_angle_rad": round(2.0 * math.asin(0.5 * min(chord, 1.4)), 6),
        "thickness_mm": 1.0,
    }
    return shape, {"outer_edge": _one_of(draw, "clamped", "pinned", "guided")}, "outside"


def _sphere(draw: Draw) -> tuple[Tables, Tables, str]:
    return (
        {"radius_mm": _log(draw, 50.0, 400.0), "thickness_mm": 1.0},
        {},
        _one_of(draw, "outside", "outside", "inside"),
    )


def _torisphere(draw: Draw) -> tuple[Tables, Tables, str]:
    diameter = _log(draw, 80.0, 800.0)
    shape = {
        "diameter_mm": diameter,
        "crown_radius_mm": round(diameter * draw.uniform(0.7, 1.1), 4),
        "knuckle_radius_mm": round(diameter * draw.uniform(0.06, 0.22), 4),
        "cylinder_length_mm": round(diameter * draw.uniform(0.1, 0.5), 4),
        "thickness_mm": 1.0,
    }
    return shape, {"outer_edge": "clamped"}, _one_of(draw, "inside", "outside")


def _ellipsoid(draw: Draw) -> tuple[Tables, Tables, str]:
    diameter = _log(draw, 80.0, 800.0)
    shape = {
        "diameter_mm": diameter,
        "aspect_ratio": _real(draw, 1.4, 3.0),
        "cylinder_length_mm": round(diameter * draw.uniform(0.1, 0.5), 4),
        "thickness_mm": 1.0,
    }
    return shape, {"outer_edge": "clamped"}, _one_of(draw, "inside", "outside")


def _cylinder(draw: Draw) -> tuple[Tables, Tables, str]:
    radius = _log(draw, 30.0, 500.0)
    shape = {"radius_mm": radius, "length_mm": round(radius * draw.uniform(0.6, 3.0), 4), "thickness_mm": 1.0}
    edge = _one_of(draw, "clamped", "diaphragm")
    return shape, {"start_edge": edge, "outer_edge": "sleeve" if edge == "clamped" else edge}, "outside"


def _plate(draw: Draw) -> tuple[Tables, Tables, str]:
    radius = _real(draw, 15.0, 60.0)
    shape: Tables = {"radius_mm": radius, "thickness_mm": 1.0}
    if draw.random() < 0.5:
        shape["hole_radius_mm"] = round(radius * draw.uniform(0.1, 0.6), 4)
        return shape, {"start_edge": "free", "outer_edge": _one_of(draw, "clamped", "pinned")}, "inside"
    return shape, {"outer_edge": _one_of(draw, "clamped", "pinned")}, "inside"


def _walk(draw: Draw) -> tuple[Tables, Tables, str]:
    """A frustum of a cone, alone or with a bend to a cylinder."""
    radius, angle = _log(draw, 30.0, 300.0), _real(draw, 15.0, 75.0)
    pieces: list[Tables] = [{"line_mm": round(radius * draw.uniform(0.4, 1.2), 4), "name": "cone"}]
    if draw.random() < 0.6:
        bend = {"arc_mm": _real(draw, 3.0, 20.0), "turn_deg": round(90.0 - angle, 5), "name": "bend"}
        pieces += [bend, {"line_mm": round(radius * draw.uniform(0.3, 1.0), 4), "name": "cylinder"}]
    shape = {"start_mm": [radius, 0.0], "heading_deg": angle, "inside": "left", "thickness_mm": 1.0, "pieces": pieces}
    return shape, {"start_edge": "clamped", "outer_edge": "sleeve"}, _one_of(draw, "inside", "outside")


FAMILY: dict[str, Callable[[Draw], tuple[Tables, Tables, str]]] = {
    "spherical_cap": _cap,
    "complete_sphere": _sphere,
    "torispherical_head": _torisphere,
    "ellipsoidal_head": _ellipsoid,
    "cylinder": _cylinder,
    "circular_plate": _plate,
    "meridian": _walk,
}
