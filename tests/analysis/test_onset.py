"""Onsets of waves by both theories, and what a range of wave numbers leaves out."""

import pytest

from buckle.analysis import run
from buckle.case import Case, case_from_dict
from buckle.margins import Word
from buckle.margins.judge import judge


def head(waves: list[int], **requirements: object) -> Case:
    """A torispherical head under inside pressure: waves n = 21 begin at 29 bar by deformation theory, none by flow."""
    return case_from_dict(
        {
            "material": {
                "youngs_modulus_GPa": 205.0,
                "poissons_ratio": 0.3,
                "yield_stress_MPa": 443.0,
                "hardening": {"law": "voce", "increment_MPa": 53.0, "rate": 24.0},
            },
            "shape": {
                "family": "torispherical_head",
                "diameter_mm": 61.3,
                "crown_radius_mm": 65.4,
                "knuckle_radius_mm": 6.32,
                "cylinder_length_mm": 25.0,
                "thickness_mm": 0.258,
            },
            "supports": {"outer_edge": "clamped"},
            "loads": {"pressure_side": "inside"},
            "analyses": {"run": ["GMNA"], "wave_numbers": waves},
            "requirements": {"pressure_bar": 40.0, **requirements},
        }
    )


@pytest.mark.slow
@pytest.mark.parametrize(
    ("waves", "more", "word"),
    [
        ([0, 3], {}, Word.DOUBT),
        ([0, 3], {"pressure_bar": 20.0}, Word.MET),  # below 29 bar none has begun
        ([0, 3], {"onset": "flow"}, Word.MET),
        ([0, 3], {"onset": "deformation"}, Word.NO_VERDICT),
    ],
)
def test_a_range_that_leaves_the_lower_bracket_out_takes_no_doubt_away(
    waves: list[int], more: dict[str, object], word: Word
) -> None:
    """A narrow range was "met" where the usual one is met with doubt; the case's own word on the onset counts."""
    case = head(waves, **more)
    found = run(case, "GMNA", estimate_error=False, pictures=False)
    assert judge(case, [found], {}).word is word
    left_out = any("by deformation theory" in note and "widen" in note for note in found.notes)
    assert left_out == (word in (Word.DOUBT, Word.NO_VERDICT))
