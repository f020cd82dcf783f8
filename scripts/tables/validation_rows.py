"""Rows of docs/validation.md: measured, published or elsewhere computed values beside what comes out here."""

import math
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from statistics import mean, stdev

import numpy as np

from buckle.analysis import run
from buckle.case import Case, case_from_dict
from buckle.results import Event, Outcome
from scripts.paths import CASES

E1 = CASES / "benchmarks" / "end" / "e1-gmna.toml"
PSI = 0.0689475729  # bar
STEEL = {"youngs_modulus_GPa": 207.0, "poissons_ratio": 0.3}
PLATE_STEELS = {"38 ksi": (262.0, 250.0, 12.0), "50 ksi": (345.0, 190.0, 15.0)}
"""Yield stress, then Voce's increment [MPa] and rate: the least that SA-516 grade 70 may have, and an assumed plate."""
MEASURED = {
    238: {"plastic": 190.0, "waves": 600.0, "carried": 700.0},
    185: {"plastic": 240.0, "waves": None, "carried": 1080.0},
}
"""By D/t [psi]: the plastic limit that the authors calculated, waves first seen, what the vessel carried at its end."""
HIGHEST_WAVE = 90
PLAIN_HEADS = [(L, r, ratio) for ratio in (600, 800, 1000) for L, r in ((1.0, 0.06), (1.0, 0.1), (0.8, 0.154))]
END_SERIES = [
    ("chuck_wall_angle_deg", 0.0, 9.5),
    ("chuck_wall_angle_deg", 6.0, 7.8),
    ("chuck_wall_angle_deg", 12.0, 7.3),
    ("chuck_wall_angle_deg", 20.0, 6.7),
    ("chuck_wall_angle_deg", 30.0, 5.8),
    ("countersink_radius_mm", 0.4, 8.26),
    ("countersink_radius_mm", 0.75, 6.84),
]


@dataclass(frozen=True)
class Head:
    """A torispherical head by its ratios to the mean diameter [mm]."""

    diameter: float
    crown: float
    knuckle: float
    diameter_over_thickness: float

    def case(self, material: dict[str, object], kind: str, waves: int) -> Case:
        thickness = self.diameter / self.diameter_over_thickness
        shape = {
            "family": "torispherical_head",
            "crown_radius_mm": self.crown * self.diameter,
            "knuckle_radius_mm": self.knuckle * self.diameter,
            "diameter_mm": self.diameter,
            "cylinder_length_mm": 5.0 * math.sqrt(0.5 * self.diameter * thickness),
            "thickness_mm": thickness,
        }
        return case_from_dict(
            {
                "material": {**STEEL, **material},
                "shape": shape,
                "supports": {"outer_edge": "guided"},
                "loads": {"pressure_side": "inside"},
                "analyses": {"run": [kind], "wave_numbers": [0, waves]},
            }
        )


def outcome(case: Case) -> Outcome:
    return run(case, case.analyses.run[0], estimate_error=False)


def in_psi(event: Event | None) -> str:
    if event is None:
        return "none"
    waves = f", n = {event.wave_number}" if event.wave_number else ""
    return f"{10.0 * event.pressure / PSI:.0f}{waves}"


def pressure_at_twice_the_slope(found: Outcome) -> float:
    """Pressure [MPa] at which the apex has moved twice as far as it would at the slope of the first, elastic state."""
    assert found.path is not None
    pressure, travel = found.path.pressure, found.path.growth
    short = pressure - 0.5 * travel * pressure[1] / travel[1]
    after = int(np.argmax(short < 0.0))  # the path starts at nought with nought and stays above until then
    return float(np.interp(0.0, [short[after], short[after - 1]], [pressure[after], pressure[after - 1]]))


def plate_steel(name: str) -> dict[str, object]:
    yield_stress, increment, rate = PLATE_STEELS[name]
    return {"yield_stress_MPa": yield_stress, "hardening": {"law": "voce", "increment_MPa": increment, "rate": rate}}


@cache
def measured_heads() -> tuple[tuple[str, ...], ...]:
    """Two heads of D = 60 in, L/D = 1, r/D = 0.06: D/t, steel, plastic limits, computed events, what was seen."""
    rows = []
    for ratio, measured in MEASURED.items():
        head = Head(1524.0, 1.0, 0.06, ratio)
        for name in PLATE_STEELS:
            plastic, found = (outcome(head.case(plate_steel(name), kind, 40)) for kind in ("MNA", "GMNA"))
            assert plastic.limit is not None
            twice = 10.0 * pressure_at_twice_the_slope(found) / PSI
            limits = in_psi(plastic.limit), f"{twice:.0f}", f"{measured['plastic']:.0f}"
            share = measured["plastic"] / twice
            waves = "none" if measured["waves"] is None else f"{measured['waves']:.0f}, n = 22"
            events = in_psi(found.bifurcation), in_psi(found.deformation_bifurcation), in_psi(found.limit)
            rows.append((f"{ratio}", name, *limits, f"{share:.2f}", *events, waves, f"{measured['carried']:.0f}"))
    return tuple(rows)


@cache
def plain_heads() -> tuple[tuple[str, ...], ...]:
    """Steel heads of 250 MPa, ideal plasticity, beside the lower envelope of tests."""
    rows = []
    metal = {"youngs_modulus_GPa": 200.0, "yield_stress_MPa": 250.0, "hardening": {"law": "none"}}
    for crown, knuckle, ratio in PLAIN_HEADS:
        found = outcome(Head(1000.0, crown, knuckle, ratio).case(metal, "GMNA", HIGHEST_WAVE))
        envelope = 10.0 * 120.0 * 250.0 * knuckle**0.825 / (ratio**1.5 * crown**1.15)
        cells = [f"{crown:g}", f"{knuckle:g}", f"{ratio}", f"{envelope:.2f}"]
        for event in (found.bifurcation, found.deformation_bifurcation):
            if event is None:
                cells += [f"none up to n = {HIGHEST_WAVE}", ""]
                continue
            cells += [
                f"{10.0 * event.pressure:.2f}, n = {event.wave_number}",
                f"{10.0 * event.pressure / envelope:.2f}",
            ]
        rows.append(tuple(cells))
    return tuple(rows)


@cache
def end_series() -> tuple[tuple[str, ...], ...]:
    """End E1 with one dimension changed: the separate code's limit and ours [bar]."""
    tables = tomllib.loads(E1.read_text(encoding="utf-8"))
    rows = []
    for key, value, reference in END_SERIES:
        axisymmetric = {"run": ["GMNA"], "wave_numbers": [0, 0]}
        changed = {**tables, "shape": {**tables["shape"], key: value}, "analyses": axisymmetric, "expect": []}
        limit = outcome(case_from_dict(changed)).limit
        assert limit is not None
        here = 10.0 * limit.pressure
        rows.append((key, f"{value:g}", f"{reference:g}", f"{here:.2f}", f"{reference / here:.2f}"))
    return tuple(rows)


def scatter(ratios: list[float]) -> str:
    """Mean and coefficient of variation."""
    return f"mean {mean(ratios):.2f}, coefficient of variation {100.0 * stdev(ratios) / mean(ratios):.0f} %"


def table(columns: tuple[str, ...], rows: tuple[tuple[str, ...], ...]) -> Iterator[str]:
    for line in (columns, ("---",) * len(columns), *rows):
        yield f"| {' | '.join(line)} |\n"
