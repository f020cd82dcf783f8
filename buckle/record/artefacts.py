"""Names of the files that a run leaves and a review looks for."""

RECORD = "results.json"
SHEET = "margin-sheet"
PICTURES = (
    "section",
    "material",
    "demand",
    "capacity",
    "paths",
    "deformed",
    "magnified",
    "stresses",
    "plastic-strain",
    "critical-pressures",
    "modes",
    "mode",
)
"""Pictures that stand on a margin sheet, in their order."""
DRAWING = "container"
"""The drawing of a container whole."""
