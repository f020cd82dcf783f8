"""What tells a study, and each of its cases, from every other in a store: the case, the code and what else decides."""

import hashlib
import json
from dataclasses import dataclass
from functools import cached_property

from buckle.batch.code import code_sha256
from buckle.case import Case
from buckle.container.container import Container
from buckle.record.quantities import versions
from buckle.store import About
from buckle.study.study import Design, Study


@dataclass(frozen=True, eq=False)
class Identity:
    """A study with its digest and the keys under which a store keeps the results of its cases."""

    study: Study

    @cached_property
    def settings(self) -> str:
        """Return what beside the case decides the numbers; part of every key."""
        settings = {"versions": versions(), "code": code_sha256(), "estimate_error": self.study.estimate_error}
        return json.dumps(settings, sort_keys=True)

    @cached_property
    def digest(self) -> str:
        """Return what tells this study from every other: SHA-256 of base case, settings, and every design."""
        digest = hashlib.sha256(f"{self.study.base.input_hash} {self.settings}".encode())
        for design in self.study.designs():
            digest.update(json.dumps(dict(design.inputs)).encode())
        return digest.hexdigest()

    @property
    def about(self) -> About:
        """Return what the store notes of the study."""
        study = self.study
        return About(self.digest, study.title, study.varied, study.keep, study.count, study.random)

    def key(self, case: Case | Container) -> str:
        """Return the key under which the results of a case are kept."""
        return hashlib.sha256(f"{case.input_hash} {self.settings}".encode()).hexdigest()

    def key_without_case(self, design: Design) -> str:
        """Return the key of a design that cannot be built."""
        text = json.dumps([self.study.base.input_hash, self.settings, dict(design.inputs)], sort_keys=True)
        return f"not-built-{hashlib.sha256(text.encode()).hexdigest()}"
