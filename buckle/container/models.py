"""The tables that a container's file has beside those of its parts: types and bounds, nothing read."""

from typing import Annotated

from annotated_types import Ge, Gt, Le, MultipleOf

from buckle.case.models import Contents, FileTable, Heading, Liquid, SizeTable
from buckle.units import Density, Force, NonNegativeLength, PositiveLength, PositivePressure

NAMES = ("base", "wall", "neck", "end")
"""Parts that a container may have, from below to above; all but the end are one body."""
END = "end"
Count = Annotated[float, Ge(1.0), Le(1000.0), MultipleOf(1.0)]
Price = Annotated[float, Gt(0.0), Le(1e6)]


class Whole(FileTable):
    """[container]: where it is filled to, how deep the end sits, and what the drink weighs."""

    fill_below_brim: PositiveLength | None = None
    seam_drop: NonNegativeLength = 0.0
    liquid_density: Annotated[Density, Gt(0.0)] = 1000.0


class Handed(FileTable):
    """[requirements] of a container: what is handed to every part that it applies to and that says nothing itself."""

    pressure: PositivePressure | None = None
    service_pressure: PositivePressure | None = None
    axial_force: Annotated[Force, Gt(0.0)] | None = None
    partial_factor: Annotated[float, Ge(1.0), Le(10.0)] | None = None


class Seam(FileTable):
    """[seam]: moment for each radian that body and end turn against each other and each mm of circumference.

    N mm / (rad mm) is N.
    """

    rotational_stiffness: Annotated[Force, Ge(0.0), Le(1e6)]


class Filling(FileTable):
    """What a state of a part says of the contents: at which temperature their pressure stays."""

    filled_at: Liquid


class Pallet(FileTable):
    """[pallet]: on what the filled containers stand, in how many layers, and by how much transport shakes them."""

    length: PositiveLength
    width: PositiveLength
    gap: NonNegativeLength = 0.0
    layers: Count
    dynamic_factor: Annotated[float, Ge(1.0), Le(10.0)]
    height: NonNegativeLength = 0.0
    sheet_thickness: NonNegativeLength = 0.0
    sheet_weight: Annotated[Force, Ge(0.0)] = 0.0
    load_above: Annotated[Force, Ge(0.0)] = 0.0


class Blank(FileTable):
    """[blanks.body], [blanks.end]: the disc, its strip and prices by mass in any one currency.

    The trim is below the valleys of the ears, the earing their height; the curl is the ring of metal beyond the edge
    of the shape, for curl, hook and flange.
    """

    trim: NonNegativeLength = 0.0
    earing: NonNegativeLength = 0.0
    curl: NonNegativeLength = 0.0
    rows: Count
    web: NonNegativeLength = 0.0
    edge_web: NonNegativeLength = 0.0
    price_per_kg: Price
    scrap_price_per_kg: Annotated[float, Ge(0.0), Le(1e6)] = 0.0


class Blanks(FileTable):
    """[blanks]: what body and end are cut from."""

    body: Blank | None = None
    end: Blank | None = None


OWN: dict[str, type[FileTable]] = {
    "case": Heading,
    "container": Whole,
    "requirements": Handed,
    "contents": Contents,
    "seam": Seam,
    "pallet": Pallet,
    "blanks": Blanks,
    "size": SizeTable,
}
"""Tables of a container's file beside [parts]."""
