"""Every hand calculation by name: all rules of all modules beside this one, so that a new file is found by itself."""

from collections.abc import Iterator, Mapping
from importlib import import_module
from pkgutil import walk_packages
from types import MappingProxyType
from typing import Any

from buckle.formulas.base import Rule

PACKAGE = "buckle.formulas"


def _rules() -> Iterator[Rule[Any]]:
    """Yield the rules in the order of their modules' names, each where it is defined and not where it is imported."""
    for found in walk_packages(import_module(PACKAGE).__path__, f"{PACKAGE}."):
        if found.name != __name__:
            rules = (each for each in vars(import_module(found.name)).values() if isinstance(each, Rule))
            yield from (rule for rule in rules if rule.work.__module__ == found.name)


def _by_name() -> Mapping[str, Rule[Any]]:
    """Return the rules by name, those of a body together."""
    rules = sorted(_rules(), key=lambda rule: rule.statement.body)
    by_name = {rule.statement.name: rule for rule in rules}
    assert len(by_name) == len(rules), "two formulas have the same name"
    return MappingProxyType(by_name)


FORMULAS = _by_name()
"""Name such as 'sphere.classical_pressure' -> rule; call it, or read its `statement`, `about` and `arguments`."""
