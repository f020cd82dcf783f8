"""What an expectation may be about: the quantities of results.json that are one number or one word."""

from typing import Any

NUMBERS_OF_ANALYSIS = (
    "first_yield_pressure_bar",
    "critical_pressure_bar",
    "wave_number",
    "limit_pressure_bar",
    "highest_limit_pressure_bar",
    "bifurcation_pressure_bar",
    "bifurcation_wave_number",
    "deformation_theory_bifurcation_pressure_bar",
    "deformation_theory_bifurcation_wave_number",
    "governing_pressure_bar",
    "capacity_pressure_bar",
    "at_least_pressure_bar",
    "numerical_error_percent",
)
WORDS_OF_ANALYSIS = ("status", "reason", "remedy", "governing_event", "capacity_event", "bifurcation_at")
NUMBERS = (
    "reserve_factor",
    "required_pressure_bar",
    "demand_bar",
    "demand_vacuum_bar",
    "holds_to_temperature_degC",
    "permanent_growth_mm",
    "mass_g",
    "enclosed_volume_ml",
    "surface_area_mm2",
    "blank_diameter_mm",
)
WORDS = ("verdict", "governing_limit_state", "decided_by", "demand_in_words")
OF_ANALYSIS = (*NUMBERS_OF_ANALYSIS, *WORDS_OF_ANALYSIS)
"""Written behind their analysis and a point, such as GNA.limit_pressure_bar."""
OF_CASE = (*NUMBERS, *WORDS)


def is_number(name: str) -> bool:
    """Tell whether a quantity, its analysis left out, is a number."""
    return name in (*NUMBERS_OF_ANALYSIS, *NUMBERS)


def wrong_kind(name: str, value: Any) -> str:
    """Return what a quantity is, 'a number' or 'a word', if no value of an expectation is such; else ''."""
    values = value if isinstance(value, tuple) else (value,)
    if is_number(name) == all(isinstance(each, int | float) and not isinstance(each, bool) for each in values):
        return ""
    return "a number" if is_number(name) else "a word"
