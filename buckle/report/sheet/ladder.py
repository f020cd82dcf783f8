"""From linear bifurcation to the deciding analysis step by step, and where the body lies on a capacity curve."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from buckle.formulas.capacity import FINEST_QUALITY, PERFECT_DOME, Curve, dome_clamped
from buckle.record.quantities import Fields
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
    pressure_bar: float
    of_previous: float | None
    of_first: float | None


@dataclass(frozen=True)
class Place:
    """Relative slenderness and the governing pressure over the plastic reference, beside two simple curves."""

    plastic_bar: float  # MNA
    critical_bar: float  # LBA
    slenderness: float
    reached: float  # governing pressure / plastic reference
    kind: str  # of the governing pressure
    elastic: float  # 1 / slenderness^2, an elastic perfect shell
    curve: float | None = None  # capacity curve of clamped spherical domes
    alpha: float | None = None
    radius_over_thickness: float | None = None


def rungs(told: Fields) -> tuple[Rung, ...]:
    """Return the ladder of the analyses that found a pressure."""
    kinds = [kind for kind in STEPS if f"{kind}.governing_pressure_bar" in told]
    pressures = [_number(told, f"{kind}.governing_pressure_bar") for kind in kinds]
    return tuple(
        Rung(
            kind,
            WORDS[kind],
            event_words(told, kind),
            pressure,
            pressure / pressures[i - 1] if i else None,
            pressure / pressures[0] if i else None,
        )
        for i, (kind, pressure) in enumerate(zip(kinds, pressures, strict=True))
    )


def event_words(told: Fields, kind: str) -> str:
    """Return 'limit point' or 'bifurcation, n = 6' of a kind's governing pressure."""
    event = str(told.get(f"{kind}.governing_event", ""))
    wave = told.get(f"{kind}.wave_number", told.get(f"{kind}.bifurcation_wave_number"))
    return f"{event}, n = {wave}" if event == "bifurcation" else event


def place(told: Fields) -> Place | None:
    """Return where the body lies; None without MNA, LBA and one analysis above them."""
    deciding = [kind for kind in ("GMNIA", "GMNA") if f"{kind}.governing_pressure_bar" in told]
    if not deciding or "MNA.limit_pressure_bar" not in told or "LBA.critical_pressure_bar" not in told:
        return None
    plastic, critical = _number(told, "MNA.limit_pressure_bar"), _number(told, "LBA.critical_pressure_bar")
    slenderness = math.sqrt(plastic / critical)
    ratio = _radius_over_thickness(told)
    curve = None if ratio is None else dome_curve(ratio)
    return Place(
        plastic,
        critical,
        slenderness,
        _number(told, f"{deciding[0]}.governing_pressure_bar") / plastic,
        deciding[0],
        1.0 / slenderness**2,
        None if curve is None else curve.reduction(slenderness),
        None if curve is None else curve.alpha,
        ratio,
    )


def dome_curve(ratio: float) -> Curve:
    """Return the capacity curve of a clamped spherical dome of that R/t, best fabrication class."""
    steel = {"youngs_modulus": 200e3, "poissons_ratio": 0.3, "yield_stress": 250.0}  # alpha does not ask for them
    worked = dome_clamped(**steel, radius=ratio, thickness=1.0, quality=FINEST_QUALITY)
    return replace(PERFECT_DOME, alpha=worked.number("alpha"))


def _radius_over_thickness(told: Fields) -> float | None:
    """Return R/t of a dome as a hand calculation of the same record used it."""
    if not described(str(told.get("family"))).on_dome_curve:
        return None
    margins = told.get("margins")
    rows: Sequence[Mapping[str, object]] = margins if isinstance(margins, list) else ()
    for row in rows:
        numbers = row.get("numbers")
        if isinstance(numbers, Mapping) and "R/t" in numbers:
            return float(str(numbers["R/t"]).split()[0])
    return None


def _number(told: Fields, key: str) -> float:
    return float(str(told[key]))
