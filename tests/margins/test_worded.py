"""What a person reads of a judgement, word by word: a changed word or bound is noticed here, without any analysis."""

import math
from dataclasses import replace

import pytest

from buckle.case import Case
from buckle.margins.cautions import cautions, necking_strain
from buckle.margins.judge import judge
from buckle.margins.verdict import Word, word_of_parts
from buckle.margins.wording import event_words, said, sentence
from buckle.marked import plain
from buckle.results import BIFURCATION, Growth, Outcome
from tests.margins.test_judge import LIMIT, ONSET, base, governing, outcome, required


def worded(case: Case, *outcomes: Outcome) -> str:
    return plain(sentence(said(judge(case, outcomes))))


def test_a_met_requirement_in_one_sentence() -> None:
    limit = "dome reversal at 7.2 bar (limit point, GMNA); demand 6.2 bar; reserve factor 1.161"
    onset = "onset of waves in the dome at 6.6 bar (bifurcation, n = 17, GMNA); demand 6.2 bar; reserve factor 1.065"
    waves = "waves n = 0 to 40 examined."
    assert worded(required(6.2), outcome()) == f"MET. Governing: {limit}; {waves}"
    assert worded(required(6.2), outcome(bifurcation=ONSET)) == f"MET. Governing: {onset}; {waves}"


def test_an_event_with_and_without_waves() -> None:
    assert event_words(BIFURCATION, 17) == "bifurcation, n = 17"
    assert event_words("limit point", None) == "limit point"


@pytest.mark.parametrize(
    ("kind", "bar", "reason"),
    [
        ("GMNA", 6.2, ""),
        ("GNA", 6.2, ""),
        ("MNA", 6.2, "no capacity of a thin body: displacements stiffen or weaken it"),
    ],
)
def test_what_is_said_of_each_analysis(kind: str, bar: float, reason: str) -> None:
    margins = judge(required(bar), [outcome(kind), outcome()]).margins
    assert next(plain(each.reason) for each in margins if each.method == kind) == reason


def test_a_mechanism_below_the_demand_says_so() -> None:
    low = replace(LIMIT, load=0.5)
    (said_of_it,) = [each.reason for each in judge(required(6.2), [outcome("MNA", limit=low)]).margins]
    assert "it lies below the demand" in said_of_it


@pytest.mark.parametrize(("error", "count"), [(6.05, 0), (6.07, 1)])
def test_a_reserve_within_its_error_is_a_doubt(error: float, count: int) -> None:
    """0.66 / 0.62 is above one by 6.06 % of itself."""
    sure = replace(ONSET, error_percent=error)
    case = required(6.2)
    judgement = judge(case, [outcome(bifurcation=sure)])
    assert governing(judgement).reserve == pytest.approx(0.66 / 0.62)
    texts = [each for each in judgement.doubts if "no larger than what its number is estimated to be off by" in each]
    assert len(texts) == count


@pytest.mark.parametrize(
    ("face", "middle", "words"),
    [
        (None, None, []),
        (0.04, 0.01, []),
        (0.05, 0.01, ["0.05 at a face, 0.01 in mid-wall; the hardening curve is known up to 0.04"]),
        (0.05, 0.0, ["0.05 at a face, 0 in mid-wall; the hardening curve is known up to 0.04"]),  # a bend alone
    ],
)
def test_strain_beyond_what_the_curve_is_known_for(face: float | None, middle: float | None, words: list[str]) -> None:
    material = {**base().tables["material"], "uniform_strain": 0.04}
    case = base(material=material, requirements={"pressure_bar": 6.2})
    made = outcome(growth=(Growth(0.62, 1.0, face_strain=face, middle_strain=middle),))
    found = [plain(each) for each in cautions(case, made)]
    assert [part in text for part, text in zip(words, found, strict=True)] == [True] * len(words)


@pytest.mark.parametrize(
    ("hardening", "strain"),
    [
        ({"law": "swift", "offset": 0.01, "exponent": 0.2}, 0.2 - 0.01),  # n / (offset + strain) = 1
        ({"law": "voce", "increment_MPa": 37.0, "rate": 40.0}, math.log(37.0 * 41.0 / (258.0 + 37.0)) / 40.0),
        ({"law": "none"}, 0.0),
    ],
)
def test_metal_in_tension_necks_where_its_slope_has_come_down_to_its_stress(hardening: dict, strain: float) -> None:
    """Derived here: of a Voce law Q b exp(-b e) = sigma_y + Q (1 - exp(-b e))."""
    law = base(material={**base().tables["material"], "hardening": hardening}).material.hardening
    assert law is not None
    assert necking_strain(law) == pytest.approx(strain, rel=1e-9, abs=1e-12)


@pytest.mark.parametrize(
    ("words", "word"),
    [
        ((Word.MET, Word.NO_VERDICT, Word.NOT_MET, Word.DOUBT), Word.NOT_MET),
        ((Word.MET, Word.NO_VERDICT, Word.DOUBT), Word.NO_VERDICT),
        ((Word.MET, Word.DOUBT), Word.DOUBT),
        ((Word.MET, Word.MET), Word.MET),
        ((), Word.NO_VERDICT),
    ],
)
def test_the_word_on_a_whole_is_that_of_its_worst_part(words: tuple[Word, ...], word: Word) -> None:
    assert word_of_parts(words) is word
