"""Proportions of a body and its metal: between which a shell makes sense at all, and between which it is usual.

What is outside the first is refused with the case file, most often for a slip of a unit; what is only outside the
second is computed, and the result says so.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from buckle.material import TABLE, Material
from buckle.meridian import Meridian

Range = tuple[float, float]

SAMPLES = 101  # along the meridian, where its widest radius is looked for

THICKNESS: Range = (1e-3, 100.0)
"""mm. Below a micrometre no metal is a continuum of many grains, and none is rolled; above 100 mm nothing is thin."""
RADIUS_OVER_THICKNESS: Range = (5.0, 2e4)
"""Shell theory leaves out terms of the order of t/R: at 5 a fifth of the answer. At 2e4 a wall of 1 mm is that of a
body 40 m across; the largest of a benchmark case is 1e4."""
USUAL_RADIUS_OVER_THICKNESS: Range = (20.0, 5000.0)
"""EN 1993-1-6:2007 is for ratios from 20 to 5000 (from memory)."""
THICKEST_OVER_THINNEST: Range = (1.0, 20.0)
"""A wall is ironed down to two fifths of the gauge, and a benchmark junction goes to 5. At 20 the thicker part is no
shell where it meets the thinner one: it is 20 times as thick as what the other's edge bends over is long."""
USUAL_THICKEST_OVER_THINNEST: Range = (1.0, 6.0)
"""What the benchmark cases hold, rounded up."""
LENGTH_OVER_DECAY = 1000.0
"""Meridian length over sqrt(R t), the length over which an edge is felt. At 1000 a path takes a quarter of a minute and
a gigabyte; a wall of 0.1 mm and 58 mm across would be 1.7 m high."""
USUAL_LENGTH_OVER_DECAY = 150.0
"""The longest of a benchmark case is 121."""
SHORTEST_PIECE = 1e-6
"""Of the meridian. Measured on a walked base: with a piece of 2e-7 of its length the limit is as without, with 2e-9 the
stiffness of the element on it is lost in round-off and no path begins."""
ELEMENTS = 2000.0
"""Twice what the longest meridian needs at the default density, with as much time and memory."""
YIELD_OVER_MODULUS: Range = (5e-6, 0.1)
"""Strain of first yield. A perfect crystal shears at about a tenth of its modulus; soft lead yields at 3e-4 (common
knowledge, no source). Benchmark cases go down to 9e-6, so as to flow before anything else happens."""
USUAL_YIELD_OVER_MODULUS: Range = (2e-4, 0.02)
"""Annealed aluminium to spring steel (common knowledge, no source)."""
LEAST_POISSONS_RATIO = 1e-3
"""Of those that are not 0: a number between is a slip of the decimal point."""
STEEPEST_OVER_MODULUS = 1e4
"""Slope of the hardening curve. That of Ramberg and Osgood begins at some hundred times Young's modulus."""
HARDENED_OVER_MODULUS = 2.0
"""Flow stress at a plastic strain of 1, over Young's modulus: a curve that rises as steeply as elastic metal."""
USUAL_HARDENED_OVER_MODULUS = 0.1
"""The strength of a perfect crystal (common knowledge, no source)."""
USUAL_MODULUS: Range = (1e4, 5e5)
"""MPa: lead to tungsten (common knowledge, no source)."""
USUAL_POISSONS_RATIO: Range = (0.2, 0.45)
"""Of metals (common knowledge, no source)."""
DENSITY: Range = (100.0, 3e4)
"""kg/m3: lightest foam of a metal to heavier than osmium, 22,600 (common knowledge, no source)."""

PER_DECAY = 1.5  # element length / sqrt(R t) of the default mesh
PER_TURN = 0.7  # radians an element of it turns through
FEWEST = 12.0  # elements of it on the shortest meridian


@dataclass(frozen=True)
class Sizes:
    """The sizes of a body that its proportions are made of [mm]."""

    radius: float  # widest distance from the axis
    thinnest: float
    thickest: float
    length: float  # of the meridian

    @property
    def decay(self) -> float:
        """Shortest length over which an edge is felt, sqrt(R t) [mm]."""
        return math.sqrt(self.radius * self.thinnest)


def sizes(meridian: Meridian) -> Sizes:
    """Return the sizes of a meridian."""
    at = meridian.at_s(np.linspace(0.0, meridian.length, SAMPLES))
    thicknesses = [thickness for piece in meridian.pieces for thickness in piece.thickness]
    return Sizes(float(np.max(at.r)), min(thicknesses), max(thicknesses), meridian.length)


def elements_needed(meridian: Meridian, density: float) -> float:
    """Return about how many elements a mesh of a density will have: by decay lengths, bends and pieces."""
    radius = sizes(meridian).radius
    each = (
        max(
            1.0,
            piece.length / (PER_DECAY * math.sqrt(radius * min(piece.thickness))),
            piece.sharpest * piece.length / PER_TURN,
        )
        for piece in meridian.pieces
    )
    return density * max(FEWEST, sum(each))


def unusual(meridian: Meridian, material: Material) -> tuple[str, ...]:
    """Return what is outside the usual in a body and its metal, a sentence each without its stop."""
    return (*_of_body(sizes(meridian)), *_of_metal(material))


def _of_body(body: Sizes) -> Iterator[str]:
    thinness = body.radius / body.thickest
    low, high = USUAL_RADIUS_OVER_THICKNESS
    if thinness < low:
        yield (
            f"the widest radius is only {thinness:.3g} times the thickest wall, usual are {low:g} and more: what shell "
            f"theory leaves out is of the order of {100.0 / thinness:.0f} %, not in the estimate of the numerical error"
        )
    slenderest = body.radius / body.thinnest
    if slenderest > high:
        yield (
            f"the widest radius is {slenderest:.3g} times the thinnest wall, usual are {high:g} and less: dents too "
            "small to see decide what so thin a wall carries"
        )
    ratio = body.thickest / body.thinnest
    if ratio > USUAL_THICKEST_OVER_THINNEST[1]:
        yield (
            f"the thickest wall is {ratio:.3g} times the thinnest, usual is up to "
            f"{USUAL_THICKEST_OVER_THINNEST[1]:g}: check the units of both"
        )
    lengths = body.length / body.decay
    if lengths > USUAL_LENGTH_OVER_DECAY:
        yield (
            f"the meridian is {lengths:.3g} lengths sqrt(R t) long, usual are up to {USUAL_LENGTH_OVER_DECAY:g}: no "
            "body so long is among those that the numbers were verified on"
        )


def _of_metal(material: Material) -> Iterator[str]:
    modulus, ratio = material.youngs_modulus, material.poissons_ratio
    if not USUAL_MODULUS[0] <= modulus <= USUAL_MODULUS[1]:
        yield f"Young's modulus is {modulus / 1000.0:.3g} GPa; those of metals are {_ends(USUAL_MODULUS, 1e-3)} GPa"
    if not USUAL_POISSONS_RATIO[0] <= ratio <= USUAL_POISSONS_RATIO[1]:
        yield f"Poisson's ratio is {ratio:.3g}; those of metals are {_ends(USUAL_POISSONS_RATIO)}"
    if material.hardening is None:
        return
    strain = material.hardening.yield_stress / modulus
    if not USUAL_YIELD_OVER_MODULUS[0] <= strain <= USUAL_YIELD_OVER_MODULUS[1]:
        yield (
            f"the yield stress is {strain:.2g} of Young's modulus; those of metals are "
            f"{_ends(USUAL_YIELD_OVER_MODULUS)} of it"
        )
    hardened = hardened_stress(material) / modulus
    if hardened > USUAL_HARDENED_OVER_MODULUS:
        yield (
            f"at a plastic strain of 1 the metal would carry {hardened:.2g} of Young's modulus, more than a perfect "
            "crystal: check the units of the hardening curve"
        )


def hardened_stress(material: Material) -> float:
    """Return the flow stress at a plastic strain of 1 [MPa]; 0 for metal that is taken as elastic."""
    if material.hardening is None:
        return 0.0
    return float(material.hardening.stress_and_slope(np.array([1.0]))[0][0])


def steepest_slope(material: Material) -> float:
    """Return the steepest slope of the hardening curve [MPa]; 0 for metal that is taken as elastic."""
    law = material.hardening
    if law is None:
        return 0.0
    strains = law.array[0] if law.law == TABLE else np.zeros(1)
    return float(np.max(law.stress_and_slope(strains)[1]))


def _ends(usual: Range, factor: float = 1.0) -> str:
    return f"{factor * usual[0]:g} to {factor * usual[1]:g}"
