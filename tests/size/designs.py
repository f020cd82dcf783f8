"""Designs whose reserves are a function written down in a test, in the place of analyses."""

from types import SimpleNamespace

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
