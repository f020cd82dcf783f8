"""Through the thickness: reference geometry of the layers, and stiffness of a wall for given moduli.

Strain in a layer is a function of the metric's stretch (see `strain`), principal along and around the meridian in an
axisymmetric state. Resultants are derivatives of the strain energy by the metrics of `kinematics`, stiffnesses their
derivatives; transverse shear is elastic. Derived here. The step itself, with its own moduli, is worked out in `points`.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from buckle.material import Material
from buckle.shell.compiled import njit
from buckle.shell.elements import Elements
from buckle.shell.fronts import Cells, cells_of
from buckle.shell.numbering import ALONG, AROUND, TWIST, MetricRow, TwistRow
from buckle.shell.plasticity import (
    PlasticState,
    Tangent,
    elastic_tangent,
    loading,
    plastic_tangent,
)
from buckle.shell.points import Layers, Metal
from buckle.shell.strain import StrainMeasure

Array = NDArray[np.float64]
SOFTENED = {"flow": 0.0, "softened flow": 0.2, "deformation": 1.0}
"""Part of the secant flow of deformation theory that goes into the moduli by each theory."""
SHEAR_FACTOR = 5.0 / 6.0  # Reissner 1945 (from memory): exact for a parabola of shear stress


@dataclass(frozen=True, eq=False)
class Wall:
    """Reference geometry of all layers at all points, weighted for integration; arrays (points, layers)."""

    material: Material
    xi: Array  # (layers,) [-] position from -1 (right face of the walk) to 1
    along: Array  # [-] reference metric C_11 = A^2
    around: Array  # [mm2] reference metric C_22 = R^2
    weight: Array  # [mm3] volume per radian of each layer point
    shear_along: Array  # (points,) [N mm] energy stiffness of g1
    shear_around: Array  # (points,) [N/mm] energy stiffness of g2
    measure: StrainMeasure
    cells: Cells
    zones: tuple["Zone", ...] = ()  # of a wall of several metals; `material` is then one of them

    @cached_property
    def unstrained(self) -> PlasticState:
        """State without stress or strain."""
        return PlasticState.virgin(np.ascontiguousarray(np.broadcast_to(self.xi, self.weight.shape)))

    @property
    def virgin(self) -> PlasticState | None:
        """History before any load; None for an elastic wall."""
        return self.unstrained if self.material.hardening else None

    @cached_property
    def layers(self) -> Layers:
        """What a step needs to know of the layers."""
        return Layers(self.along, self.around, self.weight, _inward(self.xi))

    @cached_property
    def metal(self) -> Metal:
        """What a step needs to know of the material."""
        law, metal = self.material.hardening, self.material
        code, numbers = (law.law, law.array) if law else (0, np.zeros((3, 1)))
        return Metal(metal.youngs_modulus, metal.poissons_ratio, law is not None, code, numbers, self.measure.code)


@dataclass(frozen=True, eq=False)
class Zone:
    """Consecutive points of a wall that are of one metal, and the wall that they make."""

    points: slice
    wall: Wall


@dataclass(frozen=True)
class Resultants:
    """Response of all points: forces by metric, the layers behind them, current metrics."""

    by_metric: Array  # (points, 7) [N mm, N/mm] derivative of energy by (a11, b11, c11, a22, b22, c22, g1)
    metric: tuple[Array, Array]  # C_11 [-] and C_22 [mm2], (points, layers), current (finite) or reference
    tau: tuple[Array, Array]  # stresses [MPa], (points, layers)
    position: Array  # (points, layers) [-] where the layers were in the wall
    state: PlasticState | None  # history that the step leaves

    def at(self, points: slice) -> "Resultants":
        """Those of some points."""
        metric, tau = ((one[points], other[points]) for one, other in (self.metric, self.tau))
        state = None if self.state is None else self.state.at(points)
        return Resultants(self.by_metric[points], metric, tau, self.position[points], state)


def gauss_rule(layers: int) -> tuple[Array, Array]:
    """Positions and weights of Gauss layers on [-1, 1], for elastic walls, (layers,) [-] each."""
    xi, weight = np.polynomial.legendre.leggauss(layers)
    return xi, weight


def split_gauss_rule(layers: int) -> tuple[Array, Array]:
    """Gauss layers on each half of the thickness: exact for the jump of a fully plastic bend at the middle.

    Ten layers so placed give the limit of a domed base to 0.05 %, where ten over the whole thickness are 0.3 % high.
    Positions and weights (layers,) [-].
    """
    xi, weight = gauss_rule((layers + 1) // 2)
    return np.concatenate([xi - 1.0, xi + 1.0]) / 2.0, np.concatenate([weight, weight]) / 2.0


def layered_wall(material: Material, elements: Elements, rule: tuple[Array, Array], measure: StrainMeasure) -> Wall:
    """Build the wall at the points of elements; rule (xi, weights) of the layers (layers,) [-]."""
    (xi, weight), station, length = rule, elements.station, elements.length
    h = 0.5 * station.thickness[:, None]
    a = 1.0 - h * xi * station.curvature[:, None]
    r = station.r[:, None] - h * xi * np.sin(station.heading)[:, None]
    volume = a * r * h * weight * length[:, None]
    stiff = SHEAR_FACTOR * material.shear_modulus * volume
    return Wall(
        material=material,
        xi=xi,
        along=a * a,
        around=r * r,
        weight=volume,
        shear_along=np.sum(stiff / (a * a), axis=1),
        shear_around=np.sum(stiff / (r * r), axis=1),
        measure=measure,
        cells=cells_of(elements.s, length, rule),
    )


def of_stretches(
    wall: Wall, elements: Elements, rule: tuple[Array, Array], stretches: Sequence[tuple[float, Material]]
) -> Wall:
    """Return a wall in which each stretch, up to its arc length [mm], is of its own metal; rule (layers,) [-]."""
    ends = np.searchsorted(elements.s, [s for s, _ in stretches])
    zones = []
    for start, end, (_, material) in zip([0, *ends[:-1]], ends, stretches, strict=True):
        points = slice(int(start), int(end))
        shear = material.shear_modulus / wall.material.shear_modulus
        own = Wall(
            material=material,
            xi=wall.xi,
            along=wall.along[points],
            around=wall.around[points],
            weight=wall.weight[points],
            shear_along=shear * wall.shear_along[points],
            shear_around=shear * wall.shear_around[points],
            measure=wall.measure,
            cells=cells_of(elements.s[points], elements.length[points], rule, float(np.sum(elements.length[:start]))),
        )
        zones.append(Zone(points, own))
    return replace(
        wall,
        shear_along=np.concatenate([zone.wall.shear_along for zone in zones]),
        shear_around=np.concatenate([zone.wall.shear_around for zone in zones]),
        zones=tuple(zones),
    )


def in_plane_stiffness(wall: Wall, at: Resultants, tangent: Tangent) -> Array:
    """Derivative of the seven forces by the seven metrics, (points, 7, 7): energy [N mm] by metrics [-, mm2]."""
    (l1, l2), (tau1, tau2) = at.metric, at.tau if wall.measure.finite else (0.0, 0.0)
    quarter = 0.25 * wall.weight
    d = np.zeros((len(at.by_metric), len(MetricRow), len(MetricRow)))
    d[:, ALONG, ALONG] = _products(quarter / (l1 * l1) * (tangent.d11 - 2.0 * tau1), at.position)
    d[:, AROUND, AROUND] = _products(quarter / (l2 * l2) * (tangent.d22 - 2.0 * tau2), at.position)
    d[:, ALONG, AROUND] = d[:, AROUND, ALONG] = _products(quarter / (l1 * l2) * tangent.d12, at.position)
    d[:, MetricRow.G1, MetricRow.G1] = wall.shear_along
    return d


def out_of_plane_stiffness(wall: Wall, at: Resultants, tangent: Tangent) -> Array:
    """Derivative of the forces of (a12, b12, c12, g2) by these metrics, (points, 4, 4) [N/mm]."""
    (l1, l2), stretches = at.metric, _stretches(wall, at)
    modulus = wall.measure.shear(tangent.shear, stretches, at.tau)
    d = np.zeros((len(at.by_metric), len(TwistRow), len(TwistRow)))
    d[:, TWIST, TWIST] = _products(wall.weight * modulus / (l1 * l2), at.position)
    d[:, TwistRow.G2, TwistRow.G2] = wall.shear_around
    return d


def stability_tangent(wall: Wall, at: Resultants, theory: str = "flow", rates: Array | None = None) -> Tangent:
    """Tangent for stability: by J2 'flow' theory (the result), J2 'deformation' theory (its lower bracket), or between.

    `rates` (points, 7) are those of the metrics as the path goes on, which tell the points that load from those that
    unload; without them every point at yield loads. Elastic layers have but one tangent.
    The moduli [MPa]; rates are metrics [-, mm2] by distance along the path.
    """
    if wall.zones:
        return _of_zones(wall, at, theory, rates)
    if at.state is None or wall.material.hardening is None:
        return wall.measure.referred(elastic_tangent(wall.material), _stretches(wall, at), at.tau)
    strains = None
    if rates is not None:
        along, around = (_layered(rates[:, part], at.position) for part in (ALONG, AROUND))
        strains = along / at.metric[0], around / at.metric[1]
    levels = loading(wall.material, at.state, strains)
    flows = np.prod([wall.cells.share_beyond(level) for level in levels], axis=0)
    return plastic_tangent(wall.material, at.state, flows, SOFTENED[theory])


def _of_zones(wall: Wall, at: Resultants, theory: str, rates: Array | None) -> Tangent:
    """Tangent of a wall of several metals, (points, layers) [MPa]; rates (points, 7)."""
    found = [
        stability_tangent(zone.wall, at.at(zone.points), theory, None if rates is None else rates[zone.points])
        for zone in wall.zones
    ]
    shapes = [zone.wall.weight.shape for zone in wall.zones]
    names = [field.name for field in fields(Tangent)]
    return Tangent(
        *(
            np.concatenate(
                [np.broadcast_to(getattr(each, name), shape) for each, shape in zip(found, shapes, strict=True)]
            )
            for name in names
        )
    )


def _stretches(wall: Wall, at: Resultants) -> tuple[Array, Array]:
    """Stretches squared along and around, (points, layers) each."""
    return at.metric[0] / wall.along, at.metric[1] / wall.around


def _layered(metric: Array, xi: Array) -> Array:
    """Metric a + 2 xi b + xi^2 c of every layer from (a, b, c), (points, layers)."""
    return metric[:, :1] + xi * (2.0 * metric[:, 1:2] + xi * metric[:, 2:3])


_PRODUCT = np.array([0, 1, 2, 1, 2, 3, 2, 3, 4])  # power of xi in each product of (1, 2 xi, xi^2) ...
_TIMES = np.array([1.0, 2.0, 1.0, 2.0, 4.0, 2.0, 1.0, 2.0, 1.0])  # ... and its factor


def _products(density: Array, position: Array) -> Array:
    """Integrals of density (points, layers) times products of (1, 2 xi, xi^2), (points, 3, 3)."""
    return (_moments(density, position)[:, _PRODUCT] * _TIMES).reshape(-1, 3, 3)


@njit(cache=True)
def _moments(density: Array, position: Array) -> Array:
    """Sums over the layers of density times position^0 to position^4, (points, 5); both (points, layers).

    Positions [-], density of any unit.
    """
    points, layer_count = density.shape
    out = np.zeros((points, 5))
    for i in range(points):
        for j in range(layer_count):
            value = density[i, j]
            for power in range(5):
                out[i, power] += value
                value *= position[i, j]
    return out


def _inward(xi: Array) -> Array:
    """Matrices that integrate a polynomial through the layers of each half from the middle to each layer.

    (2, layers / 2, layers / 2); the layers of the half below the middle come first.
    """
    half = len(xi) // 2
    powers = np.arange(half)
    out = []
    for at in (xi[:half], xi[len(xi) - half :]):
        values = at[:, None] ** powers
        integrals = at[:, None] ** (powers + 1) / (powers + 1)
        out.append(integrals @ np.linalg.inv(values))
    return np.array(out)
