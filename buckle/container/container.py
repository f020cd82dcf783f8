"""A container as one: its parts as cases, each under one load or several, and what is said of the whole."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from buckle.case import Case, EchoLine
from buckle.case.models import Contents, SizeTable
from buckle.case.tolerances import Tolerance
from buckle.container.models import Blanks, Pallet, Seam, Whole


@dataclass(frozen=True)
class Loaded:
    """A part under one load: its name, the state's ('' for the one that the part itself describes), and the case."""

    part: str
    state: str
    case: Case

    @property
    def name(self) -> str:
        """The part, and the state where it has one: how its results are named."""
        return f"{self.part}.{self.state}" if self.state else self.part


@dataclass(frozen=True)
class Container:
    """A validated container; `tables` is what it was read from, the parts that stand in other files put in.

    `path` is that of its file, None for one that was read from none. `size` asks for another container and `tolerances`
    say how parts scatter: no hash counts either. `correlation` is that of the normal scores of the tolerances.
    """

    title: str
    purpose: str
    loaded: tuple[Loaded, ...]
    whole: Whole
    contents: Contents | None
    seam: Seam | None
    pallet: Pallet | None
    blanks: Blanks
    input_hash: str
    tables: Mapping[str, Any] = field(repr=False)
    path: str | None = None
    data: None = None  # a case's own bytes; a container is kept as its tables
    references: Mapping[str, str] = field(default_factory=dict)  # files of parts that stand in one, by part
    size: SizeTable | None = field(default=None, repr=False)
    tolerances: tuple[Tolerance, ...] = ()
    correlation: NDArray[np.float64] = field(default_factory=lambda: np.eye(0), repr=False, compare=False)

    @property
    def parts(self) -> Mapping[str, Case]:
        """Each part by its name, from below to above, as it describes itself."""
        return {each.part: each.case for each in self.loaded if not each.state}

    @property
    def echo(self) -> tuple[EchoLine, ...]:
        """Every quantity of every part as it was taken, behind the key of the part."""
        return tuple(
            replace(line, key=f"parts.{name}.{line.key}") for name, case in self.parts.items() for line in case.echo
        )

    @property
    def filled(self) -> Case | None:
        """The first case that has the contents; None where nothing is filled in."""
        return next((each.case for each in self.loaded if each.case.demand is not None), None)
