"""What is known of every body of a family before any of its dimensions: how it is made, spoken of and looked at.

All code above asks these fields, never a family's name, so that a new family is one file here and one entry.
"""

from collections.abc import Callable
from dataclasses import dataclass

from buckle.meridian import Meridian


@dataclass(frozen=True)
class Family:
    """A family of bodies; what is left out is what holds for any meridian."""

    make: Callable[..., Meridian]  # keyword dimensions, which are the keys of its [shape] table, to a meridian

    # Words
    axes: str = "z along it; the meridian is walked from the axis or the inner edge outward"
    growth: str = ""  # the travel of its apex, where that has a name of its own
    growth_sign: str = "Travel is positive with the pressure"
    collapse: str = "collapse"  # the limit state of a limit point
    crush: str = (
        "axial crush"  # the limit state of a collapse, or of waves, outside its wall as it is pressed along its axis
    )
    growth_limit: str = "movement up to its ceiling"  # the limit state of a ceiling on growth

    # Parts, by the names its own function gives them
    dome: str = ""  # the piece that is part of a sphere, and that formulas of spheres and caps are about
    dome_held_by: str = ""  # what holds the dome, in words; "" of one that ends at the body's edge
    stand: str = ""  # how the names of the pieces begin that it stands on
    stub_from: str = ""  # the point from which it carries along a piece of its neighbour, as a base of the wall
    stub_to: str = ""  # the point up to which it carries along a piece of its neighbour below, as a neck of the wall
    panel: str = ""  # the point where a panel at its centre ends that other pieces hold
    ellipse: str = ""  # the outline of a head, in words, that formulas take for a torisphere

    # Ways to look at it
    from_below: bool = False  # its outside lies below it
    on_dome_curve: bool = False  # whether it stands beside the capacity curve of clamped spherical domes
    any_body: bool = False  # whether a body of any other family may be written as one of this

    @property
    def name(self) -> str:
        """The word for it in a case file: its function's name."""
        return self.make.__name__
