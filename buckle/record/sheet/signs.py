"""Which way is positive: what a reader must know before a number of a margin sheet has a meaning."""

from collections.abc import Iterator

from buckle.record.quantities import Fields
from buckle.shapes import described


def signs(inputs: dict[str, Fields]) -> Iterator[str]:
    """Yield the conventions that hold for a body, from its inputs by key."""
    family = described(_value(inputs, "shape.family"))
    yield f"Lengths are those of the middle surface, angles from the axis; r from the axis outward, {family.axes}."
    side = _value(inputs, "loads.pressure_side") or "side that the case names"
    yield f"Pressure is gauge, above that of the other side, and positive on the {side} of the wall."
    yield "Stresses and forces are positive in tension, an axial force at the edge among them: compression is negative."
    yield "Inside, middle and outside of the wall are those of the container."
    yield f"{family.growth_sign}. n counts full waves around."


def _value(inputs: dict[str, Fields], key: str) -> str:
    return str(inputs.get(key, {}).get("value", ""))
