"""What is to be least: mass, blank area or cost of metal, of a case or of all parts of a container."""

import math
from collections.abc import Iterator

from buckle.case import Case
from buckle.case.keys import Finding
from buckle.case.models import SizeTable
from buckle.container.container import Container
from buckle.container.metal import Sheet, metal_of
from buckle.container.models import END
from buckle.container.summary import BODY, closed_volume_of, cuts_of, masses_of

UNITS = {"mass": "g", "blank_area": "mm2", "cost": "money per thousand"}
OF_ONE_PART = ("price_per_kg", "scrap_price_per_kg", "strip_share")
"""Keys of [size] that mean nothing to a container, whose [blanks] say it."""


def objective_of(base: Case | Container, table: SizeTable) -> float:
    """Return what is to be least [g, mm2, money per thousand].

    Of a container the mass is that of every part cut where it ends, without what their shapes have of their neighbours.
    """
    return _of_container(base, table) if isinstance(base, Container) else _of_case(base, table)


def _of_case(case: Case, table: SizeTable) -> float:
    meridian, density = case.meridian, case.material.density
    if table.minimise == "blank_area":
        return 0.25 * math.pi * meridian.blank_diameter**2
    mass = meridian.mass(density)
    if table.minimise == "mass":
        return mass
    assert table.price_per_kg is not None
    gauge = 4.0 * meridian.metal_volume / (math.pi * meridian.blank_diameter**2)
    sheet = Sheet(gauge, density, table.price_per_kg, table.scrap_price_per_kg)
    return metal_of(sheet, meridian.blank_diameter, table.strip_share, mass).net


def _of_container(container: Container, table: SizeTable) -> float:
    if table.minimise == "mass":
        return sum(masses_of(container).values())
    cuts = cuts_of(container).values()
    if table.minimise == "blank_area":
        return sum(0.25 * math.pi * cut.disc**2 for cut in cuts)
    return sum(cut.metal.net for cut in cuts)


def enclosed_volume_of(base: Case | Container) -> float | None:
    """Return what a case or a container encloses [mm3]; None where parts make nothing that could hold anything."""
    return closed_volume_of(base) if isinstance(base, Container) else base.meridian.enclosed_volume


def objective_findings(base: Case | Container, table: SizeTable) -> Iterator[Finding]:
    """Yield what is missing to work out what is to be least, by paths in the file."""
    if isinstance(base, Container):
        yield from _container_findings(base, table)
        return
    if table.minimise == "cost" and table.price_per_kg is None:
        yield Finding(("size", "price_per_kg"), "missing, the cost is to be least", None, "money per kg")
    if table.minimise != "blank_area" and not base.material.density:
        yield Finding(("material", "density_kg_per_m3"), "missing, the mass is to be least", None, "a number")


def _container_findings(container: Container, table: SizeTable) -> Iterator[Finding]:
    given = [key for key in OF_ONE_PART if key in table.model_fields_set]
    for key in given:
        yield Finding(("size", key), "means nothing for a container", getattr(table, key), "the same in [blanks]")
    if table.minimise != "blank_area":
        known = masses_of(container)
        for name in (name for name in container.parts if name not in known):
            path = ("parts", name, "material", "density_kg_per_m3")
            yield Finding(path, "missing, the mass is to be least", None, "a number")
    if table.minimise != "mass":
        cut = cuts_of(container)
        wanted = dict.fromkeys(END if name == END else BODY for name in container.parts)
        for name in (name for name in wanted if name not in cut):
            words = f"missing, the {table.minimise.replace('_', ' ')} of all metal is to be least"
            yield Finding(("blanks", name), words, None, "a table, and for a body a base among the parts")
    if table.least_volume is not None and closed_volume_of(container) is None:
        yield Finding(("size", "least_volume_ml"), "the parts enclose nothing", None, "a base and what stands on it")
