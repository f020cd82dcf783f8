"""Paths of an end with a deviation in waves, as a sector of bricks and as a shell, from one mode: the shell's."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from buckle.analysis.setup import run_of
from buckle.analysis.waves import Seed, seed_of, waves_from
from buckle.case import Case, read_case
from buckle.crosscheck.solid_side import solid_of
from buckle.shell.recovery import sampled, wave_displacements
from buckle.solid.deviation import carried_along
from buckle.solid.model import Fineness, Solid
from buckle.solid.newton import Steps
from buckle.solid.sector import Sector, sector_of
from buckle.solid.state import State
from buckle.solid.trace import Until, solid_path
from buckle.solve.trace import trace_path
from scripts.paths import CASES

WAVES = 18
DROP = 0.03  # of the highest pressure: where both paths end


@dataclass(frozen=True)
class Mesh:
    """How a sector is divided and stepped: length of its bricks along, layers of them, how many around half a wave."""

    along: Fineness
    layers: int
    around: int
    strain: float = 0.005  # waves grow manifold in a few steps: 0.02 leaves the highest pressure 0.8 % low

    @property
    def fineness(self) -> Fineness:
        return replace(self.along, layers=self.layers)

    @property
    def steps(self) -> Steps:
        return Steps(strain=self.strain)


LONG, SHORT = Fineness(per_decay=0.7, per_turn=0.7, growth=0.4), Fineness()
SHORTEST = SHORT.refined(1.6)
MESH = Mesh(SHORT, 2, 4)
MESHES = (
    *(Mesh(LONG, 2, around) for around in (2, 3, 4)),
    Mesh(LONG, 4, 4),
    Mesh(LONG, 2, 4, strain=0.0025),
    Mesh(SHORTEST, 2, 4),
)
ALONE = 0.01  # [mm] of E2: followed on all meshes
DEVIATIONS = {"e2": (0.002, ALONE, 0.03), "e3": (0.03,)}


@dataclass(frozen=True)
class Row:
    """One path of a sector beside that of the shell: pressures in bar, waves in mm."""

    end: str
    deviation_mm: float
    columns: int
    layers: int
    around: int
    strain: float
    bricks: int
    unknowns: int
    peak_bar: float
    waves_at_peak_mm: float
    growth_beyond: float
    shell_bar: float
    shell_waves_mm: float
    shell_growth: float
    even_bar: float  # without waves, the solid of revolution under the bricks
    shell_even_bar: float

    @property
    def mesh(self) -> tuple[int, int, int, float]:
        """What tells meshes of one end apart."""
        return self.columns, self.layers, self.around, self.strain


def rows() -> Iterator[Row]:
    """Both ends on one mesh, and one deviation of E2 on all; the first row of each end is on the one."""
    for end, deviations in DEVIATIONS.items():
        case = read_case(CASES / "benchmarks" / "end" / f"{end}-gmna.toml")
        seed = seed_of(run_of(case, "GMNA"), WAVES)
        for deviation in deviations:
            yield compared(end, case, seed, deviation, MESH)
        if end == "e2":
            yield from (compared(end, case, seed, ALONE, mesh) for mesh in MESHES)


def compared(end: str, case: Case, seed: Seed, deviation: float, mesh: Mesh) -> Row:
    sector = sector_from(case, seed, deviation, mesh)
    path = solid_path(sector, Until(drop=DROP), mesh.steps)
    peak, last = max(path.limits, key=lambda state: state.pressure), path.states[-1]
    shell = waves_from(seed, deviation)
    waves = waves_of(sector, peak)
    return Row(
        end=end,
        deviation_mm=deviation,
        columns=len(sector.elements.nodes) // (mesh.layers * mesh.around),
        layers=mesh.layers,
        around=mesh.around,
        strain=mesh.strain,
        bricks=len(sector.elements.nodes),
        unknowns=sector.size,
        peak_bar=10.0 * peak.pressure,
        waves_at_peak_mm=waves,
        growth_beyond=waves_of(sector, last) / waves,
        shell_bar=10.0 * shell.peak,
        shell_waves_mm=shell.peak_waves,
        shell_growth=shell.growth_beyond or np.nan,
        even_bar=10.0 * even_limit(sector.solid),
        shell_even_bar=10.0 * trace_path(seed.model, seed.run.settings).highest.load_factor,
    )


def even_limit(solid: Solid) -> float:
    """Limit [MPa] of a solid of revolution without waves."""
    limit = solid_path(solid).limit
    assert limit is not None
    return limit.pressure


def waves_of(sector: Sector, state: State) -> float:
    return sector.wave_size(state.at.x)


def sector_from(case: Case, seed: Seed, deviation: float, mesh: Mesh) -> Sector:
    """Sector of an end, off its shape by the deviation [mm] in the mode of the shell."""
    solid = solid_of(case, "GMNA", mesh.fineness)
    elements = sampled(seed.model.shell).elements
    mode = wave_displacements(elements, seed.mode)
    s, own = np.unique(elements.s, return_index=True)
    amplitudes = np.stack([mode.u, mode.w, mode.v], axis=1)[own]
    return sector_of(solid, WAVES, mesh.around, deviation * carried_along(solid, WAVES, s, amplitudes))
