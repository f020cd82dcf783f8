"""The runs of the study of deviations: capacity with a dent over capacity without."""

import math

import buckle
from scripts.paths import CASES

DEPTHS = (0.05, 0.1, 0.2, 0.3, 0.5, 0.75, 1.0, 1.5, 2.0)
"""Walls."""
WIDTHS = (1.0, 2.0, 3.0)
"""In sqrt(R t) / (12 (1 - nu^2))^(1/4), R and t of the dome or of the sphere."""
QUALITIES = ("A", "B", "C")
SPHERE = {
    "material": {"youngs_modulus_GPa": 69.0, "poissons_ratio": 0.3, "yields": False},
    "shape": {"family": "complete_sphere", "radius_mm": 1000.0, "thickness_mm": 1.0},
    "loads": {"pressure_side": "outside"},
    "analyses": {"run": ["GNA"], "wave_numbers": [0, 20]},
}


def bodies():
    """Name, tables, radius and wall [mm] and the kinds of analysis without and with a deviation."""
    base, end = (buckle.read_case(CASES / "demo" / f"{name}.toml") for name in ("base", "end"))
    yield "sphere", SPHERE, 1000.0, 1.0, ("GNA", "GNIA")
    plastic = ("GMNA", "GMNIA")
    yield "base", dict(base.tables), base.dimensions["dome_radius"], base.dimensions["gauge"], plastic
    # A flat panel has no radius of its own: the decay length of its rim stands for it.
    yield "end", dict(end.tables), 0.5 * end.dimensions["panel_diameter"], end.dimensions["gauge"], plastic


def capacity(tables, kind, deviation=None):
    """Capacity [bar], event and note; NaN where none was found."""
    tables = {**tables, "analyses": {**tables["analyses"], "run": [kind]}}
    case = buckle.case_from_dict({**tables, "deviation": deviation} if deviation else tables)
    outcome = buckle.run(case, kind, estimate_error=False, lower_bracket=False, pictures=False)
    event = outcome.capacity
    if event is None:
        return math.nan, outcome.status.value, outcome.reason
    waves = f", n = {event.wave_number}" if event.kind == "bifurcation" else ""
    return 10.0 * event.pressure, f"{event.kind}{waves}", outcome.notes[0] if outcome.notes else ""


def dimple_rows():
    for name, tables, radius, wall, (perfect, kind) in bodies():
        without, event, _ = capacity(tables, perfect)
        yield row((name, "none", 0.0, 0.0), without, without, event)
        for width in WIDTHS:
            length = width * math.sqrt(radius * wall) / (12.0 * (1.0 - 0.3**2)) ** 0.25
            for depth in DEPTHS:
                for sense in (1.0,) if name == "sphere" else (1.0, -1.0):
                    dimple = {"shape": "dimple", "width_mm": length, "depth_mm": sense * depth * wall}
                    found, event, _ = capacity(tables, kind, dimple)
                    yield row((name, "dimple", width, sense * depth), found, without, event)


def class_rows():
    for name, tables, _, _, (perfect, kind) in list(bodies())[1:]:
        without, _, _ = capacity(tables, perfect)
        for quality in QUALITIES:
            found, event, note = capacity(tables, kind, {"shape": "class", "quality": quality})
            yield row((name, f"class {quality}", 0.0, 0.0), found, without, event, note)


def row(what, found, without, event, note=""):
    return {
        **dict(zip(("body", "deviation", "width", "depth"), what, strict=True)),
        "capacity_bar": found,
        "share": found / without,
        "event": event,
        "note": note,
    }
