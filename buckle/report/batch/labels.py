"""What a column of a batch is called beside an axis and in a sentence."""

from buckle.units import UNITS

PLAIN_UNITS = ("g", "mm2", "in2", "percent")
"""Units of results that no key of a case file has."""


def label(name: str) -> str:
    """Return a column as an axis tells it: 'shape.gauge_mm' is 'gauge  [mm]'."""
    words = name.removeprefix("shape.").removeprefix("material.").replace(".", " ")
    suffixes = {*PLAIN_UNITS, *[suffix for units in UNITS.values() for suffix in units]}
    stem, _, suffix = words.rpartition("_")
    named = f"{stem}  [{suffix}]" if suffix in suffixes and stem else words
    return named.replace("_", " ")


def bare_label(name: str) -> str:
    """Return a column as a sentence tells it, without its unit."""
    return label(name).partition("  [")[0]
