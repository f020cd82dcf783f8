"""[deviation] under internal names and units, a table for each shape that a deviation may have: types and bounds."""

from typing import Annotated, Literal

from annotated_types import Ge, Gt, Le, MinLen

from buckle.case.models import FileTable, WaveNumber
from buckle.units import Length, NonNegativeLength, PositiveLength


class DimpleDeviation(FileTable):
    """w = depth exp(-((s - at)/width)^2) along the meridian, positive towards the side away from the pressure."""

    shape: Literal["dimple"]
    at: NonNegativeLength = 0.0
    width: PositiveLength
    depth: Length


class WaveDeviation(FileTable):
    """w = depth cos(2 pi (s - at) / wavelength) along the whole meridian."""

    shape: Literal["wave"]
    at: NonNegativeLength = 0.0
    wavelength: PositiveLength
    depth: Length


class MeasuredDeviation(FileTable):
    """A scan of the meridian: a CSV of r, z and, if it was measured, thickness, headings with their unit.

    Its places are compared with the perfect meridian square to it. `filter` is the shortest wavelength that is kept.
    """

    shape: Literal["measured"]
    file: Annotated[str, MinLen(1)]
    filter: PositiveLength


class ClassDeviation(FileTable):
    """Dimples all along the meridian, of both senses, as deep as a fabrication tolerance quality class of EN 1993-1-6.

    Each is computed by itself, and the least counts.
    """

    shape: Literal["class"]
    quality: Literal["A", "B", "C"]


class ModeDeviation(FileTable):
    """Waves around in the mode of a wave number: of LBA, else the one that is met first on the path of GNA or GMNA.

    The amplitude is the largest movement of the mid-surface. What is not given: the waves that begin first, and the set
    of amplitudes that tells how a body takes waves. The mode of LBA without waves (0) is a deviation along the
    meridian; its amplitude is the largest distance from the perfect shape, positive towards the side away from the
    pressure.
    """

    shape: Literal["mode"]
    analysis: Literal["LBA", "GNA", "GMNA"] | None = None
    wave_number: WaveNumber | None = None
    amplitude: Length | None = None

    @property
    def without_waves(self) -> bool:
        """Whether it is the same all around."""
        return self.wave_number == 0


class ModesDeviation(FileTable):
    """All modes of LBA whose load lies within some per cent of the lowest, each by itself; the least counts.

    Their root mean square over the surface is so many walls; of each wave number the lowest few are followed. Source:
    NASA/SP-8007-2020, what is asked where no measurement is at hand (20 %, half the wall).
    """

    shape: Literal["modes"]
    within_percent: Annotated[float, Ge(0.0), Le(100.0)] = 20.0
    rms_walls: Annotated[float, Gt(0.0), Le(5.0)] = 0.5
    per_wave_number: Annotated[int, Ge(1), Le(20)] = 2


Deviation = DimpleDeviation | WaveDeviation | MeasuredDeviation | ClassDeviation | ModeDeviation | ModesDeviation
DEVIATIONS: dict[str, type[FileTable]] = {
    "dimple": DimpleDeviation,
    "wave": WaveDeviation,
    "measured": MeasuredDeviation,
    "class": ClassDeviation,
    "mode": ModeDeviation,
    "modes": ModesDeviation,
}
"""The models of [deviation] by its shape; lengths along the perfect meridian, from its start."""
