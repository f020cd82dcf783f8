"""Waves of several numbers in one body: the path from deviations in the modes of all of them at once.

All harmonics that are followed are multiples of one number, that which all wave numbers have in common; the wave
numbers make others by their sums and differences, of which the low ones may be about to buckle themselves.
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations_with_replacement

from buckle.analysis.waves import Seed, path_of
from buckle.errors import SolveError
from buckle.results import WavePath
from buckle.waves.body import points_around, waved_together
from buckle.waves.path import WaveSteps


def beside(wave_numbers: Sequence[int]) -> tuple[int, ...]:
    """Wave numbers that some make among each other: themselves, their sums and differences by twos, and a + b - c.

    What a product of three makes beyond the highest sum of two is left out. Raises SolveError where they make n = 1:
    without it the body would be held against tilting.
    """
    twos = [(a + b, abs(a - b)) for a, b in combinations_with_replacement(wave_numbers, 2)]
    threes = {abs(a + b - c) for a, b in combinations_with_replacement(wave_numbers, 2) for c in wave_numbers}
    made = {*wave_numbers, *(one for pair in twos for one in pair), *threes} - {0}
    if 1 in made:
        raise SolveError("these wave numbers make waves of n = 1, which are not followed", "a number that all share")
    return tuple(sorted(made))


def waves_together(
    seeds: Sequence[Seed], amplitudes: Sequence[float], among: Sequence[int] = (), steps: WaveSteps | None = None
) -> WavePath:
    """Follow a body that deviates in several modes at once, each of another wave number, by amplitudes [mm].

    Every mode has a crest or a trough, by the sign of its amplitude, on one meridian. The harmonics are those beside
    the wave numbers of the seeds and of `among`, so that paths with fewer seeds can be compared in the same ones. The
    path goes by the wave number of the first seed and by the sum of the amplitudes; shapes it has none. Raises
    SolveError where two seeds have one wave number, or where the body cannot be followed so.
    """
    modes = {seed.wave_number: amplitude * seed.mode for seed, amplitude in zip(seeds, amplitudes, strict=True)}
    if len(modes) < len(seeds):
        raise SolveError("two deviations in one wave number are one deviation", "one of each wave number")
    around = beside(sorted({*modes, *among}))
    base = math.gcd(*around)
    multiples = tuple(n // base for n in around)
    deviations = {n // base: mode for n, mode in modes.items()}
    body = waved_together(seeds[0].model, base, multiples, deviations, points_around(multiples[-1]))
    total = sum(abs(amplitude) for amplitude in amplitudes)
    return replace(path_of(seeds[0], body, total, steps or WaveSteps()), shapes=())
