"""A run made up by hand, no solver: every number in it is known, none means anything."""

from dataclasses import replace

import numpy as np

from buckle.case import Case, case_from_dict
from buckle.results import (
    BIFURCATION,
    LIMIT_POINT,
    Array,
    Balance,
    Event,
    Growth,
    MidSurface,
    Mode,
    Outcome,
    PathStates,
    PlasticStrain,
    Status,
    Stresses,
)

STATIONS = 41


def made_case(**tables: object) -> Case:
    """A cap of radius 50 mm and height 8 mm, thickness 0.3 to 0.2 mm; tables replace or add to its own."""
    own: dict[str, object] = {
        "case": {"title": "Made cap"},
        "material": {
            "youngs_modulus_MPa": 70000.0,
            "poissons_ratio": 0.3,
            "density_kg_per_m3": 2700.0,
            "yield_stress_MPa": 250.0,
            "hardening": {"law": "none"},
        },
        "shape": {
            "family": "spherical_cap",
            "radius_mm": 50.0,
            "height_mm": 8.0,
            "thickness_mm": 0.3,
            "thickness_at_mm": [[0.0, 0.3], [20.0, 0.2]],
        },
        "supports": {"outer_edge": "clamped"},
        "loads": {"pressure_side": "outside"},
        "analyses": {"run": ["LA", "LBA", "GNA", "GMNA"], "wave_numbers": [0, 3]},
        "requirements": {"pressure_bar": 2.0, "service_pressure_bar": 1.0},
    }
    return case_from_dict(own | tables)


def made_outcomes(case: Case, scale: float = 1.0) -> tuple[Outcome, ...]:
    """LA, LBA, GNA and GMNA, each with all that its kind may have; GMNA passes 0.2 MPa times the scale on its way."""
    return _stresses(case), _waves(case, scale), _path(case, "GNA", 1.5 * scale), _path(case, "GMNA", scale)


def made_collapse(case: Case, scale: float = 1.0) -> Outcome:
    """MNA whose mechanism grows without end."""
    pressure, travel = scale * np.array([0.0, 0.1, 0.15, 0.15]), np.array([0.0, -0.1, -1.0, -50.0])
    zeros = 0.0 * travel
    table = PathStates(pressure, travel, -travel, zeros, zeros, zeros)
    limit = Event(LIMIT_POINT, 0.15 * scale)
    return Outcome("MNA", Status.SOLVED, limit=limit, path=table)


def _line(case: Case) -> tuple[Array, Array, Array]:
    s = np.linspace(0.0, case.meridian.length, STATIONS)
    at = case.meridian.at_s(s)
    return s, at.r, at.z


def _stresses(case: Case) -> Outcome:
    s, r, z = _line(case)
    along = np.stack([-s, 0.0 * s, s])
    stresses = Stresses(1.0, s, r, z, 10.0 * along, 4.0 * along - 50.0)
    return Outcome("LA", Status.SOLVED, first_yield=np.float64(0.125), stresses=stresses, settings={"layers": 4})


def made_mode(case: Case, n: int, pressure: float) -> Mode:
    """A mode whose three components differ."""
    s, r, z = _line(case)
    hump = np.sin(np.pi * s / s[-1])
    return Mode(n, pressure, r, z, 0.3 * hump, -0.1 * hump, hump)


def _waves(case: Case, scale: float) -> Outcome:
    pressures = [scale * p for p in (0.5, 0.4, 0.375, 0.45)]
    events = tuple(Event(BIFURCATION, p, n, 0.01 if n == 2 else None) for n, p in enumerate(pressures))
    modes = made_mode(case, 2, pressures[2]), made_mode(case, 1, pressures[1])
    return Outcome("LBA", Status.SOLVED, critical=events, modes=modes)


def _path(case: Case, kind: str, factor: float) -> Outcome:
    s, r, z = _line(case)
    hump = np.exp(-((s / (0.4 * s[-1])) ** 2))
    pressure = factor * np.array([0.0, 0.1, 0.2, 0.25, 0.24])
    travel = np.array([0.0, -0.1, -0.3, -0.6, -0.8])
    plastic = np.zeros(5) if kind == "GNA" else np.array([0.0, 0.0, 1e-3, 2e-2, 3e-2])
    drop = None if kind == "GNA" else -0.5 * travel
    table = PathStates(pressure, travel, -travel, 1234.5 * travel, plastic, np.array([0.0, 3.0, 3.0, 4.0, 3.0]), drop)
    names = {"unloaded": 0, "service": 1, "required": 2, "bifurcation": 2, "limit point": 3, "beyond the limit": 4}
    sections = tuple(MidSurface(name, float(pressure[i]), r, z + travel[i] * hump) for name, i in names.items())
    outcome = Outcome(
        kind,
        Status.SOLVED,
        limit=Event(LIMIT_POINT, np.float64(0.25 * factor)),
        bifurcation=Event(BIFURCATION, 0.2 * factor, 3, np.float64(0.25)),
        path=table,
        sections=sections,
        modes=(made_mode(case, 3, 0.2 * factor),),
        growth=(Growth(0.1, 0.1), Growth(0.2, 0.3)),
        notes=("a note",),
        balance=Balance(-12.5, 12.5),
    )
    if kind == "GNA":
        return outcome
    bracket, again = Event(BIFURCATION, 0.19 * factor, 4), Event(LIMIT_POINT, 0.26 * factor)
    growth = Growth(0.1, 0.1, 0.01), Growth(0.2, 0.3, 0.05, stand_drop=0.15)
    return replace(
        outcome,
        deformation_bifurcation=bracket,
        highest_limit=again,
        growth=growth,
        plastic_strain=made_strain(case),
    )


def made_strain(case: Case) -> PlasticStrain:
    """Plastic strain in the outer quarter of the meridian: up to 2 % inside, 0.5 % in the middle, 1 % outside."""
    s, r, z = _line(case)
    hump = np.clip((s / s[-1] - 0.75) / 0.25, 0.0, 1.0)
    return PlasticStrain(s, r, z, np.stack([0.02 * hump, 0.005 * hump, 0.01 * hump]))
