"""Rigid-plastic collapse of a chain of rings, followed while its shape changes.

The section is a chain of straight links; revolved, each is a conical ring, and each node a circle where the wall can
bend. Nothing deforms elastically. For velocities v of the nodes a link of length L stretches at e and turns at w, the
wall at a node bends at k = (change of w) / (half the two links) and stretches around at g = v_r / r. The wall is an
ideal sandwich: two layers of half the thickness t, t/4 from the middle, which carry the membrane force sigma t and the
moment sigma t^2/4 of the full section. Work of a layer per volume, von Mises: (2/sqrt 3) sigma sqrt(a^2 + a g + g^2)
with a = e +- k t/4. Bending and stretching around share one yield condition, and this is what sum-of-parts formulas
miss: metal that is being stretched around bends almost for nothing.

The kinematic theorem of limit analysis: p = work / volume swept, at its least over all velocities. The least is found
by secant viscosities (each layer a fluid whose viscosity is its yield stress over its last strain rate). The chain then
moves a little, hardens and thins, and the next pressure follows; the capacity is the first maximum along the way.

All lengths are in thicknesses and all stresses in yield stresses, so that one body has one answer in any units.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

PLANE_STRAIN = 2.0 / np.sqrt(3.0)
LAYERS = np.array([-0.25, 0.25])
"""Places of the two layers, in thicknesses."""
CREEP = 2e-5
"""Strain rate, in units of the largest velocity per thickness, below which a layer counts as rigid."""
FIRST_CREEP, REFINED = 5e-4, 0.5  # the secant iteration starts coarser, or layers once rigid would stay so
ROUNDS, SETTLED = 60, 2e-4  # of it: at most, and relative change of the pressure at which it ends
TRAVEL_STEP, TURN_STEP = 0.4, 0.12  # of the innermost node [thicknesses] and of any link [rad]
STEPS = 250
UNDER_PRESSURE = slice(1, -2)
"""Velocities that are free under pressure: all but v_r on the axis and both of the held node."""
FALL = 0.01
"""What the pressure must have fallen from its highest for that to be the limit; ripples of the chain stay below."""


@dataclass(frozen=True)
class Voce:
    """Flow stress in yield stresses: 1 + increment (1 - exp(-rate * strain))."""

    increment: float
    rate: float

    def stress(self, strain: Array) -> Array:
        """Return the flow stress."""
        return 1.0 + self.increment * -np.expm1(-self.rate * strain)


@dataclass(frozen=True, eq=False)
class Chain:
    """Nodes (n, 2) from the axis to where the wall is held, thickness (n - 1), strain (2, n - 1, 2) of end and layer.

    `side` is +1 when the pressure acts from the left of the walk.
    """

    nodes: Array
    thickness: Array
    strain: Array
    side: float
    law: Voce


@dataclass(frozen=True, eq=False)
class Rates:
    """Deformation per unit of any velocity, for the free velocities; the ends of links: inner ones, then outer."""

    stretch: Array  # (links, free)
    turn: Array  # (links, free)
    layer: Array  # (ends * 2, free) along the meridian, in either layer
    around: Array  # (ends * 2, free)
    swept: Array  # (free)
    weight: Array  # (ends * 2) volume of metal per radian


@dataclass(frozen=True, eq=False)
class Motion:
    """The easiest motion of a chain: pressure, speed of the innermost node, and rates of links and of layers."""

    velocity: Array
    pressure: float
    speed: float
    stretch: Array
    turn: Array
    layer: Array
    around: Array


@dataclass(frozen=True)
class Collapse:
    """Pressures in yield stresses, at the start and the highest; `met` says whether that was a maximum."""

    start: float
    highest: float
    travel: float  # of the innermost node up to the highest, in thicknesses
    strain: float  # largest of any layer there
    met: bool = False


def chain(nodes: Array, side: float, law: Voce) -> Chain:
    """Return an undeformed chain of unit thickness."""
    links = len(nodes) - 1
    return Chain(nodes, np.ones(links), np.zeros((2, links, len(LAYERS))), side, law)


def collapse(body: Chain) -> Collapse:
    """Follow the easiest motion to the first maximum of the pressure."""
    motion, travel = easiest(body), 0.0
    best = Collapse(motion.pressure, motion.pressure, 0.0, 0.0)
    for _ in range(STEPS):
        step = min(TRAVEL_STEP / abs(motion.speed), TURN_STEP / float(np.max(np.abs(motion.turn))))
        body, travel = moved(body, motion, step), travel + step * abs(motion.speed)
        motion = easiest(body, motion.velocity)
        if motion.pressure > best.highest:
            best = Collapse(best.start, motion.pressure, travel, float(np.max(body.strain)))
        elif motion.pressure < (1.0 - FALL) * best.highest:
            return replace(best, met=True)
    return best


def easiest(body: Chain, guess: Array | None = None) -> Motion:
    """Return the motion of least pressure: least work for the volume swept."""
    rates = rates_of(body)
    strength = strength_of(body, rates)
    viscosity, last, creep = (
        strength if guess is None else secant(rates, strength, guess, FIRST_CREEP),
        np.inf,
        FIRST_CREEP,
    )
    for _ in range(ROUNDS):
        velocity = _flow(rates, viscosity)
        pressure = float(strength @ speed(rates, velocity)) / float(rates.swept @ velocity)
        if creep == CREEP and abs(pressure - last) < SETTLED * pressure:
            break
        creep = max(REFINED * creep, CREEP)
        viscosity, last = secant(rates, strength, velocity, creep), pressure
    return Motion(
        velocity,
        pressure,
        float(velocity[0]),
        rates.stretch @ velocity,
        rates.turn @ velocity,
        (rates.layer @ velocity).reshape(body.strain.shape),
        (rates.around @ velocity).reshape(body.strain.shape),
    )


def moved(body: Chain, motion: Motion, time: float) -> Chain:
    """Turn and stretch the links, thin the metal at constant volume, add up the strain."""
    span = np.diff(body.nodes, axis=0)
    length = np.hypot(*span.T) * np.exp(time * motion.stretch)
    heading = np.arctan2(span[:, 1], span[:, 0]) + time * motion.turn
    links = length[:, None] * np.column_stack([np.cos(heading), np.sin(heading)])
    held = body.nodes[-1]
    nodes = np.vstack([held - np.cumsum(links[::-1], axis=0)[::-1], held])
    thickness = body.thickness * np.exp(-time * (motion.stretch + np.mean(motion.around, axis=(0, 2))))
    rate = PLANE_STRAIN * _equivalent(motion.layer, motion.around)
    return replace(body, nodes=nodes, thickness=thickness, strain=body.strain + time * rate)


def rates_of(body: Chain, free: slice | NDArray[np.int64] = UNDER_PRESSURE) -> Rates:
    """Return all rates as matrices on the velocities (v_r, v_z node by node) that are free."""
    span = np.diff(body.nodes, axis=0)
    length = np.hypot(*span.T)
    stretch, turn = _per_link(span / length[:, None] / length[:, None])
    half = 0.5 * np.concatenate([length[:1], length[1:] + length[:-1], length[-1:]])
    bending = np.vstack([turn, np.zeros_like(turn[:1])]) - np.vstack([np.zeros_like(turn[:1]), turn])
    bending /= half[:, None]
    around = np.zeros_like(bending)
    radius = np.maximum(body.nodes[:, 0], 0.25 * length[0])  # on the axis v_r / r is that of a small disc
    around[np.arange(len(radius)), 2 * np.arange(len(radius))] = 1.0 / radius
    ends = np.concatenate([bending[:-1], bending[1:]])[:, None, :]
    depth = np.outer(np.tile(body.thickness, 2), LAYERS)[:, :, None]
    layer = np.tile(stretch, (2, 1))[:, None, :] + depth * ends
    hoop = np.repeat(np.concatenate([around[:-1], around[1:]]), len(LAYERS), axis=0)
    metal = 0.25 * np.concatenate([body.nodes[:-1, 0], body.nodes[1:, 0]]) * np.tile(length * body.thickness, 2)
    return Rates(
        stretch[:, free],
        turn[:, free],
        layer.reshape(-1, layer.shape[-1])[:, free],
        hoop[:, free],
        body.side * _swept(body.nodes)[free],
        np.repeat(metal, len(LAYERS)),
    )


def _per_link(along: Array) -> tuple[Array, Array]:
    """Stretch and turn of each link by nodal velocities; `along` is its direction over its length."""
    count = len(along)
    stretch, turn, link = np.zeros((count, 2 * count + 2)), np.zeros((count, 2 * count + 2)), np.arange(count)
    for node, sign in ((0, -1.0), (1, 1.0)):
        stretch[link, 2 * (link + node)] = sign * along[:, 0]
        stretch[link, 2 * (link + node) + 1] = sign * along[:, 1]
        turn[link, 2 * (link + node)] = -sign * along[:, 1]
        turn[link, 2 * (link + node) + 1] = sign * along[:, 0]
    return stretch, turn


def _swept(nodes: Array) -> Array:
    """Gradient of the volume (1/2) integral of r^2 dz per radian."""
    a, b, rise = nodes[:-1, 0], nodes[1:, 0], np.diff(nodes[:, 1])
    out = np.zeros(2 * len(nodes))
    out[0:-2:2] += rise * (2.0 * a + b) / 6.0
    out[2::2] += rise * (2.0 * b + a) / 6.0
    out[1:-1:2] -= (a * a + a * b + b * b) / 6.0
    out[3::2] += (a * a + a * b + b * b) / 6.0
    return out


def _equivalent(layer: Array, around: Array) -> Array:
    return np.sqrt(layer * layer + layer * around + around * around)


def strength_of(body: Chain, rates: Rates) -> Array:
    """Work of each layer per unit of its speed."""
    return PLANE_STRAIN * rates.weight * body.law.stress(body.strain).ravel()


def speed(rates: Rates, velocity: Array) -> Array:
    """How fast each layer is strained."""
    return _equivalent(rates.layer @ velocity, rates.around @ velocity)


def secant(rates: Rates, strength: Array, velocity: Array, creep: float) -> Array:
    """Viscosities at which layers flowing as they do carry their yield stress."""
    return strength / np.hypot(speed(rates, velocity), creep * np.max(np.abs(velocity)))


def _flow(rates: Rates, viscosity: Array) -> Array:
    """Velocities of the viscous chain under pressure, the largest one 1."""
    velocity = np.linalg.solve(resistance(rates, viscosity), rates.swept)
    return velocity / np.max(np.abs(velocity))


def resistance(rates: Rates, viscosity: Array) -> Array:
    """Forces of the viscous chain by its velocities, (free, free)."""
    # a^2 + a g + g^2 = (a + g/2)^2 + (3/4) g^2, and every g is of one velocity, so that the second part is diagonal.
    half = np.sqrt(viscosity)[:, None] * (rates.layer + 0.5 * rates.around)
    matrix = half.T @ half
    np.fill_diagonal(matrix, matrix.diagonal() + 0.75 * (viscosity @ rates.around**2))
    return matrix
