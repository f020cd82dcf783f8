"""What a smaller end saves: the classic end of 54 mm against the same section on 60 mm, of equal gauge or strength."""

import math
from dataclasses import dataclass, replace
from functools import cache

from scipy.optimize import brentq

from buckle import run
from buckle.case import Case, read_case
from buckle.container.metal import Sheet
from buckle.formulas import blank
from buckle.margins.hand import hand_calculations
from buckle.meridian import Meridian
from buckle.shapes import FAMILIES
from scripts.paths import CASES

WIDER = 6.0  # mm of diameter: from 54 to 60
DENSITY = 2650.0  # kg/m3, sheet for ends (from memory)
BLANK = 75.0  # mm: disc of the end of 54 mm (from memory)
ROWS, WEB = 12.0, 1.0  # rows of discs on the strip, mm between them: chosen here


@dataclass(frozen=True)
class End:
    """An end: gauge [mm], rolling pressure by hand and by GMNA [MPa], mass and that with its share of the strip [g]."""

    gauge: float
    pressure: float
    computed: float
    mass: float
    bought: float


@dataclass(frozen=True)
class Ends:
    """The end of 54 mm, and that of 60 mm with the same gauge and with the gauge that carries the same pressure."""

    small: End
    same_gauge: End
    same_pressure: End

    @property
    def exponent(self) -> float:
        """Power of the gauge by which what the larger end carries grows, by GMNA."""
        thin, thick = self.same_gauge, self.same_pressure
        return math.log(thick.computed / thin.computed) / math.log(thick.gauge / thin.gauge)


@cache
def ends() -> Ends:
    """Work the three out."""
    case = read_case(CASES / "benchmarks/end/e1-gmna.toml")
    gauge = case.dimensions["gauge"]
    curl = _curl(_widened(case, 0.0, gauge))
    small = _end(case, 0.0, gauge, curl)
    needed = float(brentq(lambda t: _rolling(_widened(case, WIDER, t)) - small.pressure, 1.05 * gauge, 1.2 * gauge))
    return Ends(small, _end(case, WIDER, gauge, curl), _end(case, WIDER, needed, curl))


def _widened(case: Case, wider: float, gauge: float) -> Case:
    given = {name: value for name, value in case.dimensions.items() if value is not None}
    given |= {"panel_diameter": given["panel_diameter"] + wider, "gauge": gauge}
    return replace(case, meridian=FAMILIES[case.family].make(**given))


def _rolling(case: Case) -> float:
    """Pressure at which the countersink rolls, by hand [MPa]."""
    found = hand_calculations(case)["GMNA"][0].value
    assert found is not None
    return found


def _edge(meridian: Meridian) -> float:
    return float(meridian.at_s(meridian.length).r)


def _curl(case: Case) -> float:
    """Width of the ring beyond the edge [mm] that makes the disc of the small end up."""
    gauge = case.dimensions["gauge"]
    ring = 0.25 * math.pi * BLANK**2 * gauge - case.meridian.metal_volume
    return ring / (gauge * 2.0 * math.pi * _edge(case.meridian))


def _end(case: Case, wider: float, gauge: float, curl: float) -> End:
    """The end with a ring for curl and hook, counted at the radius of its edge."""
    made = _widened(case, wider, gauge)
    ring = curl * gauge * 2.0 * math.pi * _edge(made.meridian)
    volume = made.meridian.metal_volume + ring
    disc = blank.diameter(metal_volume=volume, gauge=gauge, rim_radius=_edge(made.meridian), rim_thickness=gauge).value
    assert disc is not None
    share = blank.strip_share(blank_diameter=disc, rows=ROWS, web=WEB, edge_web=WEB).value
    assert share is not None
    mass = Sheet(gauge, DENSITY, 0.0, 0.0).disc_mass(disc)
    capacity = run(made, "GMNA").capacity
    assert capacity is not None
    return End(gauge, _rolling(made), capacity.pressure, mass, mass / share)
