"""Bodies for the tests of the solid of revolution, and what several of them ask of it."""

from dataclasses import dataclass
from math import asin, pi, radians, sqrt

import numpy as np

from buckle.material import Material, linear_hardening, voce_hardening
from buckle.meridian import Meridian, Piece
from buckle.shapes import domed_base, spherical_cap
from buckle.solid.model import Fineness, Solid

METAL = Material(69000.0, 0.3)
HARDENING = Material(69000.0, 0.33, hardening=voce_hardening(262.0, 38.0, 40.0))
COARSE = Fineness(per_decay=3.0, per_turn=0.8, growth=1.0, layers=2)


def cap(parameter: float, radius_over_thickness: float, nu: float = 0.3) -> Meridian:
    """Cap of unit thickness whose lambda is (12 (1 - nu^2))^(1/4) sqrt(R/t) 2 sin(half angle / 2)."""
    half = 2.0 * asin(parameter / (2.0 * (12.0 * (1.0 - nu**2)) ** 0.25 * sqrt(radius_over_thickness)))
    return spherical_cap(radius=radius_over_thickness, half_angle=half, thickness=1.0)


def wavy() -> Meridian:
    """A dome, an arc the other way round, a cone of falling thickness: every sign of the kinematics, no kink."""
    pieces = (Piece(12.0, -1 / 45.0, (0.9, 0.8)), Piece(2.0, 1 / 1.7, (0.8, 0.8)), Piece(4.0, 0.0, (0.8, 0.5)))
    return Meridian((0.0, 10.0), 0.0, "left", pieces, {})


def hemisphere(radius: float, thickness: float) -> Meridian:
    return spherical_cap(radius=radius, half_angle=0.5 * pi, thickness=thickness)


def tube(radius: float, thickness: float, length: float) -> Meridian:
    return Meridian((radius, 0.0), 0.5 * pi, "left", (Piece(length, 0.0, (thickness, thickness)),), {})


def plain_base() -> Meridian:
    """An unreformed base of a 66 mm body."""
    return domed_base(
        stand_diameter=48.26,
        nose_radius=1.66,
        inner_leg_angle=radians(6),
        dome_corner_radius=2.3,
        dome_radius=45.7,
        dome_depth=10.4,
        outer_leg_angle=radians(28),
        outer_leg_length=1.2,
        chime_radius=3.0,
        chime_angle=radians(58),
        heel_radius=5.0,
        wall_radius=33.0,
        wall_height=25.0,
        gauge=0.27,
        wall_gauge=0.105,
    )


def moved(solid: Solid, seed: int, size: float = 0.02) -> np.ndarray:
    """Random displacements that respect the supports; those of a body's rings are one for the ring."""
    x = size * np.random.default_rng(seed).standard_normal(solid.size)
    x[solid.fixed] = 0.0
    return x


def ideal(strength: float) -> Material:
    """A metal that flows at a stress [MPa]; weak ones strain so little that closed forms of rigid metal hold."""
    return Material(69000.0, 0.3, hardening=linear_hardening(strength))


@dataclass(frozen=True)
class Base:
    """An unreformed base of random dimensions and metal, and what an independent solid of revolution found.

    That solid (nine-node quadratic, three through the thickness, finite-strain J2, follower pressure; computed for this
    project) steps by backward Euler in few steps: 0.3 to 0.6 % low from 1.5 to 4 mm, its highest pressure good to 1 %.
    """

    metal: tuple[float, float, float]  # Voce: yield, increment [MPa], rate
    corner: float
    inner_leg: float  # degrees
    stand: float
    noses: tuple[float, float]
    gauge: float
    pressures: tuple[float, ...]  # bar at TRAVELS
    highest: float  # bar
    fine: tuple[
        float, ...
    ]  # bar at 1, 2, 3, 4 mm: this solid, lengths 0.08 sqrt(R t), six elements through the thickness

    def meridian(self) -> Meridian:
        return domed_base(
            dome_centre_diameter=25.0,
            dome_radius=45.0,
            dome_outer_radius=40.0,
            dome_depth=10.5,
            dome_corner_radius=self.corner,
            inner_leg_angle=radians(self.inner_leg),
            stand_radius=self.stand,
            nose_inner_radius=self.noses[0],
            nose_outer_radius=self.noses[1],
            outer_leg_angle=radians(25.0),
            outer_leg_length=1.4,
            chime_radius=2.75,
            chime_angle=radians(56.0),
            heel_radius=4.5,
            wall_radius=31.5,
            wall_height=25.0,
            gauge=self.gauge,
            wall_gauge=0.106,
        )

    def material(self) -> Material:
        return Material(69000.0, 0.33, hardening=voce_hardening(*self.metal))


TRAVELS = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0)  # mm
BASES = {
    "P0": Base(
        metal=(251.81772, 29.46139, 23.09643),
        corner=1.854999,
        inner_leg=5.423235,
        stand=23.130956,
        noses=(1.313052, 1.489636),
        gauge=0.2607828,
        pressures=(4.8239, 5.0999, 5.3786, 5.6499, 5.8831, 6.164, 6.2546),
        highest=6.307,
        fine=(4.8365, 5.405, 5.917, 6.186),
    ),
    "P16": Base(
        metal=(283.50631, 36.35545, 37.86239),
        corner=1.593138,
        inner_leg=8.747667,
        stand=22.353656,
        noses=(1.592161, 1.598776),
        gauge=0.2757035,
        pressures=(5.7988, 6.1296, 6.4658, 6.8279, 7.182, 7.6965, 7.8846),
        highest=8.2604,
        fine=(5.811, 6.499, 7.232, 7.739),
    ),
    "P36": Base(
        metal=(291.03344, 22.16557, 48.60298),
        corner=1.501636,
        inner_leg=3.730833,
        stand=22.278543,
        noses=(1.173744, 1.132438),
        gauge=0.2348180,
        pressures=(5.2744, 5.5292, 5.7951, 6.0799, 6.3317, 6.6186, 6.7457),
        highest=7.202,
        fine=(5.289, 5.831, 6.367, 6.622),
    ),
}


def reformed_base() -> tuple[Meridian, Material]:
    """A reformed base of random dimensions: at its limit a whole step fails, and shorter ones do not."""
    meridian = domed_base(
        stand_radius=22.2363,
        nose_inner_radius=1.46467,
        nose_outer_radius=1.82191,
        inner_leg_angle=radians(-11.95205),
        undercut_length=0.26367,
        reform_radius=0.71226,
        upper_leg_angle=radians(11.81032),
        dome_corner_radius=1.50344,
        dome_radius=44.98593,
        dome_depth=9.59386,
        outer_leg_angle=radians(22.89434),
        outer_leg_length=1.67874,
        chime_radius=2.43262,
        chime_angle=radians(53.20777),
        heel_radius=4.37898,
        wall_radius=29.79465,
        wall_height=25.0,
        gauge=0.27453,
        wall_gauge=0.109812,
    )
    return meridian, Material(69000.0, 0.33, hardening=voce_hardening(315.87613, 44.02449, 22.98677))


def straight_base() -> tuple[Meridian, Material]:
    """An unreformed base of random dimensions: near its limit single points come and go between two ways to flow."""
    meridian = domed_base(
        stand_radius=21.0073,
        nose_inner_radius=1.91236,
        nose_outer_radius=1.77483,
        inner_leg_angle=radians(1.84596),
        dome_corner_radius=2.03889,
        dome_radius=45.89796,
        dome_depth=11.20996,
        outer_leg_angle=radians(26.86104),
        outer_leg_length=1.54359,
        chime_radius=2.85755,
        chime_angle=radians(56.31709),
        heel_radius=3.05041,
        wall_radius=27.98207,
        wall_height=25.0,
        gauge=0.22287,
        wall_gauge=0.089148,
    )
    return meridian, Material(69000.0, 0.33, hardening=voce_hardening(248.89394, 59.49886, 55.19591))
