"""A study: a base case, blocks of values for some of its keys, and the designs that all of them together make."""

import hashlib
import json
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from buckle.batch.code import code_sha256
from buckle.batch.values import base_values, value_in
from buckle.case import Case, case_from_dict, replace_keys
from buckle.errors import CaseError
from buckle.record.quantities import versions
from buckle.store import About, Expression

LARGEST = 1_000_000
"""Most designs of a study; more is taken for a slip."""


@dataclass(frozen=True)
class Block:
    """Keys that change together: every row holds one value for each key."""

    keys: tuple[str, ...]
    rows: Sequence[Sequence[Any]]
    kind: str = "values"  # "values", "fill" (bounds filled evenly) or "tolerance" (drawn at random)


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
    base: Case
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

    @cached_property
    def settings(self) -> str:
        """Return what beside the case decides the numbers; part of every key."""
        told = {"versions": versions(), "code": code_sha256(), "estimate_error": self.estimate_error}
        return json.dumps(told, sort_keys=True)

    @property
    def about(self) -> About:
        """Return what the store notes of a study."""
        random = all(block.kind == "tolerance" or len(block.rows) == 1 for block in self.blocks)
        return About(self.digest, self.title, self.varied, self.keep, self.count, random and self.count > 1)

    @cached_property
    def digest(self) -> str:
        """Return what tells this study from every other: SHA-256 of base case, settings, and every design."""
        told = hashlib.sha256(f"{self.base.input_hash} {self.settings}".encode())
        for design in self.designs():
            told.update(json.dumps(dict(design.inputs)).encode())
        return told.hexdigest()

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

    def case(self, design: Design) -> Case:
        """Return the validated case of a design; raises CaseError if it cannot be built."""
        case = case_from_dict(replace_keys(self.base.tables, design.inputs), f"design {design.number}")
        if design.problem:
            raise CaseError(design.problem)
        return case

    def key(self, case: Case) -> str:
        """Return the key under which the results of a case are kept."""
        return hashlib.sha256(f"{case.input_hash} {self.settings}".encode()).hexdigest()

    def key_without_case(self, design: Design) -> str:
        """Return the key of a design that cannot be built."""
        told = json.dumps([self.base.input_hash, self.settings, dict(design.inputs)], sort_keys=True)
        return f"not-built-{hashlib.sha256(told.encode()).hexdigest()}"

    @cached_property
    def _known(self) -> Mapping[str, Any]:
        return base_values(self.base)

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


def vary(base: Case, keys: Mapping[str, Sequence[Any]], *, title: str = "") -> Study:
    """Return the study of every combination of values of some keys, such as {"shape.gauge_mm": [0.24, 0.26]}.

    Raises CaseError for a list without values.
    """
    for key, values in keys.items():
        if not len(values):
            raise CaseError(f"{key}: has no values; allowed: at least one")
    tables = {name: table for name, table in base.tables.items() if name != "expect"}
    plain = case_from_dict(tables)  # what the base case expects says nothing of its variants
    return Study(title or base.title, plain, tuple(Block((key,), [(each,) for each in keys[key]]) for key in keys))


def _plain(value: Any) -> Any:
    """Return numbers of numpy as Python's, which JSON and the case reader know."""
    return value.item() if hasattr(value, "item") else value
