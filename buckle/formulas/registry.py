"""Every hand calculation by name."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from buckle.formulas import (
    burst,
    cap,
    capacity,
    cylinder,
    cylinder_capacity,
    cylinder_forms,
    edge,
    edge_junction,
    head_asme,
    head_asme_knuckle,
    head_en,
    head_membrane,
    head_plastic,
    imperfect,
    plate,
    plate_annular,
    plate_membrane,
    sphere,
    stand,
    tube,
)
from buckle.formulas.base import Rule

_HEADS = (head_membrane, head_plastic, head_en, head_asme, head_asme_knuckle)
_BODIES = (
    sphere,
    imperfect,
    burst,
    cap,
    capacity,
    cylinder,
    cylinder_forms,
    cylinder_capacity,
    *_HEADS,
    plate,
    plate_annular,
    plate_membrane,
    tube,
    stand,
    edge,
    edge_junction,
)
_RULES = [rule for body in _BODIES for rule in vars(body).values() if isinstance(rule, Rule)]

FORMULAS: Mapping[str, Rule[Any]] = MappingProxyType({rule.statement.name: rule for rule in _RULES})
"""Name such as 'sphere.classical_pressure' -> rule; call it, or read its `statement`, `about` and `arguments`."""

assert len(FORMULAS) == len(_RULES)
