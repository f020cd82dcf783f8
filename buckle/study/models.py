"""The tables of a study file whose keys are fixed: types and bounds."""

from typing import Annotated, Literal

from annotated_types import Ge, Gt, Le, Lt, MinLen

from buckle.case.models import Correlation, FileTable, Kind
from buckle.study.study import LARGEST

Count = Annotated[int, Ge(1), Le(LARGEST)]
FARTHEST = 1e150
"""Beyond any number that a case takes in any unit, and near enough that samples about it stay finite."""
Distance = Annotated[float, Gt(0.0), Lt(FARTHEST)]
Seed = Annotated[int, Ge(0), Lt(2**32)]


class Header(FileTable):
    """[study]: the base case, its analyses if not the base's own, and what to keep."""

    base_case: Annotated[str, MinLen(1)]
    title: str = ""
    analyses: tuple[Kind, ...] = ()
    keep: tuple[Annotated[str, MinLen(1)], ...] = ()
    estimate_error: bool = False


class Designs(FileTable):
    """[designs]: a file of comma-separated values, its first line naming the keys."""

    file: Annotated[str, MinLen(1)]


class Fill(FileTable):
    """[fill]: points that fill a box evenly; `bounds` maps keys to [low, high]."""

    method: Literal["sobol", "latin_hypercube"]
    count: Count
    seed: Seed = 0
    bounds: dict[str, object]


class SpreadTable(FileTable):
    """How one key of [tolerance.keys] scatters; the mean is the base case's value unless given."""

    distribution: Literal["normal", "truncated", "uniform"]
    mean: Annotated[float, Gt(-FARTHEST), Lt(FARTHEST)] | None = None
    deviation: Distance | None = None
    half_width: Distance | None = None


class Tolerance(FileTable):
    """[tolerance]: random samples; `keys` maps keys to their spreads."""

    count: Count
    seed: Seed = 0
    keys: dict[str, object]
    correlated: tuple[Correlation, ...] = ()
