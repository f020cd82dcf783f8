"""The tables of a case file under internal names and units: types and bounds, nothing read and nothing computed."""

from typing import Annotated, Any, Literal

from annotated_types import Ge, Gt, Le, Lt, MaxLen, MinLen
from pydantic import BaseModel, ConfigDict

from buckle.increasing import PRESSURE, PULL, PUSH, Increasing
from buckle.units import (
    Altitude,
    Compliance,
    Density,
    Force,
    NonNegativeLength,
    PositiveLength,
    PositivePressure,
    PositiveStress,
    Pressure,
    Stress,
    Temperature,
    Time,
    Volume,
)

Kind = Literal["LA", "LBA", "MNA", "GNA", "GMNA", "GNIA", "GMNIA"]
PLASTIC_KINDS = ("MNA", "GMNA", "GMNIA")
PERFECT: dict[str, str] = {"GNIA": "GNA", "GMNIA": "GMNA"}
"""Analyses of a deviated shape, and the one of the perfect shape that each is like in all else."""


def like(kind: str) -> str:
    """Return the kind of analysis that one is but for the shape it starts from."""
    return PERFECT.get(kind, kind)


Edge = Literal["clamped", "pinned", "roller", "guided", "free", "diaphragm", "sleeve"]
Stand = Literal["roller", "pinned"]
Positive = Annotated[float, Gt(0.0)]
WaveNumber = Annotated[int, Ge(0), Le(400)]


class FileTable(BaseModel):
    """A table of the case file: nothing unknown, nothing converted in silence, nothing changed later."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True, allow_inf_nan=False)


class Heading(FileTable):
    """[case]: what the case is called and what it is for."""

    title: str = ""
    purpose: Literal["design", "benchmark"] = "design"


class NoHardening(FileTable):
    """Ideal plasticity: the metal flows at its yield stress."""

    law: Literal["none"]


class Linear(FileTable):
    """sigma = yield + modulus * eps_p."""

    law: Literal["linear"]
    modulus: Annotated[Stress, Ge(0.0)]


class Voce(FileTable):
    """sigma = yield + increment * (1 - exp(-rate * eps_p))."""

    law: Literal["voce"]
    increment: Annotated[Stress, Ge(0.0)]
    rate: Annotated[float, Gt(0.0), Le(1e6)]  # at 1e6 the metal hardens within an elastic strain


class Swift(FileTable):
    """sigma = yield * (1 + eps_p / offset)**exponent."""

    law: Literal["swift"]
    offset: Annotated[float, Ge(1e-9)]  # far below any strain that a test resolves
    exponent: Annotated[float, Ge(0.0), Le(1.0)]


class RambergOsgood(FileTable):
    """eps_p = 0.002 * (sigma / yield)**exponent; the yield stress is the 0.2 % proof stress."""

    law: Literal["ramberg_osgood"]
    exponent: Annotated[float, Ge(1.0), Le(1e4)]  # at 1e4 as good as ideal plasticity


class HardeningTable(FileTable):
    """Pairs of plastic strain and true stress, straight lines between; the first stress is the yield stress."""

    law: Literal["table"]
    points: Annotated[tuple[tuple[Annotated[float, Ge(0.0), Le(100.0)], PositiveStress], ...], MinLen(1), MaxLen(1000)]


HARDENING: dict[str, type[FileTable]] = {
    "none": NoHardening,
    "linear": Linear,
    "voce": Voce,
    "swift": Swift,
    "ramberg_osgood": RambergOsgood,
    "table": HardeningTable,
}


class Metal(FileTable):
    """[material]: elastic constants and flow stress; density 0 means not known.

    The uniform strain is the plastic strain up to which the hardening curve was measured. Metal without a yield stress
    is taken as elastic, which a verdict accepts only where the case says that it does not yield.
    """

    grade: str = ""
    youngs_modulus: PositiveStress
    poissons_ratio: Annotated[float, Ge(0.0), Lt(0.5)]
    density: Annotated[Density, Ge(0.0)] = 0.0
    yields: bool = True
    yield_stress: PositiveStress | None = None
    hardening: Any = None
    uniform_strain: Annotated[float, Ge(0.0), Le(2.0)] | None = None


class Supports(FileTable):
    """[supports]: how the edges are held, None where the meridian has no edge; and the ring that a base stands on.

    A stand is held along the axis where its mid-surface is lowest before the load: a roller may widen on what it stands
    on, as without friction, a pinned one may not.
    """

    start_edge: Edge | None = None
    outer_edge: Edge | None = None
    stand: Stand | None = None


class Loads(FileTable):
    """[loads]: what increases, and what stays constant meanwhile: a pressure, or an axial force at the outer edge.

    Where the pressure increases, the axial force is constant. Where the axial force does, its sign is its sense,
    compression negative, and its size that at which linear stresses are told; the pressure is constant.
    """

    pressure_side: Literal["inside", "outside"]
    increases: Literal["pressure", "axial_force"] = "pressure"
    end_thrust: bool = True
    axial_force: Force = 0.0
    pressure: Annotated[Pressure, Ge(0.0)] | None = None
    follower: bool = True

    @property
    def increasing(self) -> Increasing:
        """The load that increases."""
        if self.increases == "pressure":
            return PRESSURE
        return PUSH if self.axial_force < 0.0 else PULL

    @property
    def unit(self) -> float:
        """Size of the load at which linear stresses are told: 1 MPa, or the axial force of the file [N]."""
        return 1.0 if self.increasing.is_pressure else abs(self.axial_force)


class Analyses(FileTable):
    """[analyses]: which kinds of EN 1993-1-6 to run, and the lowest and highest wave number to examine."""

    run: Annotated[tuple[Kind, ...], MinLen(1)]
    wave_numbers: Annotated[tuple[WaveNumber, ...], MinLen(2), MaxLen(2)] = (0, 40)


class Requirements(FileTable):
    """[requirements]: what must be reached, and how far a body may move while it is.

    A capacity divided by the partial factor must not be below the required pressure. Growth and stand drop are under
    load at the service pressure, growth that stays is after it, the plastic strain of a face at the required pressure.
    Where waves begin above it by flow theory and below it by deformation theory there is a doubt, unless `onset` says
    which counts. A capacity is the highest pressure before a ceiling is passed: by the apex (growth), by the stand of a
    base (drop), by the countersink of an end (rise), or by the plastic strain of a face; what is not given is derived
    from the shape.
    """

    pressure: PositivePressure | None = None
    service_pressure: PositivePressure | None = None
    partial_factor: Annotated[float, Ge(1.0), Le(10.0)] = 1.0
    onset: Literal["flow", "deformation"] | None = None
    growth: PositiveLength | None = None
    permanent_growth: NonNegativeLength | None = None
    stand_drop: PositiveLength | None = None
    plastic_strain: Annotated[float, Gt(0.0), Le(1.0)] | None = None
    axial_force: Annotated[Force, Gt(0.0)] | None = None
    growth_ceiling: PositiveLength | None = None
    stand_drop_ceiling: PositiveLength | None = None
    countersink_rise_ceiling: PositiveLength | None = None
    strain_ceiling: Annotated[float, Gt(0.0), Le(2.0)] | None = None


class Expectation(FileTable):
    """[[expect]]: what must come out, how close, and from where; a list is met by any one of its values."""

    quantity: Annotated[str, MinLen(1)]
    value: float | int | str | bool | Annotated[tuple[float | int | str, ...], MinLen(1)]
    tolerance_percent: Annotated[float, Ge(0.0), Le(100.0)] | None = None
    source: Annotated[str, MinLen(1)]
    reason: str = ""


class Correlation(FileTable):
    """Two keys that scatter and the correlation of their normal scores."""

    keys: Annotated[tuple[str, ...], MinLen(2), MaxLen(2)]
    coefficient: Annotated[float, Gt(-1.0), Lt(1.0)]


Distance = Annotated[float, Gt(0.0), Lt(1e150)]
"""In the unit of a key, so that it can have no bounds but those that keep its square finite."""


class ToleranceTable(FileTable):
    """How far a number of the case may be off, or how it scatters, in the unit of its key.

    Without a law only the bounds are known. The law "truncated" is a normal one, cut at the bounds; "triangular" has
    its peak at the case's value; "measured" draws from a column of a file of comma-separated values.
    """

    law: Literal["normal", "lognormal", "triangular", "uniform", "truncated", "measured"] | None = None
    minus: Annotated[float, Ge(0.0), Lt(1e150)] | None = None
    plus: Annotated[float, Ge(0.0), Lt(1e150)] | None = None
    standard_deviation: Distance | None = None
    mean: Annotated[float, Gt(-1e150), Lt(1e150)] | None = None
    file: Annotated[str, MinLen(1)] | None = None
    column: Annotated[str, MinLen(1)] | None = None


Liquid = Annotated[Temperature, Ge(0.0), Le(100.0)]
Height = Annotated[Altitude, Ge(-1000.0), Le(11000.0)]


class Surroundings(FileTable):
    """[[contents.conditions]]: where a filled container comes to; the altitude is that of [contents] unless given."""

    name: str = ""
    temperature: Liquid
    altitude: Height | None = None


class Soak(FileTable):
    """An entry of contents.pasteuriser: the drink is at a temperature for a time."""

    time: Annotated[Time, Gt(0.0)]
    temperature: Liquid


class Contents(FileTable):
    """[contents]: what a filled container holds, and the temperatures and altitudes that it comes to.

    Volumes of carbon dioxide count all that is closed in. The fill pressure of nitrogen is gauge at the fill
    temperature. Gas "air" is a container closed at the pressure of the atmosphere, hot-filled or still. The air
    fraction is that of the headspace of a carbonated drink at closing. What is not given is taken on the safe side: the
    drink that dissolves least, a headspace full of air, a rigid container.
    """

    gas: Literal["carbon_dioxide", "nitrogen", "air"]
    carbonation_volumes: Annotated[float, Gt(0.0), Le(10.0)] | None = None
    fill_pressure: Annotated[Pressure, Ge(0.0), Le(2.0)] | None = None
    drink: Literal["water", "lager", "sparkling_wine", "sugared"] | None = None
    solubility_factor: Annotated[float, Ge(0.5), Le(1.1)] | None = None
    air_fraction: Annotated[float, Ge(0.0), Le(1.0)] | None = None
    liquid: Annotated[Volume, Gt(0.0)]
    headspace: Annotated[Volume, Gt(0.0)]
    compliance: Annotated[Compliance, Ge(0.0)] = 0.0
    fill_temperature: Annotated[Temperature, Ge(0.0), Lt(100.0)]
    temperatures: tuple[Liquid, ...] = ()
    altitude: Height = 0.0
    conditions: tuple[Surroundings, ...] = ()
    pasteuriser: tuple[Soak, ...] = ()
    warm_metal: bool = False


class Numerics(FileTable):
    """[numerics]: multiples of the default mesh density and path step, and the number of Gauss layers."""

    mesh_density: Annotated[float, Ge(0.25), Le(8.0)] = 1.0
    layers: Annotated[int, Ge(3), Le(51)] | None = None
    step: Annotated[float, Ge(0.1), Le(4.0)] = 1.0


class SizeTable(FileTable):
    """[size]: what may move between which bounds, and what is to be least while every requirement is met.

    `vary` maps keys of the case to [low, high]. `tolerances` says which designs must meet what is required: one in
    which every number of [tolerances] is at its worst, or all but this share of those made.
    """

    minimise: Literal["mass", "blank_area", "cost"] = "mass"
    reserve_factor: Annotated[float, Ge(0.1), Le(100.0)] = 1.0
    least_volume: Annotated[Volume, Gt(0.0)] | None = None
    starts: Annotated[int, Ge(1), Le(64)] = 3
    seed: Annotated[int, Ge(0), Lt(2**32)] = 0
    tolerances: Literal["nominal", "worst"] | Annotated[float, Gt(0.0), Lt(0.5)] = "nominal"
    price_per_kg: Annotated[float, Gt(0.0), Lt(1e9)] | None = None
    scrap_price_per_kg: Annotated[float, Ge(0.0), Lt(1e9)] = 0.0
    strip_share: Annotated[float, Gt(0.0), Le(1.0)] = 1.0
    vary: dict[str, object]


SECTIONS: dict[str, type[FileTable]] = {
    "case": Heading,
    "material": Metal,
    "supports": Supports,
    "loads": Loads,
    "analyses": Analyses,
    "requirements": Requirements,
    "contents": Contents,
    "numerics": Numerics,
}
"""The plain tables; [shape] is built from the families, and [[expect]] is a list of tables."""
NEEDED = ("material", "shape", "loads", "analyses")
