"""What a sheet says, word by word, of rows made up by hand: a changed word, kind or key is noticed without any run."""

from pathlib import Path
from typing import Any

import pytest

from buckle.record.quantities import Record
from buckle.record.sheet.container import container_sheet
from buckle.record.sheet.content import Moving, sheet_of
from buckle.record.sheet.values import load_words, percent, quantity_value, value_text
from buckle.report.sheet.pictures import pictures
from buckle.units import RECORDED, Units
from tests.report.sheet.test_sheet import RECORD, SHEET, recorded

PLASTIC = "GMNA bifurcation, n = 3 at 2 bar; GMNA limit point at 2.5 bar; GMNA bifurcation, n = 4 at 1.9 bar"
ELASTIC = "GNA bifurcation, n = 3 at 3 bar; GNA limit point at 3.75 bar"
WAVES = (
    "GMNA bifurcation, n = 3 at 2 bar; GMNA bifurcation, n = 4 at 1.9 bar; GNA bifurcation, n = 3 at 3 bar;"
    " LBA bifurcation, n = 2 at 3.75 bar"
)
SAID = {
    "section": (
        "inputs",
        "Half section from the axis outward, with the true thickness. family spherical_cap, radius_mm 50, height_mm 8,"
        " thickness_mm 0.3, thickness_at_mm 0, 0.3; 20, 0.2.",
    ),
    "material": ("inputs", "The curve starts at the yield stress 250 MPa and follows the hardening law = none."),
    "demand": ("contents", ""),
    "capacity": ("ladder", "The body lies at relative slenderness 0.894 and 0.667 of its plastic reference."),
    "paths": ("pictures", f"Events on the paths: {PLASTIC}; {ELASTIC}; MNA limit point at 3 bar."),
    "deformed": (
        "pictures",
        "Sections before loading, at the demanded pressures, at each event and beyond it. Events:"
        f" {PLASTIC}; {ELASTIC}.",
    ),
    "magnified": (
        "pictures",
        "Unloaded section and the section at each demanded pressure, or at the first event where the path reached none,"
        " with displacements enlarged; pressure, largest travel and factor stand above each.",
    ),
    "stresses": (
        "pictures",
        "Meridional, circumferential and von Mises stress at the inside, the middle and the outside of the wall. First"
        " yield at 1.25 bar.",
    ),
    "plastic-strain": (
        "pictures",
        "Equivalent plastic strain of the outermost layers, not extrapolated to the faces, and of the middle, at the"
        " governing event: GMNA bifurcation, n = 3 at 2 bar.",
    ),
    "critical-pressures": ("pictures", f"Lowest points: {WAVES}. All values are in by_wave_number.csv."),
    "modes": ("pictures", f"Modes in section through a crest and a trough: {WAVES}."),
    "mode": (
        "pictures",
        "The waves of the critical mode around the body, shaded by light from above; the head says which mode it is.",
    ),
}


def inputs(*rows: dict[str, Any], without: tuple[str, ...] = ()) -> list[dict[str, Any]]:
    """The inputs of the made record with other rows, or without some."""
    keys = {*without, *(row["key"] for row in rows)}
    return [*(row for row in RECORD["inputs"] if row["key"] not in keys), *rows]


def given(key: str, value: object, **more: object) -> dict[str, object]:
    return {"key": key, "value": value, "origin": "file"} | more


def test_every_picture_is_put_in_words(tmp_path: Path) -> None:
    for name in SAID:
        (tmp_path / f"{name}.svg").touch()
    sheet = sheet_of(recorded(), "")
    found = {each.name: (each.section, RECORDED.words(each.words)) for each in pictures(sheet, tmp_path)}
    assert found == SAID


def test_pictures_without_what_they_tell(tmp_path: Path) -> None:
    """No analysis with an event, no metal that yields: said, and nothing made up."""
    table = given("material.hardening", {"law": "table"})
    bare = sheet_of({**RECORD, "margins": [], "inputs": [table]}, "")
    for name in ("paths", "modes", "critical-pressures", "stresses", "material", "section"):
        (tmp_path / f"{name}.svg").touch()
    words = {each.name: each.words for each in pictures(bare, tmp_path)}
    assert words["paths"] == "Events on the paths: none."
    assert words["modes"] == "Modes in section through a crest and a trough: none."
    assert words["critical-pressures"] == "Lowest points: none. All values are in by_wave_number.csv."
    assert words["stresses"].endswith("the outside of the wall.")
    assert (
        words["material"] == "The curve starts at the stress of its first point and follows the hardening law = table."
    )


# Assumptions ----------------------------------------------------------------------------------------------------------

PERFECT = "The shape is perfect: no dents, no ovality, no thinning but what the thickness says. Not conservative."
COLD = "Metal at room temperature; static pressure. Warm metal is weaker: not conservative above it."
EDGE = "The outer edge is clamped; the real neighbour gives. Can err to either side."
DEAD = "The pressure keeps its direction when the wall turns. Can err to either side."


def test_the_assumptions_in_full() -> None:
    assert sheet_of(recorded(), "").limits == (
        PERFECT,
        "Axisymmetric shell of one isotropic metal; tab, score, rivet and lettering are not there. Not conservative.",
        "Yield stress 250 MPa (file) and the curve above it are assumed, not measured.",
        EDGE,
        "Pressure acts on the middle surface, which moves results by the order of t/R.",
        COLD,
        "No contact with a table, no impact, no stresses left from forming. Can err to either side.",
    )


@pytest.mark.parametrize(
    ("changed", "gone", "new"),
    [
        ({"GNIA.status": "solved"}, [PERFECT], []),
        ({"GMNIA.status": "solved"}, [PERFECT], []),
        ({"inputs": inputs(without=("supports.outer_edge",))}, [EDGE], []),
        (
            {"inputs": inputs(given("supports.start_edge", "roller"))},
            [],
            ["The start edge is roller; the real neighbour gives. Can err to either side."],
        ),
        ({"inputs": inputs(given("loads.follower", False))}, [], [DEAD]),
        (
            {"inputs": inputs(given("contents.warm_metal", True))},
            [COLD],
            ["Metal as warm as in the condition that the contents make most pressure in; static pressure."],
        ),
        ({"inputs": inputs(given("contents.warm_metal", False))}, [], []),
        ({"inputs": inputs(without=("material.yield_stress_MPa",))}, [SHEET.limits[2]], []),
        (
            {"inputs": inputs(given("material.yield_stress_MPa", 262.5, origin="grade", source="a data sheet"))},
            [SHEET.limits[2]],
            ["Yield stress 262.5 MPa (grade, a data sheet) and the curve above it are assumed, not measured."],
        ),
    ],
)
def test_the_assumptions_that_the_inputs_decide(changed: dict[str, Any], gone: list[str], new: list[str]) -> None:
    said = sheet_of(RECORD | changed, "").limits
    assert [line for line in SHEET.limits if line not in said] == gone
    assert [line for line in said if line not in SHEET.limits] == new


# Where a demand comes from, what moves --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({}, "requirements.pressure_bar of the case file"),
        (
            {"inputs": inputs(given("requirements.pressure_bar", 2.0, origin="default", source="a drawing"))},
            "requirements.pressure_bar of the case default, a drawing",
        ),
        ({"inputs": inputs(given("requirements.pressure_bar", 1.5))}, "a requirement of the case"),
        (
            {
                "inputs": inputs(
                    given("requirements.pressure_bar", 1.5), given("requirements.service_pressure_bar", 2.0)
                )
            },
            "requirements.service_pressure_bar of the case file",
        ),
        (  # the cap is pressed from outside: what its contents draw, not what they press, may be the demand
            {"inputs": inputs(given("requirements.pressure_bar", 1.5)), "demand_vacuum_bar": 2.0},
            "the contents of the case, which make more than it requires",
        ),
        (
            {"inputs": inputs(given("requirements.pressure_bar", 1.5)), "demand_bar": 2.0},
            "a requirement of the case",
        ),
        (
            {
                "inputs": inputs(given("requirements.pressure_bar", 1.5), given("loads.pressure_side", "inside")),
                "demand_bar": 2.0,
            },
            "the contents of the case, which make more than it requires",
        ),
    ],
)
def test_where_the_demand_comes_from(changed: dict[str, Any], words: str) -> None:
    verdict = sheet_of(RECORD | changed, "").verdict
    assert verdict is not None
    assert verdict.demand_from == words


def test_without_a_demand_none_is_given() -> None:
    rows = [{key: value for key, value in row.items() if key != "demand_bar"} for row in RECORD["margins"]]
    verdict = sheet_of(RECORD | {"margins": rows}, "").verdict
    assert verdict is not None
    assert verdict.demand_from == "no demand is given"


def test_a_force_is_demanded_without_its_sign() -> None:
    """The case gives a compression of 500 N by its size; the margin holds it as it acts."""
    changes = {"capacity_N": -900.0, "demand_N": -500.0}
    rows = [
        {key: value for key, value in row.items() if not key.endswith("_bar")} | (changes if row.get("governs") else {})
        for row in RECORD["margins"]
    ]
    needed = inputs(given("requirements.axial_force_N", 500.0), without=("requirements.pressure_bar",))
    verdict = sheet_of(RECORD | {"margins": rows, "inputs": needed}, "").verdict
    assert verdict is not None
    assert verdict.demand_from == "requirements.axial_force_N of the case file"
    assert (verdict.governing.capacity, verdict.governing.demand, verdict.governing.unit) == (-900.0, -500.0, "N")


def test_a_force_by_hand_stands_beside_the_force_computed() -> None:
    sizes = {"capacity_N": -900.0, "demand_N": -500.0}
    rows = [
        {key: value for key, value in row.items() if not key.endswith("_bar")}
        | sizes
        | ({"capacity_N": -1200.0, "ratio_hand_to_computed": 1200.0 / 900.0} if "beside" in row else {})
        for row in RECORD["margins"][:2]
    ]
    (line,) = sheet_of(RECORD | {"margins": rows}, "").margins
    (hand,) = line.hands
    assert (hand.unit, hand.computed, hand.value, hand.ratio) == ("N", -900.0, -1200.0, 1200.0 / 900.0)


def test_how_far_a_body_moves_under_a_force_and_under_a_pressure() -> None:
    grown: dict[str, Any] = {
        "at": "required",
        "analysis": "GMNA",
        "growth_mm": 0.3,
        "permanent_growth_mm": 0.05,
        "stand_drop_mm": 0.15,
        "face_strain": 0.02,
        "middle_strain": 0.01,
    }
    shown = ("required", "GMNA", 0.3, 0.05, 0.15, 0.02, 0.01)
    rest = {key: value for key, value in RECORD.items() if not key.startswith("growth_at")}
    for key, load, unit in (("pressure_bar", 2.0, "bar"), ("axial_force_N", -500.0, "N")):
        (moving,) = sheet_of({**rest, f"growth_at_{unit}": [grown | {key: load}]}, "").movement
        assert moving == Moving(*shown[:2], load, *shown[2:], unit)
    (moving,) = sheet_of({**rest, "growth_at_bar": [{"pressure_bar": 2.0}]}, "").movement
    assert moving == Moving("", "", 2.0, 0.0, None, None, None, None, "bar")


# Values ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("key", "value", "units", "text"),
    [
        ("GMNA.limit_pressure_bar", 1.2345678, RECORDED, "1.2346"),
        ("GMNA.limit_pressure_bar", 1.0, Units(pressure="psi"), "14.504"),  # 14.5038 psi are a bar
        ("GMNA.wave_number", 17, RECORDED, "17"),
        ("GMNA.wave_number", [17, 18], RECORDED, "17 or 18"),
        ("GMNA.limit_pressure_bar", (1.0, 2.0), Units(pressure="psi"), "14.504 or 29.008"),
        ("GMNA.capacity_event", "limit point", RECORDED, "limit point"),
        ("at_least", True, RECORDED, "True"),
        ("GMNA.limit_pressure_bar", None, RECORDED, "not found"),
    ],
)
def test_a_quantity_as_printed(key: str, value: object, units: Units, text: str) -> None:
    assert quantity_value(key, value, units) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [
        ({"law": "voce", "rate": 40.0}, "law = voce, rate = 40"),
        ([0.0, 0.3], "0, 0.3"),
        ([[0.0, 0.3], [20.0, 0.2]], "0, 0.3; 20, 0.2"),
        (True, "yes"),
        (False, "no"),
        (1.0 / 3.0, "0.3333333333"),
        (17, "17"),
    ],
)
def test_an_input_as_printed(value: object, text: str) -> None:
    assert value_text(value) == text


def test_loads_and_errors_in_words() -> None:
    assert (load_words("bar"), load_words("N")) == ("pressure", "axial force")
    assert [percent(error) for error in (0.25, 0.01, 0.00999, -0.25)] == ["0.25 %", "0.01 %", "< 0.01 %", "-0.25 %"]


def test_the_next_event_is_said_by_how_far_it_lies() -> None:
    verdict = sheet_of(recorded(), "").verdict
    assert verdict is not None
    assert [line for line in verdict.how_sure if "next event" in line] == [
        "The next event of GMNA, collapse, lies 1.250 times as high.",
        "The next event of GMNA, onset of waves, by deformation theory, lies 0.950 times as high.",
    ]


# The suite, the container ---------------------------------------------------------------------------------------------


def test_what_is_said_of_the_suite_where_a_record_does_not_count_it() -> None:
    without = {key: value for key, value in RECORD.items() if key != "benchmarks"}
    assert sheet_of(without, "").benchmarks == "Benchmark suite: not told by the version that made this record."
    nameless = RECORD | {"versions": {}, "benchmarks": {"cases": 3, "expectations": 5, "met": 4}}
    assert sheet_of(nameless, "").benchmarks == (
        "Benchmark suite as it stood at the release (buckle not told), not run for this sheet: 3 cases,"
        " 5 expectations, 4 met."
    )


@pytest.mark.parametrize(
    ("word", "because", "opening"),
    [
        ("met", ["base: met: a note"], "MET."),
        (
            "not met",
            ["base: not met: collapse", "end: not met: peaking", "wall: met with doubt: a doubt"],
            "NOT MET: base, end.",
        ),
        ("no verdict", [], "NO VERDICT."),
    ],
)
def test_a_container_opens_with_its_word_and_the_parts_that_it_is_for(
    word: str, because: list[str], opening: str
) -> None:
    own = {key: value for key, value in RECORD.items() if key not in ("reserve_factor", "margins")}
    assert container_sheet(own | {"verdict": word, "reasons": because}, {}, "").opening == opening


def test_a_container_names_the_part_that_governs() -> None:
    own = RECORD | {"verdict": "met", "governing_part": "base", "governing_limit_state": "collapse"}
    opening = container_sheet(own | {"reserve_factor": 1.25}, {}, "").opening
    assert opening == "MET. Governing: base, collapse; reserve factor 1.250."


def part(bar: float, *, at_least: bool = False) -> Record:
    """The made record, whose deciding analysis carries so much and not less for any other event."""
    made = recorded()
    rows = [row | ({"capacity_bar": 50.0} if row["method"] == "GMNA" else {}) for row in made["margins"]]
    at = next(index for index, row in enumerate(rows) if row.get("governs"))
    rows[at] |= {"capacity_bar": bar} | ({"at_least": True} if at_least else {})
    return made | {"margins": rows}


@pytest.mark.parametrize(
    ("base", "end", "words"),
    [
        (part(2.0), part(3.0), "the base goes first, at 2 bar"),
        (part(4.0), part(3.0), "the end goes first, at 3 bar"),
        (part(2.0, at_least=True), part(3.0), "the end goes first, at 3 bar"),
        (part(2.0, at_least=True), part(3.0, at_least=True), "the base goes first, beyond 2 bar"),
    ],
)
def test_which_part_of_a_container_goes_first(base: Record, end: Record, words: str) -> None:
    """One whose path met no limit came to that load and may carry any more: another goes before it."""
    own = {key: value for key, value in RECORD.items() if key != "reserve_factor"} | {"verdict": "met"}
    opening = RECORDED.words(container_sheet(own, {"base": base, "end": end}, "").opening)
    assert opening == f"MET. Under pressure {words} (bifurcation, n = 3, onset of waves, GMNA)."
