"""What the requirements of a case, and the quantities of a design that was asked for its reserves, are called."""

CAPACITY = "axisymmetric_capacity"
"""Of the limit states that the highest load before a stop may be: which one it is, `governing_limit_state` tells."""
ONSET, LOWER = "onset_of_waves", "onset_of_waves_by_deformation_theory"
RESERVE, DEMAND, AT_LEAST = "reserve.", "demand.", "at_least."
"""What the names of quantities begin with that hold a requirement's reserve, the load [bar or N] that it must not be
met below, and whether the reserve is a lower bound."""
SLOPE = "slope."
"""Begins the name, '<requirement> <key>' behind it, of the derivative of a reserve by a key."""
