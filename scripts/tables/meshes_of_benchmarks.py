"""Which benchmark cases have their meshes stored in meshes/, and under which names."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

from buckle.case import read_case
from buckle.record.mesh_files import MeshFile, meridian_mesh, solid_mesh
from scripts.paths import ROOT

FOLDER = ROOT / "meshes"
CROSS_CHECKED = ("base/a-gmna", "base/b-gmna", "base/c-gmna", "end/e1-gmna", "end/e2-gmna", "end/e3-gmna")
ALONE = (
    "cap/gna-clamped-lambda-6-r-over-t-200",
    "head/mna-torispherical-1-006-0005",
    "junction/la-plate-on-cylinder-2-mm",
)
OTHERS = (*ALONE, "cylinder/lba-hydrostatic-r-over-t-100-l-over-r-2")
MADE_BY = "scripts/pages"


class Stored(NamedTuple):
    """A mesh file: its path, the case it is of, what makes its mesh and what is said of it."""

    path: Path
    case: str
    make: Callable[..., MeshFile]
    contents: dict[str, str]

    def mesh(self) -> MeshFile:
        return self.make(read_case(ROOT / self.case))


def stored() -> Iterator[Stored]:
    """All files of the folder."""
    for name in (*CROSS_CHECKED, *OTHERS):
        yield _stored(name, "meridian", meridian_mesh, "elements of the shell, for buckle run {}")
    for name in CROSS_CHECKED:
        yield _stored(name, "solid", solid_mesh, "elements of the solid of revolution, for buckle crosscheck {}")


def _stored(name: str, what: str, make: Callable[..., MeshFile], words: str) -> Stored:
    case = f"cases/benchmarks/{name}.toml"
    contents = {"case": case, "content": words.format(case), "made by": MADE_BY}
    return Stored(FOLDER / f"{name.replace('/', '-')}.{what}.vtu", case, make, contents)
