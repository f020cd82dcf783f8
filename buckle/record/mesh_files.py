"""Meshes of a case as VTU files in the half plane y = 0, the axis is z: the shell's meridian, the solid's section.

Each file says of which case it is and what made it: in a comment for people, and as field data for programs, where
texts are arrays of their UTF-8 bytes (the format knows numbers only).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import meshio
import numpy as np
from numpy.typing import NDArray

from buckle.analysis.setup import model_of, run_of
from buckle.case import Case
from buckle.crosscheck import Grain, decisive_kind, solid_of
from buckle.errors import CaseError

Array = NDArray[np.float64]
BEGINNING = "<UnstructuredGrid>"


@dataclass(frozen=True, eq=False)
class MeshFile:
    """Points (m, 3) [mm] with numbers at them, and cells of one kind in the order of meshio."""

    points: Array
    kind: str
    cells: NDArray[np.int64]
    point_data: Mapping[str, Array]


def meridian_mesh(case: Case) -> MeshFile:
    """Return the shell's elements in the last analysis of a case: each a quadratic line of its ends and its middle."""
    mesh = model_of(run_of(case, case.analyses.run[-1])).shell.elements.mesh
    ends, count = mesh.vertices, mesh.count
    s = np.concatenate([ends, 0.5 * (ends[1:] + ends[:-1])])
    first = np.arange(count)
    at = case.meridian.at_s(s)
    cells = np.stack([first, first + 1, count + 1 + first], axis=1)
    return MeshFile(_in_plane(at.r, at.z), "line3", cells, {"s_mm": s, "thickness_mm": at.thickness})


def solid_mesh(case: Case) -> MeshFile:
    """Return the elements of the solid that `buckle crosscheck` takes; xi is -1 right of the walk and 1 left of it."""
    elements = solid_of(case, decisive_kind(case), Grain().fineness).elements
    data = {"s_mm": elements.s, "xi": elements.xi}
    return MeshFile(_in_plane(*elements.position.T), "quad8", elements.nodes, data)


def write_mesh(path: Path, mesh: MeshFile, recorded: Mapping[str, str]) -> None:
    """Write a mesh and what is told of it; every double comes back as it is."""
    made = meshio.Mesh(mesh.points, [(mesh.kind, mesh.cells)], point_data=dict(mesh.point_data))
    meshio.write(path, made, file_format="vtu")
    before, beginning, after = path.read_text(encoding="utf-8").partition(BEGINNING)
    fields = "".join(_field(name, text) for name, text in recorded.items())
    comment = "<!--" + "; ".join(f"{name}: {text}" for name, text in recorded.items()) + "-->\n"
    path.write_text(f"{before}{comment}{beginning}\n<FieldData>\n{fields}</FieldData>{after}", encoding="utf-8")


def read_mesh(path: Path) -> tuple[MeshFile, dict[str, str]]:
    """Return the mesh of a file and what is told of it; raises CaseError for one with several kinds of cells."""
    read = meshio.read(path)
    if len(read.cells) != 1:
        raise CaseError(f"{path}: holds {len(read.cells)} blocks of cells; allowed: one")
    block = read.cells[0]
    recorded = {name: bytes(np.atleast_1d(values)).decode() for name, values in read.field_data.items()}
    return MeshFile(read.points, block.type, block.data, read.point_data), recorded


def _in_plane(r: Array, z: Array) -> Array:
    return np.stack([r, np.zeros_like(r), z], axis=1)


def _field(name: str, text: str) -> str:
    codes = text.encode()
    opening = f'<DataArray type="UInt8" Name="{name}" NumberOfTuples="{len(codes)}" format="ascii">'
    return f"{opening}\n{' '.join(map(str, codes))}\n</DataArray>\n"
