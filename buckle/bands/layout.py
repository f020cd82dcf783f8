"""Element matrices into LAPACK band storage, with constraints put in by index tables made once."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class BandLayout:
    """Where element entries go; a band is an array (size, width) whose transpose is LAPACK's band storage.

    Entry (i, j) stands at [j, offset + i - j]. A general band has room for the factors (offset 2 m, width 3 m + 1), a
    symmetric one holds the lower half (offset 0, width m + 1); m is the half bandwidth.
    """

    dofs: Index  # (elements, element dofs) global numbers
    size: int
    general: bool

    @cached_property
    def half_bandwidth(self) -> int:
        """Largest distance of two coupled unknowns."""
        return int(np.max(self.dofs.max(axis=1) - self.dofs.min(axis=1)))

    @property
    def offset(self) -> int:
        """Column of the diagonal."""
        return 2 * self.half_bandwidth if self.general else 0

    @property
    def width(self) -> int:
        """Columns of the band array."""
        return self.offset + self.half_bandwidth + 1

    @cached_property
    def _kept(self) -> tuple[Index, Index]:
        """Flat numbers of the element entries that are kept, and the flat positions they go to."""
        i, j = np.broadcast_arrays(self.dofs[:, :, None], self.dofs[:, None, :])
        kept = np.flatnonzero(np.full(i.size, True) if self.general else (i >= j).ravel())
        return kept, (j * self.width + self.offset + i - j).ravel()[kept]

    def assemble(self, matrices: Array) -> Array:
        """Sum element matrices (elements, dofs, dofs) into a band (size, width)."""
        kept, targets = self._kept
        entries = matrices.ravel() if self.general else matrices.ravel().take(kept)
        flat = np.bincount(targets, weights=entries, minlength=self.size * self.width)
        return flat.reshape(self.size, self.width).astype(np.float64, copy=False)

    def assemble_vector(self, vectors: Array) -> Array:
        """Sum element vectors (elements, dofs) into (size,)."""
        total = np.bincount(self.dofs.ravel(), weights=vectors.ravel(), minlength=self.size)
        return total.astype(np.float64, copy=False)

    def held(self, fixed: Index) -> "Held":
        """Return the index table that holds the unknowns `fixed` at zero."""
        column = np.arange(self.width) - self.offset
        low = fixed[:, None] * self.width + np.arange(self.width)
        j = fixed[:, None] - column
        across = j * self.width + self.offset + column
        inside = (j >= 0) & (j < self.size)
        return Held(np.concatenate([low.ravel(), across[inside]]), fixed * self.width + self.offset)


@dataclass(frozen=True, eq=False)
class Held:
    """Flat positions of rows and columns to clear and of their diagonal."""

    clear: Index
    diagonal: Index

    def put(self, band: Array) -> Array:
        """Decouple the held unknowns of a fresh band, in place, with a one on their diagonal; return it."""
        flat = band.reshape(-1)
        flat[self.clear] = 0.0
        flat[self.diagonal] = 1.0
        return band
