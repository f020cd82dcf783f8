"""What an expectation may be about: the quantities of results.json that are one number or one word."""

from typing import Any

from buckle.increasing import PRESSURE, PUSH, Increasing

LOADS = (
    "first_yield",
    "critical",
    "limit",
    "highest_limit",
    "bifurcation",
    "deformation_theory_bifurcation",
    "governing",
    "capacity",
    "at_least",
)
"""Sizes of the load that increases, each written with what that is and its unit."""
NUMBERS_OF_ANALYSIS = (
    *(f"{load}_{increasing.key}" for increasing in (PRESSURE, PUSH) for load in LOADS),
    "wave_number",
    "bifurcation_wave_number",
    "deformation_theory_bifurcation_wave_number",
    "numerical_error_percent",
)
WORDS_OF_ANALYSIS = ("status", "reason", "remedy", "governing_event", "capacity_event", "bifurcation_at")
NUMBERS = (
    "reserve_factor",
    "required_pressure_bar",
    "required_axial_force_N",
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


def of_load(names: tuple[str, ...], increasing: Increasing) -> tuple[str, ...]:
    """Return the names but for sizes of a load that does not increase."""
    other = PUSH if increasing.is_pressure else PRESSURE
    others = {f"{load}_{other.key}" for load in (*LOADS, "required")}
    return tuple(name for name in names if name not in others)


def wrong_kind(name: str, value: Any) -> str:
    """Return what a quantity is, 'a number' or 'a word', if no value of an expectation is such; else ''."""
    values = value if isinstance(value, tuple) else (value,)
    if is_number(name) == all(isinstance(each, int | float) and not isinstance(each, bool) for each in values):
        return ""
    return "a number" if is_number(name) else "a word"
