"""Results as frozen data: what an analysis found, in mm, N and MPa; no solver is needed to read them.

A load is the size of what increases, never negative: a pressure [MPa], or an axial force [N] in its sense. What has one
knows which, and gives it as a pressure or as an axial force as it acts.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from enum import StrEnum
from typing import Any

import numpy as np
from numpy.typing import NDArray

from buckle.increasing import PRESSURE, Increasing

Array = NDArray[np.float64]

LIMIT_POINT = "limit point"
BIFURCATION = "bifurcation"
GROWTH_CEILING = "growth ceiling"
WALLS_TOUCH = "walls touch"
STRAIN_CEILING = "strain ceiling"
SATURATED = 1.25
"""Growth of waves beyond the highest load, until it has fallen by 3 %, below which they count as saturated. Of the two
ends that are told apart by it, one has 1.02 to 1.04, the other 1.6 to 4."""
WIDEN = "widen analyses.wave_numbers"
"""What a note says when the lowest wave number found is the last one examined."""


class AtLoad:
    """Something at a load."""

    load: float
    increasing: Increasing

    @property
    def pressure(self) -> float:
        """Pressure [MPa]; raises AttributeError where the axial force increases."""
        if not self.increasing.is_pressure:
            raise AttributeError("no pressure increases: ask for axial_force")
        return self.load

    @property
    def axial_force(self) -> float:
        """Axial force [N] as it acts, compression negative; raises AttributeError where the pressure increases."""
        if self.increasing.is_pressure:
            raise AttributeError("no axial force increases: ask for pressure")
        return self.increasing.sense * self.load


class Status(StrEnum):
    """How an analysis ended; only SOLVED comes with a capacity."""

    SOLVED = "solved"
    NO_LIMIT = "no limit found"
    FAILED = "failed"


@dataclass(frozen=True)
class Event(AtLoad):
    """Something that ends the shell's service: a limit point, a bifurcation into n waves, or a stop on the path."""

    kind: str  # one of the words above
    load: float
    wave_number: int = 0
    error_percent: float | None = None  # estimated numerical error
    piece: str = ""  # of a bifurcation: the piece of the meridian in which its mode moves most
    radius: float | None = None  # mm, where that is
    increasing: Increasing = PRESSURE


@dataclass(frozen=True, eq=False)
class Mode(AtLoad):
    """A buckling mode along the meridian; largest displacement 1, times cos(n theta) (v: sin)."""

    wave_number: int
    load: float
    r: Array
    z: Array
    u: Array
    v: Array
    w: Array
    increasing: Increasing = PRESSURE


@dataclass(frozen=True, eq=False)
class PathStates:
    """States along the equilibrium path, all arrays of equal length."""

    load: Array
    apex_travel: Array  # mm along the axis, + = up
    growth: Array  # mm by which the apex moves out of the container (base: dome growth; end: bulge of the panel)
    volume_change: Array  # mm^3
    plastic_strain: Array  # largest of any layer
    newton_steps: Array
    stand_drop: Array | None = None  # mm by which the lowest point of a domed base goes down: the container's height
    increasing: Increasing = PRESSURE

    @property
    def pressure(self) -> Array:
        """Pressures [MPa]; raises AttributeError where the axial force increases."""
        if not self.increasing.is_pressure:
            raise AttributeError("no pressure increases: ask for load")
        return self.load


@dataclass(frozen=True, eq=False)
class MidSurface(AtLoad):
    """The mid-surface at one state."""

    name: str
    load: float
    r: Array
    z: Array
    increasing: Increasing = PRESSURE


@dataclass(frozen=True, eq=False)
class Stresses(AtLoad):
    """Linear stresses [MPa] at a load along the meridian, each (3, stations): inside, middle, outside."""

    load: float
    s: Array
    r: Array
    z: Array
    meridional: Array
    circumferential: Array
    increasing: Increasing = PRESSURE

    @property
    def equivalent(self) -> Array:
        """Von Mises stress, (3, stations)."""
        a, b = self.meridional, self.circumferential
        return np.sqrt(a * a - a * b + b * b)


@dataclass(frozen=True, eq=False)
class PlasticStrain:
    """Equivalent plastic strain along the meridian at a state, (3, stations): inside, middle, outside.

    It stands at the points of the outermost layers and of those nearest the middle, where it was computed; it is not
    extrapolated to the faces, which are strained a little more where the wall bends.
    """

    s: Array
    r: Array
    z: Array
    equivalent: Array


@dataclass(frozen=True, eq=False)
class WaveShape(AtLoad):
    """A waved mid-surface at a state: what is the same all around, and amplitudes of harmonics n, 2 n, 3 n ..."""

    name: str
    wave_number: int
    load: float
    s: Array  # (stations,) [mm]
    r: Array  # (stations,) [mm] mean around
    z: Array  # (stations,) [mm]
    u: Array  # (harmonics, stations) [mm] radial, times cos(k n theta)
    v: Array  # (harmonics, stations) [mm] circumferential, times sin(k n theta)
    w: Array  # (harmonics, stations) [mm] axial, times cos(k n theta)
    increasing: Increasing = PRESSURE


@dataclass(frozen=True, eq=False)
class WavePath:
    """The path of a body with a deviation in waves around: GNIA, or GMNIA where metal yields."""

    kind: str
    wave_number: int
    deviation: float  # [mm] largest movement of the mid-surface in it
    load: Array  # (states,)
    waves: Array  # (states,) [mm] largest part of the movement since that is not the same all around
    strain: Array  # (states,) [-] largest plastic strain of a layer
    peak: float | None  # highest load; None where the path ended without one
    peak_waves: float | None  # [mm] waves there
    visible: float | None  # load at which the waves have grown to a tenth of the wall; None below the highest load
    growth_beyond: float | None  # waves where the load has fallen by some per cent, over those at the highest load
    shapes: tuple[WaveShape, ...] = ()
    ended: str = ""  # why the path ended without a highest load, or what stopped it
    error_percent: float | None = None
    convergence: Mapping[str, float] = field(default_factory=dict)  # % by what was made coarser or finer

    @property
    def saturates(self) -> bool | None:
        """Whether the waves have stopped growing where the load is highest; None where that is not known."""
        return None if self.growth_beyond is None else self.growth_beyond < SATURATED


@dataclass(frozen=True, eq=False)
class OffShape:
    """How far a body with a deviation in a mode lies off its perfect shape along the meridian, times cos(n theta)."""

    words: str  # which mode
    wave_number: int
    s: Array  # (stations,) [mm] arc length of the perfect meridian
    off: Array  # (stations,) [mm] positive towards the side away from the pressure


@dataclass(frozen=True)
class Growth(AtLoad):
    """Movement [mm] and plastic strain under a load; None where it was not asked for or does not exist.

    Growth is the travel of the apex the way pressure pushes it, against the foot of the straight wall at the outer edge
    (against the outer edge itself where there is no such wall).
    """

    load: float
    loaded: float
    permanent: float | None = None  # what of it stays after unloading
    stand_drop: float | None = None  # of a domed base: by how much the container's height grows
    face_strain: float | None = None  # largest plastic strain of a face, over one thickness along the meridian
    middle_strain: float | None = None  # the same of the middle of the wall
    increasing: Increasing = PRESSURE


MOVEMENTS = tuple(each.name for each in fields(Growth) if each.name not in ("load", "increasing"))
"""What `Growth` tells of a state, by name."""


@dataclass(frozen=True)
class Allowed:
    """What a case allows of a movement [mm] or a strain, and the load at which it is reached.

    None: nowhere up to the highest load.
    """

    quantity: str  # a key of [requirements]: growth, permanent_growth, stand_drop, plastic_strain
    allowed: float
    load: float | None


@dataclass(frozen=True)
class Balance:
    """Axial equilibrium of a state [N]: what the loads apply against what the supports carry."""

    applied: float
    reaction: float


@dataclass(frozen=True, eq=False)
class Outcome:
    """What one analysis of a case found; fields that its kind does not have are empty."""

    kind: str
    status: Status
    reason: str = ""
    remedy: str = ""
    limit: Event | None = None  # the first local maximum of the load
    highest_limit: Event | None = None  # when the path rises again and passes the first limit
    peak: Event | None = None  # the highest load before a stop, where that is not the first limit
    bifurcation: Event | None = None
    deformation_bifurcation: Event | None = None  # J2 deformation theory, the lower bracket
    critical: tuple[Event, ...] = ()  # LBA: one per wave number
    waves: tuple[WavePath, ...] = ()  # GNIA, GMNIA with a deviation in waves around: one for each amplitude
    in_waves: bool = False  # whether the deviation is such
    off_shape: OffShape | None = None  # of a deviation in modes, the one that carries least
    first_yield: float | None = None  # load
    first_yield_error: float | None = None  # per cent
    stresses: Stresses | None = None
    plastic_strain: PlasticStrain | None = None  # at the governing event; of MNA, whose collapse has no size, none
    path: PathStates | None = None
    sections: tuple[MidSurface, ...] = ()
    modes: tuple[Mode, ...] = ()
    growth: tuple[Growth, ...] = ()  # at the service and the required load
    at_capacity: Growth | None = None
    allowed: tuple[Allowed, ...] = ()
    unread: int = 0  # deviated shapes of a set of which it is not known how far they move
    outside: tuple[
        int, ...
    ] = ()  # wave numbers outside the range examined in which waves have begun below the capacity
    bracketed: bool = False  # whether the onset by deformation theory was looked for and, if there is one, placed
    gathering: float | None = None  # load from which on plastic strain may gather in one place
    notes: tuple[str, ...] = ()
    balance: Balance | None = None
    increasing: Increasing = PRESSURE  # of what its loads are sizes
    yielded_at: str = ""  # the piece of the meridian that has yielded deepest at the governing event
    reached: float = 0.0  # highest load of the path that was followed
    carried: float | None = None  # of a path that breaks off: load up to which it rises without any event, waves too
    settings: Mapping[str, object] = field(default_factory=dict)
    convergence: Mapping[str, float] = field(default_factory=dict)  # % by which what decides changes with the
    # discretisation, by what was changed; empty when no estimate was made

    def of(self, increasing: Increasing) -> "Outcome":
        """Return it with every load in it a size of what increases."""
        found = {each.name: _sized(getattr(self, each.name), increasing) for each in fields(self)}
        return replace(self, **(found | {"increasing": increasing}))

    @property
    def lowest_critical(self) -> Event | None:
        """Lowest of the linear bifurcations."""
        return min(self.critical, key=lambda event: event.load, default=None)

    @property
    def governing(self) -> Event | None:
        """The event at the lowest load; a bifurcation below the limit is the onset of waves."""
        events = [event for event in (self.limit, self.bifurcation, self.lowest_critical) if event is not None]
        return min(events, key=lambda event: event.load, default=None)

    @property
    def axisymmetric(self) -> Event | None:
        """The highest load before a stop, waves left aside."""
        return self.peak or self.limit

    @property
    def capacity(self) -> Event | None:
        """What the body carries: the highest load before it has moved too far, or before waves begin."""
        events = [event for event in (self.axisymmetric, self.bifurcation, self.lowest_critical) if event is not None]
        return min(events, key=lambda event: event.load, default=None)


def _sized(value: Any, increasing: Increasing) -> Any:
    """Return what has a load, alone or in a tuple, with its load a size of what increases; anything else as it is."""
    if isinstance(value, tuple):
        return tuple(_sized(each, increasing) for each in value)
    sized: Any = value
    return replace(sized, increasing=increasing) if isinstance(value, AtLoad | PathStates) else value
