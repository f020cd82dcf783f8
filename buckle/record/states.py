"""Which states of an analysis have a shape of a size."""

from collections.abc import Mapping

from buckle.results import MidSurface, Outcome

UNLOADED, SERVICE, REQUIRED = "unloaded", "service", "required"
ONSET, LIMIT, BEYOND = "bifurcation", "limit point", "beyond the limit"
"""Names of the sections that an analysis keeps."""


def deformed_states(outcome: Outcome) -> Mapping[str, MidSurface]:
    """Return the sections of a geometrically nonlinear analysis (G... of EN 1993-1-6) by name, the unloaded one first.

    Small-displacement theory gives a collapse mechanism a shape but no size: of such an analysis, nothing.
    """
    return {section.name: section for section in outcome.sections} if outcome.kind.startswith("G") else {}
