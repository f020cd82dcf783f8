"""Up to which temperature a container holds what was filled in, as data."""

from dataclasses import dataclass

from buckle.demand.reached import Held


@dataclass(frozen=True)
class Holding:
    """What a container carries [MPa] with its metal at a temperature [degC], and up to where that is enough.

    The partial factor has been taken off the capacity. Where a movement or a strain is as much as is allowed before the
    body carries no more, the capacity is the pressure of that, and `limited_by` names it.

    `softened` tells that the metal is counted as warm as the contents; else it is as in the analysis all the way.
    """

    held: Held
    capacity: float
    partial_factor: float
    metal: float
    altitude: float
    softened: bool
    at_least: bool
    limited_by: str = ""
