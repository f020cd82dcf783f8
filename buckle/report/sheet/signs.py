"""Which way is positive: what a reader must know before a number of a margin sheet has a meaning."""

from collections.abc import Iterator

from buckle.record.quantities import Fields

_AXES = {
    "domed_base": "z along it into the container, nought at the lowest point of the stand's middle surface",
    "recessed_end": "z along it out of the container, nought at the middle surface of the panel",
}
_GROWTH = {
    "domed_base": "Dome growth is positive out of the container, stand drop where the container gets higher",
    "recessed_end": "Bulge of the panel is positive out of the container",
}


def signs(inputs: dict[str, Fields]) -> Iterator[str]:
    """Yield the conventions that hold for a body, from its inputs by key."""
    family = _value(inputs, "shape.family")
    axes = _AXES.get(family, "z along it; the meridian is walked from the axis or the inner edge outward")
    yield f"Lengths are those of the middle surface, angles from the axis; r from the axis outward, {axes}."
    side = _value(inputs, "loads.pressure_side") or "side that the case names"
    yield f"Pressure is gauge, above that of the other side, and positive on the {side} of the wall."
    yield "Stresses and forces are positive in tension, an axial force at the edge among them: compression is negative."
    yield "Inside, middle and outside of the wall are those of the container."
    growth = _GROWTH.get(family, "Travel is positive with the pressure")
    yield f"{growth}. n counts full waves around."


def _value(inputs: dict[str, Fields], key: str) -> str:
    return str(inputs.get(key, {}).get("value", ""))
