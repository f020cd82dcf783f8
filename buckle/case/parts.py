"""The parts of a case: every table of its file by itself, judged as far as it goes without the others."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from buckle.case.contents import ReadContents, read_contents
from buckle.case.deviation import ReadDeviation, read_deviation
from buckle.case.keys import Finding, unknown_word
from buckle.case.locator import KeyPath
from buckle.case.metal import ReadMetal, read_metal
from buckle.case.models import NEEDED, SECTIONS, Expectation, SizeTable
from buckle.case.shape import ReadShape, read_shape
from buckle.case.validate import Checked, check_table

TABLES = (
    "case",
    "material",
    "shape",
    *[name for name in SECTIONS if name not in ("case", "material")],
    "deviation",
    "tolerances",
    "size",
    "expect",
)
PLAIN = ("case", "supports", "loads", "analyses", "requirements", "numerics")
"""Tables that are no more than their values."""


@dataclass(frozen=True)
class Parts:
    """Every table as far as it could be validated; `amiss` is what is wrong with which tables there are."""

    metal: ReadMetal
    shape: ReadShape
    plain: Mapping[str, Checked]
    contents: ReadContents
    deviation: ReadDeviation | None
    expect: tuple[Checked, ...]
    amiss: tuple[Finding, ...]
    size: Checked | None = None

    @cached_property
    def named(self) -> Mapping[str, Checked]:
        """Every table but the expectations by its name."""
        whole: dict[str, Checked] = {"material": self.metal, "shape": self.shape, "contents": self.contents}
        found = {name: whole.get(name) or self.plain[name] for name in ("material", "shape", *SECTIONS)}
        return found if self.deviation is None else {**found, "deviation": self.deviation}

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What is wrong inside the tables."""
        inside = (finding for each in self._all for finding in each.findings)
        return (*self.amiss, *inside)

    @property
    def keys(self) -> dict[KeyPath, KeyPath]:
        """{internal path: the file's path} of all tables."""
        return {inside: path for each in self._all for inside, path in each.keys.items()}

    @property
    def _all(self) -> tuple[Checked, ...]:
        return (*self.named.values(), *self.expect, *([self.size] if self.size else []))


def read_parts(tables: Mapping[str, Any], folder: Path) -> Parts:
    """Return the parts of a case, whose file lies in a folder; an absent table is one finding, not one a key."""
    metal = read_metal(tables["material"]) if "material" in tables else ReadMetal(None)
    plain = {name: _plain(name, tables) for name in PLAIN}
    side = plain["loads"].model.pressure_side if plain["loads"].model else "inside"
    shape = read_shape(tables["shape"], side) if "shape" in tables else ReadShape(None)
    filled = "contents" in tables
    contents = read_contents(tables["contents"], metal, side) if filled else ReadContents(None, material=metal.material)
    deviation = read_deviation(tables["deviation"], shape.body, side, folder) if "deviation" in tables else None
    expect = tables.get("expect", ())
    entries = tuple(expect) if isinstance(expect, list | tuple) else ()
    checked = tuple(check_table(Expectation, entry, ("expect", at)) for at, entry in enumerate(entries))
    size = check_table(SizeTable, tables["size"], ("size",)) if "size" in tables else None
    return Parts(metal, shape, plain, contents, deviation, checked, tuple(_amiss(tables)), size)


def _plain(name: str, tables: Mapping[str, Any]) -> Checked:
    """Return a table; where it is absent what that means, None if it must not be."""
    if name in tables:
        return check_table(SECTIONS[name], tables[name], (name,))
    return Checked(None if name in NEEDED else SECTIONS[name]())


def _amiss(tables: Mapping[str, Any]) -> Iterator[Finding]:
    for name in tables:
        if name not in TABLES:
            yield Finding((name,), unknown_word("table", name, TABLES), tables[name], ", ".join(TABLES))
    if not isinstance(tables.get("expect", ()), list | tuple):
        yield Finding(("expect",), "must be a list of tables", tables["expect"], "[[expect]]")
    for name in NEEDED:
        if name not in tables:
            yield Finding((name,), "missing", allowed=f"a table [{name}]")
