"""What the study of the capacity computes: two series of one base, sweeps of random bodies, bodies at other levels.

The base of the series is invented; its leg is used up over a wide range of gauges, where a first local maximum of the
path comes and goes. The random bodies are those of the study of the rolling formula.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from buckle.case import Case, case_from_dict, replace_keys
from scripts.study.rolling.bodies import feasible

SERIES_BASE = {
    "material": {"grade": "AL-3104-H19-baked"},
    "shape": {
        "family": "domed_base",
        "gauge_mm": 0.28,
        "dome_radius_mm": 46.0,
        "dome_depth_mm": 10.8,
        "dome_corner_radius_mm": 1.5,
        "inner_leg_angle_deg": 5.0,
        "stand_radius_mm": 22.6,
        "nose_inner_radius_mm": 1.0,
        "nose_outer_radius_mm": 1.2,
        "outer_leg_angle_deg": 26.0,
        "outer_leg_length_mm": 1.4,
        "chime_radius_mm": 2.6,
        "chime_angle_deg": 55.0,
        "heel_radius_mm": 4.5,
        "wall_radius_mm": 31.0,
        "wall_height_mm": 30.0,
        "wall_gauge_mm": 0.106,
        "blend_start_mm": 0.0,
        "blend_length_mm": 4.0,
    },
    "supports": {"outer_edge": "clamped"},
    "loads": {"pressure_side": "inside"},
    "analyses": {"run": ["GMNA"], "wave_numbers": [0, 0]},
}
SERIES = {"shape.gauge_mm": (0.240, 0.300), "shape.wall_gauge_mm": (0.098, 0.112)}
SERIES_COUNT = 61
SWEPT = {"bases": 20, "ends": 10}
SWEPT_KEYS = {
    "bases": ("shape.gauge_mm", "material.yield_stress_MPa", "shape.dome_depth_mm"),
    "ends": ("shape.gauge_mm", "material.yield_stress_MPa", "shape.panel_depth_mm"),
}
NEIGHBOURS = 1.003 ** np.arange(-5, 6)


@dataclass(frozen=True)
class Line:
    """A body, the key that is swept, and its values."""

    body: str
    case: Case
    key: str
    values: tuple[float, ...]


@dataclass(frozen=True)
class Body:
    """A body that is computed at several levels."""

    name: str
    case: Case


def series() -> Iterator[Line]:
    """The two series of one base."""
    case = case_from_dict(SERIES_BASE)
    for key, (low, high) in SERIES.items():
        yield Line("series", case, key, tuple(float(x) for x in np.round(np.linspace(low, high, SERIES_COUNT), 7)))


def sweeps() -> Iterator[Line]:
    """Random bodies, each swept in three of its numbers."""
    for what, count in SWEPT.items():
        for index, _, case in feasible(what, count):
            for key in SWEPT_KEYS[what]:
                middle = _value(case.tables, key)
                yield Line(f"{what} {index}", case, key, tuple(float(x) for x in np.round(middle * NEIGHBOURS, 7)))


def levels(count: int) -> Iterator[Body]:
    """Random bodies for other meshes, steps and layers."""
    for what in ("bases", "ends"):
        for index, _, case in feasible(what, count):
            yield Body(f"{what} {index}", case)


def with_value(case: Case, key: str, value: float) -> Case:
    """A case with one number changed; raises CaseError where that cannot be made."""
    return case_from_dict(replace_keys(case.tables, {key: value}))


def _value(tables: Mapping[str, object], key: str) -> float:
    table, name = key.split(".")
    return tables[table][name]
