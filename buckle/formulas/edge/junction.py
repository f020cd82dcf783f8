"""Where an elastic cylinder meets a hemisphere, a flat end or a ring: edge shear, edge moment and greatest stress.

The edge of a long cylinder under an inward shear Q and a moment M that turns it outward moves out by
u = u_p + (beta M - Q) / (2 beta^3 D) and turns by (2 beta M - Q) / (2 beta^2 D), u_p = p R^2 (1 - nu/2) / (E t) under
inside pressure with closed ends. The body beside it moves and turns with it: two equations for Q and M. Both are of the
same material, so that E falls out of every stress. Middle surfaces meet in one circle.
"""

import math
from dataclasses import dataclass
from typing import Annotated

from buckle.formulas.arguments import AppliedPressure, CylinderLength, PoissonsRatio, Radius, Thickness, YoungsModulus
from buckle.formulas.base import Answers, Interval, Quantity, Statement, Symbol, Worked, formula
from buckle.formulas.elastic import bending_stiffness, decay_rate
from buckle.units import PositiveLength

HeadThickness = Annotated[PositiveLength, Symbol("t_s")]
EndThickness = Annotated[PositiveLength, Symbol("T")]
RingWidth = Annotated[PositiveLength, Symbol("b")]
RingHeight = Annotated[PositiveLength, Symbol("h")]

_SOURCE = (
    "beam on an elastic foundation: S. P. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells, 1959,"
    " cylindrical shells under axisymmetric load (from memory); derived again here"
)
_EDGE = (
    "u = u_p + (beta M - Q) / (2 beta^3 D), turn = (2 beta M - Q) / (2 beta^2 D), u_p = p R^2 (1 - nu/2) / (E t),"
    " beta^4 = 3 (1 - nu^2) / (R t)^2, D = E t^3 / (12 (1 - nu^2))"
)
_PEAK = "sigma = p R / (2 t) + 6 M_max / t^2, M_max greatest of exp(-beta x) (M cos(beta x) + (M - Q/beta) sin(beta x))"
_RANGES = (Interval("R/t", low=20.0), Interval("beta L", low=3.0))
_LEAVES_OUT = ("yielding", "change of geometry under load", "the other end of the cylinder", "transverse shear")


def _statement(name: str, answers: Answers, expression: str, ranges: tuple[Interval, ...], condition: str) -> Statement:
    return Statement(
        name=f"edge.{name}",
        unit="mm" if answers == "deflection" else "MPa",
        expression=f"{expression}; {_EDGE}",
        source=_SOURCE,
        kind="theory",
        answers=answers,
        ranges=(*_RANGES, *ranges),
        ignores=_LEAVES_OUT,
        conditions=(f"{condition}; inside pressure, one material", "middle surfaces meet in one circle"),
    )


@dataclass(frozen=True)
class CylinderEnd:
    """The end of a long cylinder for unit Young's modulus and unit pressure, lengths in mm."""

    nu: float
    radius: float
    thickness: float

    @property
    def beta(self) -> float:
        """Return the decay rate [1/mm]."""
        return decay_rate(self.nu, self.radius, self.thickness)

    @property
    def free(self) -> float:
        """Return how far the closed cylinder moves out away from its ends."""
        return self.radius**2 * (1.0 - 0.5 * self.nu) / self.thickness

    @property
    def compliance(self) -> tuple[float, float, float]:
        """Return outward movement by Q, by M (and turn by Q), and turn by M, in modulus."""
        b, D = self.beta, bending_stiffness(1.0, self.nu, self.thickness)
        return 1.0 / (2.0 * b**3 * D), 1.0 / (2.0 * b**2 * D), 1.0 / (b * D)

    def joined(self, movement: tuple[float, float, float], turning: tuple[float, float, float]) -> tuple[float, float]:
        """Return Q and M where the other body moves out by m0 + m1 Q + m2 M and turns by t0 + t1 Q + t2 M."""
        by_shear, cross, by_moment = self.compliance
        # free + cross M - by_shear Q = m0 + m1 Q + m2 M;  by_moment M - cross Q = t0 + t1 Q + t2 M
        a11, a12, b1 = by_shear + movement[1], movement[2] - cross, self.free - movement[0]
        a21, a22, b2 = -cross - turning[1], by_moment - turning[2], turning[0]
        det = a11 * a22 - a12 * a21
        return (b1 * a22 - a12 * b2) / det, (a11 * b2 - a21 * b1) / det

    def greatest_moment(self, shear: float, moment: float) -> float:
        """Return the greatest meridional moment along the wall, signed as it turns the edge outward."""
        A, B = moment, moment - shear / self.beta
        x = math.atan2(B - A, A + B) % math.pi
        inside = math.exp(-x) * (A * math.cos(x) + B * math.sin(x))
        return max((A, inside), key=abs)


def _worked(edge: CylinderEnd, load: tuple[float, float, float], loads: tuple[float, float], length: float) -> Worked:
    """Return the greatest meridional stress; `load` is (p, R, t), `loads` Q and M for unit pressure."""
    pressure, radius, thickness = load
    shear, moment = pressure * loads[0], pressure * loads[1]
    greatest = edge.greatest_moment(shear, moment)
    steps = (
        Quantity("R/t", radius / thickness),
        Quantity("beta L", edge.beta * length),
        Quantity("beta", edge.beta, "1/mm"),
        Quantity("Q", shear, "N/mm"),
        Quantity("M", moment, "N"),
        Quantity("M_max", greatest, "N"),
        Quantity("sigma_edge", 6.0 * moment / thickness**2, "MPa"),
    )
    return Worked(0.5 * pressure * radius / thickness + 6.0 * abs(greatest) / thickness**2, steps)


@formula(
    _statement(
        "hemisphere_unequal_stress",
        "stress",
        f"{_PEAK.replace('M_max /', 'abs(M_max) /')}; the hemisphere moves out by p R^2 (1 - nu) / (2 E t_s)"
        " + (beta_s M + Q) / (2 beta_s^3 D_s) and turns by -(2 beta_s M + Q) / (2 beta_s^2 D_s)",
        (Interval("t_s/t", 0.3, 3.0),),
        "long closed cylinder with a hemisphere",
    ),
    example={
        "pressure": 0.3,
        "poissons_ratio": 0.33,
        "radius": 33.0,
        "thickness": 0.3,
        "head_thickness": 0.4,
        "length": 60.0,
    },
)
def hemisphere_unequal_stress(
    *,
    pressure: AppliedPressure,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    head_thickness: HeadThickness,
    length: CylinderLength,
) -> Worked:
    """Greatest meridional stress of a cylinder near its junction with a hemisphere of another thickness."""
    edge, head = (CylinderEnd(poissons_ratio, radius, wall) for wall in (thickness, head_thickness))
    by_shear, cross, by_moment = head.compliance
    free = 0.5 * radius**2 * (1.0 - poissons_ratio) / head_thickness
    loads = edge.joined((free, by_shear, cross), (0.0, -cross, -by_moment))
    worked = _worked(edge, (pressure, radius, thickness), loads, length)
    return Worked(worked.value, (*worked.steps, Quantity("t_s/t", head_thickness / thickness)))


_END = (
    "the end moves out by Q R (1 - nu) / (E T) and turns by (p R^3/8 - M R) / (D_T (1 + nu)),"
    " D_T = E T^3 / (12 (1 - nu^2))"
)


def _flat_end(nu: float, radius: float, thickness: float, end: float) -> tuple[CylinderEnd, tuple[float, float]]:
    """Return the cylinder's edge, and Q and M for unit pressure."""
    edge = CylinderEnd(nu, radius, thickness)
    turning = bending_stiffness(1.0, nu, end) * (1.0 + nu)
    stretch = radius * (1.0 - nu) / end
    return edge, edge.joined((0.0, stretch, 0.0), (radius**3 / (8.0 * turning), 0.0, -radius / turning))


@formula(
    _statement(
        "flat_end_stress",
        "stress",
        f"{_PEAK}; {_END}",
        (Interval("R/T", low=10.0), Interval("w0/T", high=0.2)),
        "long cylinder closed by a flat end",
    ),
    example={
        "pressure": 0.02,
        "youngs_modulus": 69e3,
        "poissons_ratio": 0.33,
        "radius": 33.0,
        "thickness": 0.3,
        "end_thickness": 1.2,
        "length": 60.0,
    },
)
def flat_end_stress(
    *,
    pressure: AppliedPressure,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    end_thickness: EndThickness,
    length: CylinderLength,
) -> Worked:
    """Greatest meridional stress of a cylinder at its junction with a flat end."""
    edge, loads = _flat_end(poissons_ratio, radius, thickness, end_thickness)
    worked = _worked(edge, (pressure, radius, thickness), loads, length)
    moment = pressure * loads[1]
    centre = (3.0 + poissons_ratio) * pressure * radius**2 / 16.0 - moment
    steps = (
        Quantity("sigma_end_edge", 6.0 * moment / end_thickness**2, "MPa"),
        Quantity("sigma_end_centre", 6.0 * centre / end_thickness**2, "MPa"),
        Quantity("R/T", radius / end_thickness),
        Quantity("w0/T", _bulge(pressure / youngs_modulus, poissons_ratio, radius, end_thickness, loads[1])),
    )
    return Worked(worked.value, (*worked.steps, *steps))


@formula(
    _statement(
        "flat_end_deflection",
        "deflection",
        f"w0 = p R^4 (5 + nu) / (64 (1 + nu) D_T) - M R^2 / (2 (1 + nu) D_T); {_END}",
        (Interval("R/T", low=10.0), Interval("w0/T", high=0.2)),
        "long cylinder closed by a flat end",
    ),
    example={
        "pressure": 0.02,
        "youngs_modulus": 69e3,
        "poissons_ratio": 0.33,
        "radius": 33.0,
        "thickness": 0.3,
        "end_thickness": 1.2,
        "length": 60.0,
    },
)
def flat_end_deflection(
    *,
    pressure: AppliedPressure,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    end_thickness: EndThickness,
    length: CylinderLength,
) -> Worked:
    """Small central deflection of the flat end of a long cylinder."""
    edge, loads = _flat_end(poissons_ratio, radius, thickness, end_thickness)
    bulge = _bulge(pressure / youngs_modulus, poissons_ratio, radius, end_thickness, loads[1])
    steps = (
        Quantity("R/t", radius / thickness),
        Quantity("beta L", edge.beta * length),
        Quantity("Q", pressure * loads[0], "N/mm"),
        Quantity("M", pressure * loads[1], "N"),
        Quantity("R/T", radius / end_thickness),
        Quantity("w0/T", bulge),
    )
    return Worked(bulge * end_thickness, steps)


def _bulge(load: float, nu: float, radius: float, end: float, moment: float) -> float:
    """Return w0/T; `load` is p/E, `moment` M/p."""
    stiffness = bending_stiffness(1.0, nu, end)
    whole = radius**4 * (5.0 + nu) / 64.0 - 0.5 * moment * radius**2
    return load * whole / ((1.0 + nu) * stiffness * end)


# Rings ----------------------------------------------------------------------------------------------------------------


@formula(
    _statement(
        "ring_edge_stress",
        "stress",
        f"{_PEAK}; the ring moves out by Q R^2 / (E A) and turns by -M R^2 / (E I), A = b h, I = h b^3 / 12",
        (Interval("R/h", low=5.0),),
        "closed cylinder that ends in a ring of width b along it and height h, centred on the wall",
    ),
    example={
        "pressure": 0.3,
        "poissons_ratio": 0.33,
        "radius": 33.0,
        "thickness": 0.3,
        "ring_width": 2.0,
        "ring_height": 1.5,
        "length": 60.0,
    },
)
def ring_edge_stress(
    *,
    pressure: AppliedPressure,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    ring_width: RingWidth,
    ring_height: RingHeight,
    length: CylinderLength,
) -> Worked:
    """Greatest meridional stress of a cylinder at an edge that a ring stiffens."""
    edge = CylinderEnd(poissons_ratio, radius, thickness)
    area, inertia = ring_width * ring_height, ring_height * ring_width**3 / 12.0
    loads = edge.joined((0.0, radius**2 / area, 0.0), (0.0, 0.0, -(radius**2) / inertia))
    worked = _worked(edge, (pressure, radius, thickness), loads, length)
    steps = (
        Quantity("A", area, "mm2"),
        Quantity("I", inertia, "mm4"),
        Quantity("R/h", radius / ring_height),
    )
    return Worked(worked.value, (*worked.steps, *steps))


@formula(
    Statement(
        name="edge.ring_stiffener_stress",
        unit="MPa",
        expression=(
            "sigma = p R / (2 t) + 6 M / t^2, M = F / (4 beta), F = u_p / (1 / (8 beta^3 D) + R^2 / (E A)), A = b h,"
            " u_p = p R^2 (1 - nu/2) / (E t), beta^4 = 3 (1 - nu^2) / (R t)^2, D = E t^3 / (12 (1 - nu^2))"
        ),
        source=_SOURCE,
        kind="theory",
        answers="stress",
        ranges=(*_RANGES, Interval("R/h", low=5.0)),
        ignores=(*_LEAVES_OUT, "width of the ring along the wall", "neighbouring rings"),
        conditions=("closed cylinder that goes on for L on both sides of a ring centred on the wall; one material",),
    ),
    example={
        "pressure": 0.3,
        "poissons_ratio": 0.33,
        "radius": 33.0,
        "thickness": 0.3,
        "ring_width": 2.0,
        "ring_height": 1.5,
        "length": 60.0,
    },
)
def ring_stiffener_stress(
    *,
    pressure: AppliedPressure,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    ring_width: RingWidth,
    ring_height: RingHeight,
    length: CylinderLength,
) -> Worked:
    """Greatest meridional stress of a cylinder under a ring that stiffens it away from its ends."""
    edge = CylinderEnd(poissons_ratio, radius, thickness)
    area = ring_width * ring_height
    force = pressure * edge.free / (0.25 * edge.compliance[0] + radius**2 / area)
    moment = 0.25 * force / edge.beta
    steps = (
        Quantity("R/t", radius / thickness),
        Quantity("beta L", edge.beta * length),
        Quantity("R/h", radius / ring_height),
        Quantity("beta", edge.beta, "1/mm"),
        Quantity("A", area, "mm2"),
        Quantity("F", force, "N/mm"),
        Quantity("M", moment, "N"),
    )
    return Worked(0.5 * pressure * radius / thickness + 6.0 * moment / thickness**2, steps)
