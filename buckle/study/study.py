"""A study: a base case, blocks of values for some of its keys, and the designs that all of them together make."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from buckle.case import Case, replace_keys
from buckle.case.values import known_values, value_in
from buckle.container.container import Container
from buckle.container.reader import input_from_dict, without_expectations
from buckle.errors import CaseError
from buckle.expression import Expression

LARGEST = 1_000_000
"""Most designs of a study; more is taken for a slip."""


@dataclass(frozen=True)
class Block:
    """Keys that change together: every row holds one value for each key."""

    keys: tuple[str, ...]
    rows: Sequence[Sequence[Any]]
    kind: str = "values"  # "values", "fill" (bounds filled evenly) or "tolerance" (random samples)


@dataclass(frozen=True)
class Design:
    """One design: its number from 1 and the values of the keys that vary or are derived."""

    number: int
    inputs: Mapping[str, Any]
    problem: str = ""  # why a derived key has no value


@dataclass(frozen=True, eq=False)
class Study:
    """All that a batch needs; every combination of a row of each block is a design, the last block changing fastest."""

    title: str
    base: Case | Container
    blocks: tuple[Block, ...]
    derived: Mapping[str, Expression] = field(default_factory=dict)
    keep: tuple[str, ...] = ()
    estimate_error: bool = False

    @property
    def varied(self) -> tuple[str, ...]:
        """Return the keys that vary or are derived, in order."""
        return (*[key for block in self.blocks for key in block.keys], *self.derived)

    @property
    def count(self) -> int:
        """Return the number of designs."""
        return math.prod(len(block.rows) for block in self.blocks)

    @property
    def random(self) -> bool:
        """Tell whether the designs are random samples, so that shares of them are probabilities."""
        return self.count > 1 and all(block.kind == "tolerance" or len(block.rows) == 1 for block in self.blocks)

    def designs(self) -> Iterator[Design]:
        """Yield every design."""
        return map(self.design, range(1, self.count + 1))

    def design(self, number: int) -> Design:
        """Return one design, 1 to `count`."""
        inputs: dict[str, Any] = {}
        rest = number - 1
        for block in reversed(self.blocks):
            rest, at = divmod(rest, len(block.rows))
            row = zip(block.keys, block.rows[at], strict=True)
            inputs = {key: _plain(value) for key, value in row if value is not None} | inputs
        return self._derived(number, inputs)

    def case(self, design: Design) -> Case | Container:
        """Return the validated case of a design; raises CaseError if it cannot be built."""
        case = input_from_dict(replace_keys(self.base.tables, design.inputs), f"design {design.number}")
        if design.problem:
            raise CaseError(design.problem)
        return case

    @cached_property
    def _known(self) -> Mapping[str, Any]:
        return known_values(self.base.tables, self.base.echo)

    def _derived(self, number: int, inputs: dict[str, Any]) -> Design:
        made = dict(inputs)
        for key, expression in self.derived.items():
            known = {name: self._value(name, made) for name in expression.names}
            try:
                made[key] = expression.value(known)
            except CaseError as error:
                return Design(number, made, f"{key}: {error}")
        return Design(number, made)

    def _value(self, name: str, inputs: Mapping[str, Any]) -> Any:
        """Return what a design says of a key, in whichever unit, else what the base case says."""
        given = value_in(name, inputs)
        return value_in(name, self._known) if given is None else given


def vary(base: Case | Container, keys: Mapping[str, Sequence[Any]], *, title: str = "") -> Study:
    """Return the study of every combination of values of some keys, such as {"shape.gauge_mm": [0.24, 0.26]}.

    Raises CaseError for a list without values.
    """
    for key, values in keys.items():
        if not len(values):
            raise CaseError(f"{key}: has no values; allowed: at least one")
    plain = input_from_dict(without_expectations(base.tables))  # what it expects says nothing of its variants
    return Study(title or base.title, plain, tuple(Block((key,), [(each,) for each in keys[key]]) for key in keys))


def _plain(value: Any) -> Any:
    """Return numbers of numpy as Python's, which JSON and the case reader know."""
    return value.item() if hasattr(value, "item") else value
