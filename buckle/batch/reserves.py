"""What the requirements of a case, and the quantities of a design that was asked for its reserves, are called.

Those of a container stand behind the part, and its state, that they are asked of: `wall.pallet.onset_of_waves`.
"""

CAPACITY = "axisymmetric_capacity"
"""Of the limit states that the highest load before a stop may be: which one it is, `governing_limit_state` tells."""
ONSET, LOWER = "onset_of_waves", "onset_of_waves_by_deformation_theory"
WAVES = "collapse_with_waves"
"""Of a body that deviates in waves; asked beside the capacity and the onset of the perfect one."""
RESERVE, DEMAND, AT_LEAST = "reserve.", "demand.", "at_least."
"""What the names of quantities begin with that hold a requirement's reserve, the load [bar or N] that it must not be
met below, and whether the reserve is a lower bound."""
SLOPE = "slope."
"""Begins the name, '<requirement> <key>' behind it, of the derivative of a reserve by a key."""
DECIDES = "decides."
"""Begins the name of what says that an onset by deformation theory decides, whatever does in other parts."""


def of_part(part: str, name: str) -> str:
    """Return what a requirement of a part is called; of a case, which is no part, it is called as it is."""
    return f"{part}.{name}" if part else name


def part_of(name: str) -> str:
    """Return the part, and its state, that a requirement is asked of; '' for a case."""
    return name.rpartition(".")[0]


def alone(name: str) -> str:
    """Return what a requirement is called without its part."""
    return name.rpartition(".")[2]


def capacity_of(name: str) -> str:
    """Return the capacity of the part that a requirement is asked of."""
    return of_part(part_of(name), CAPACITY)


def in_words(name: str) -> str:
    """Return a requirement in words: `wall, pallet: onset of waves`."""
    part = part_of(name).replace(".", ", ").replace("_", " ")
    return f"{part}: {alone(name).replace('_', ' ')}" if part else name.replace("_", " ")
