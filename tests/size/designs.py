"""Designs whose reserves are a function written down in a test, in the place of analyses."""

from types import SimpleNamespace

import numpy as np

from buckle.errors import CaseError
from buckle.store import Result, RowStatus


class Given:
    """What `Designs` is to a search: `of` maps values to {requirement: reserve}, a CaseError or a reason to fail."""

    def __init__(self, of, onset=None):
        self.of, self.count = of, 0
        self.base = SimpleNamespace(requirements=SimpleNamespace(onset=onset))

    def case(self, inputs):
        found = self.of(*inputs.values())
        if isinstance(found, CaseError):
            raise found

    def results(self, inputs, *, sure=False):
        return [self.result(each) for each in inputs]

    def result(self, inputs):
        self.count += 1
        found = self.of(*inputs.values())
        if isinstance(found, CaseError):
            return Result("", RowStatus.NOT_BUILT, str(found))
        if isinstance(found, str):
            return Result("", RowStatus.FAILED, found)
        quantities = {f"reserve.{name}": value for name, value in found.items()} | {
            f"demand.{name}": 1.0 for name in found
        }
        return Result("", RowStatus.SOLVED, "", quantities)


class Bodies:
    """What `Designs` is to a sizing: functions of {key: value} for the reserves and for the mass of a body."""

    def __init__(self, reserves, mass, tolerances=(), growth=None):
        self.reserves, self.mass, self.count = reserves, mass, 0
        self.base = SimpleNamespace(
            path="case.toml",
            requirements=SimpleNamespace(onset=None, growth=growth),
            numerics=SimpleNamespace(mesh_density=1.0, step=1.0),
            tolerances=tuple(tolerances),
            correlation=np.eye(len(tolerances)),
        )

    def case(self, inputs):
        found = self.reserves(inputs)
        if isinstance(found, CaseError):
            raise found
        meridian = SimpleNamespace(mass=lambda density: self.mass(inputs))
        return SimpleNamespace(meridian=meridian, material=SimpleNamespace(density=1.0))

    def results(self, inputs, *, sure=False):
        return [self.result(each) for each in inputs]

    def slopes(self, inputs, keys):
        return Result("", RowStatus.FAILED, "no derivatives")

    def result(self, inputs):
        self.count += 1
        return Given(lambda *_: self.reserves(inputs)).result(inputs)
