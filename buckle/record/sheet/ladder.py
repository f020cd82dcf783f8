"""From linear bifurcation to the deciding analysis step by step, and where the body lies on a capacity curve."""

import math
from dataclasses import dataclass, replace

from buckle.formulas.capacity import FINEST_QUALITY, PERFECT_DOME, Curve, dome_clamped
from buckle.increasing import PRESSURE, PUSH, Increasing
from buckle.record.quantities import Fields
from buckle.record.reading import number_of, rows_of
from buckle.shapes import described

STEPS = ("LBA", "GNA", "GMNA", "GNIA", "GMNIA")
WORDS = {
    "LBA": "linear bifurcation of the perfect elastic shell",
    "GNA": "adds large displacements",
    "GMNA": "adds yielding and hardening",
    "GNIA": "elastic, large displacements, with imperfections",
    "GMNIA": "adds imperfections",
}


@dataclass(frozen=True)
class Rung:
    """One analysis of the ladder; factors against the rung before it and against the first."""

    kind: str
    words: str
    event: str
    load: float
    of_previous: float | None
    of_first: float | None
    unit: str = "bar"  # or 'N', of the load


@dataclass(frozen=True)
class OnCurve:
    """Relative slenderness and the governing load over the plastic reference, beside two simple curves."""

    plastic: float  # MNA
    critical: float  # LBA
    slenderness: float
    reached: float  # governing load / plastic reference
    kind: str  # of the governing load
    elastic: float  # 1 / slenderness^2, an elastic perfect shell
    curve: float | None = None  # capacity curve of clamped spherical domes
    alpha: float | None = None
    radius_over_thickness: float | None = None
    unit: str = "bar"  # or 'N', of the loads


def rungs(recorded: Fields) -> tuple[Rung, ...]:
    """Return the ladder of the analyses that found a load."""
    load = _increasing(recorded)
    kinds = [kind for kind in STEPS if f"{kind}.governing_{load.key}" in recorded]
    if "GMNIA" in kinds and "GNIA" in kinds:  # the elastic one is no step from GMNA to GMNIA
        kinds.remove("GNIA")
    sizes = [_number(recorded, f"{kind}.governing_{load.key}") for kind in kinds]
    return tuple(
        Rung(
            kind,
            WORDS[kind],
            event_words(recorded, kind),
            size,
            size / sizes[i - 1] if i else None,
            size / sizes[0] if i else None,
            load.unit,
        )
        for i, (kind, size) in enumerate(zip(kinds, sizes, strict=True))
    )


def _increasing(recorded: Fields) -> Increasing:
    """Return the load that the analyses of a record are about."""
    return PUSH if any(f"{kind}.governing_{PUSH.key}" in recorded for kind in STEPS) else PRESSURE


def event_words(recorded: Fields, kind: str) -> str:
    """Return 'limit point' or 'bifurcation, n = 6' of a kind's governing load."""
    event = str(recorded.get(f"{kind}.governing_event", ""))
    wave = recorded.get(f"{kind}.wave_number", recorded.get(f"{kind}.bifurcation_wave_number"))
    return f"{event}, n = {wave}" if event == "bifurcation" else event


def on_curve(recorded: Fields) -> OnCurve | None:
    """Return where the body lies; None without MNA, LBA and one analysis above them."""
    load = _increasing(recorded)
    deciding = [kind for kind in ("GMNIA", "GMNA") if f"{kind}.governing_{load.key}" in recorded]
    if not deciding or f"MNA.limit_{load.key}" not in recorded or f"LBA.critical_{load.key}" not in recorded:
        return None
    plastic, critical = _number(recorded, f"MNA.limit_{load.key}"), _number(recorded, f"LBA.critical_{load.key}")
    slenderness = math.sqrt(plastic / critical)
    ratio = _radius_over_thickness(recorded)
    curve = None if ratio is None else dome_curve(ratio)
    return OnCurve(
        plastic,
        critical,
        slenderness,
        _number(recorded, f"{deciding[0]}.governing_{load.key}") / plastic,
        deciding[0],
        1.0 / slenderness**2,
        None if curve is None else curve.reduction(slenderness),
        None if curve is None else curve.alpha,
        ratio,
        load.unit,
    )


def dome_curve(ratio: float) -> Curve:
    """Return the capacity curve of a clamped spherical dome of that R/t, best fabrication class."""
    steel = {"youngs_modulus": 200e3, "poissons_ratio": 0.3, "yield_stress": 250.0}  # alpha does not ask for them
    worked = dome_clamped(**steel, radius=ratio, thickness=1.0, quality=FINEST_QUALITY)
    return replace(PERFECT_DOME, alpha=worked.number("alpha"))


def _radius_over_thickness(recorded: Fields) -> float | None:
    """Return R/t of a dome as a hand calculation of the same record used it."""
    if not described(str(recorded.get("family"))).on_dome_curve:
        return None
    steps = (step for row in rows_of(recorded.get("margins")) for step in rows_of(row.get("steps")))
    return next((number_of(step.get("value")) for step in steps if step.get("symbol") == "R/t"), None)


def _number(recorded: Fields, key: str) -> float:
    return float(str(recorded[key]))
