"""A mutant put into the running package, for good: done in a process that ends after its tests."""

import sys
from functools import cached_property
from importlib import import_module
from types import FunctionType

from tests.mutation.mutants import Mutant


def applicable(mutant: Mutant) -> bool:
    """Whether it can be put in: not into a function that another stands before, or that holds variables of another."""
    found = _found(mutant)
    if not isinstance(found, FunctionType):
        return "." not in mutant.function and mutant.function.isupper()
    return found.__code__.co_freevars == ()


def apply(mutant: Mutant) -> None:
    """Change the code of a function where it is, so that whoever imported it has the change; a constant everywhere."""
    found = _found(mutant)
    if isinstance(found, FunctionType):
        scope: dict[str, object] = dict(found.__globals__)
        exec(compile(mutant.source, mutant.module, "exec"), scope)
        changed = scope[mutant.function.rpartition(".")[2]]
        assert isinstance(changed, FunctionType)
        found.__code__ = changed.__code__
        return
    value = eval(mutant.source)
    for name, module in list(sys.modules.items()):
        if name.startswith("buckle") and getattr(module, mutant.function, None) == found:
            setattr(module, mutant.function, value)


def _found(mutant: Mutant) -> object:
    found: object = import_module(mutant.module)
    for name in mutant.function.split("."):
        found = vars(found)[name]
    if isinstance(found, property):
        return found.fget
    if isinstance(found, cached_property):
        return found.func
    if isinstance(found, staticmethod | classmethod):
        return found.__func__
    return found
