"""The margin sheet of a run made up by hand: its numbers are those of the record, and it can be read without a net."""

import json
import math
import re
from dataclasses import replace
from pathlib import Path

import pytest

from buckle.margins.judge import judge
from buckle.record.margins import verdict_fields
from buckle.record.quantities import Record, record
from buckle.record.sheet.content import Sheet, sheet_of
from buckle.record.sheet.head import sheet_date
from buckle.record.sheet.signs import signs
from buckle.report.files import write_results
from buckle.report.sheet.comparison import Side, compare_runs, moved_table
from buckle.report.sheet.page import html_of, json_of, markdown_of
from buckle.report.sheet.tables import convergence_table
from buckle.results import LIMIT_POINT, Event, Outcome, Status
from buckle.units import RECORDED
from tests.helpers.made_run import made_case, made_outcomes
from tests.helpers.page import Element, check_page, printed_letters, read_page

CASE = made_case()
OUTCOMES = (*made_outcomes(CASE), Outcome("MNA", Status.SOLVED, limit=Event(LIMIT_POINT, 0.3)))


def recorded(case=CASE, outcomes=OUTCOMES) -> Record:
    return record(case, outcomes, verdict_fields(judge(case, outcomes)))


RECORD = recorded()
SHEET = sheet_of(RECORD, "2026-01-02", "B")


@pytest.fixture(scope="module")
def directory(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The results of the made run with all pictures."""
    target = tmp_path_factory.mktemp("made") / "run"
    write_results(target, CASE, OUTCOMES, verdict_fields(judge(CASE, OUTCOMES)))
    return target


@pytest.fixture(scope="module")
def page(directory: Path) -> Element:
    return read_page(html_of(SHEET, directory))


def numbers(page: Element) -> list[float]:
    return [float(each.attributes["value"]) for each in page.all("data")]


def test_the_page_keeps_to_the_rules(directory: Path) -> None:
    html = (directory / "margin-sheet.html").read_text("utf-8")
    check_page(html)
    names = {picture["name"] for picture in json_of(SHEET, directory)["pictures"]}
    assert names == {path.stem for path in directory.glob("*.svg")}
    assert len(read_page(html).all("svg")) == len(names)


def test_letters_of_every_picture_can_be_read_in_print(directory: Path) -> None:
    """7 pt: the least that the labels of a drawing may have."""
    sizes = {path.stem: printed_letters(path.read_text("utf-8")) for path in directory.glob("*.svg")}
    assert {"section", "stresses", "paths"} <= set(sizes)
    assert {name: size for name, size in sizes.items() if size < 6.95} == {}  # 7.0 in two digits


def test_every_number_of_the_record_stands_on_the_sheet(page: Element) -> None:
    shown = numbers(page)
    for row in RECORD["margins"]:
        for key in ("capacity_bar", "found_mm", "ratio_hand_to_computed", "numerical_error_percent"):
            assert key not in row or row[key] in shown, (row["limit_state"], key)
        if "beside" not in row:
            assert all(row[key] in shown for key in ("demand_bar", "reserve_factor") if key in row)
    for kind in ("LBA", "MNA", "GNA", "GMNA"):
        assert RECORD[f"{kind}.governing_pressure_bar"] in shown


def test_what_is_read_is_the_number_behind_it(page: Element) -> None:
    """Displayed in four digits or three decimals; the value beside it is the record's."""
    for each in page.all("data"):
        text = each.text.removeprefix("> ").replace("−", "-")
        if text.startswith("<") or text == "none":
            continue
        shown = float(text.split()[0])
        assert shown == pytest.approx(float(each.attributes["value"]), rel=5e-2 if "%" in text else 2e-3, abs=5e-4)


def test_json_and_markdown_say_the_same(directory: Path) -> None:
    plain = json.loads(json.dumps(json_of(SHEET, directory), allow_nan=False))
    computed = [row for row in RECORD["margins"] if "beside" not in row]
    assert [line["capacity"] for line in plain["margins"]] == [row.get("capacity_bar") for row in computed]
    assert plain["opening"] == RECORDED.words(SHEET.opening)
    assert plain["head"]["input_sha256"] == CASE.input_hash
    markdown = markdown_of(SHEET, directory)
    assert markdown.startswith(f"**{RECORDED.words(SHEET.opening)}**")
    assert all(hand["source"] in markdown for line in plain["margins"] for hand in line["hands"])


def test_the_verdict_comes_first(page: Element) -> None:
    body = page.all("body")[0]
    governing = next(row for row in RECORD["margins"] if row.get("governs"))
    assert governing["capacity_bar"] == 2.0
    assert body.children[0].text == (
        "MET WITH DOUBT: onset of waves, by deformation theory, lies below the demand, reserve factor 0.950; the "
        "reserve of onset of waves is no larger than what its number is estimated to be off by, 0.25 %. Governing: "
        "onset of waves at 2 bar (bifurcation, n = 3, GMNA); demand 2 bar; reserve factor 1.000; waves n = 0 to 3 "
        "examined."
    )
    assert SHEET.verdict is not None
    assert SHEET.verdict.demand_from == "requirements.pressure_bar of the case file"
    assert any("no larger than what its number" in line for line in SHEET.verdict.how_sure)
    assert any("limit" in line or "collapse" in line for line in SHEET.verdict.how_sure)


def test_a_requirement_missed_is_named() -> None:
    sheet = sheet_of(recorded(made_case(requirements={"pressure_bar": 2.2})), "")
    assert RECORDED.words(sheet.opening).startswith("NOT MET: onset of waves. Governing: onset of waves at 2 bar")
    assert "reserve factor 0.909" in sheet.opening
    assert sheet.verdict is not None
    assert sheet.verdict.said.missed == ("onset of waves",)


def test_head_and_lines_to_sign(page: Element) -> None:
    text = page.text
    for expected in ("Made cap", CASE.input_hash, "2026-01-02", "Analyst", "Checker", "Revision", "numpy"):
        assert expected in text
    assert [each.text for each in page.all("table")[0].all("td")] == ["B", "2026-01-02", "", ""]
    assert all(str(caution) in text for caution in RECORD["cautions"])
    assert "complies" not in text


def test_signs_are_said(page: Element) -> None:
    """A cap pressed from outside; the frames of a base and of an end are in DEVELOPERS.md."""
    shown = [each.text for each in page.all("section", id="inputs")[0].all("li")]
    assert shown == list(SHEET.signs)
    for expected in ("positive on the outside of the wall", "positive in tension", "compression is negative"):
        assert any(expected in line for line in shown), expected


@pytest.mark.parametrize(
    ("family", "words"),
    [
        (
            "domed_base",
            ("into the container, nought at the lowest point", "Dome growth is positive out of the container"),
        ),
        ("recessed_end", ("out of the container, nought at the middle surface of the panel", "Bulge of the panel")),
        ("meridian", ("from the axis or the inner edge outward", "Travel is positive with the pressure")),
    ],
)
def test_signs_follow_the_body(family: str, words: tuple[str, ...]) -> None:
    shown = " ".join(signs({"shape.family": {"value": family}, "loads.pressure_side": {"value": "inside"}}))
    assert all(each in shown for each in (*words, "positive on the inside of the wall"))


def test_an_estimate_is_said_to_be_one_and_not_a_bound() -> None:
    assert SHEET.verdict is not None
    shown = next(line for line in SHEET.verdict.how_sure if line.startswith("Numerical error"))
    assert "an estimate and no bound" in shown
    assert "coarser in mesh, layers and steps at once, with a floor" in shown
    caption = convergence_table(SHEET).caption
    assert "docs/errors.md" in caption
    assert "no bound" in caption


def test_benchmarks_are_those_of_the_release(page: Element) -> None:
    """A count that came with the package must not read as if this sheet had run anything."""
    counts, release = RECORD["benchmarks"], RECORD["versions"]["buckle"]
    assert SHEET.benchmarks == (
        f"Benchmark suite as it stood at the release (buckle {release}), not run for this sheet: {counts['cases']}"
        f" cases, {counts['expectations']} expectations, {counts['met']} met."
    )
    assert SHEET.benchmarks in page.text


def test_a_heading_and_its_formula_are_printed_on_one_page(directory: Path) -> None:
    """Heading, values, reason and the first line of the formula are one block that the style does not break."""
    style = (directory / "margin-sheet.html").read_text("utf-8").partition("@media print")[2]
    assert re.search(r"\.together[^{}]*{ break-inside: avoid; }", style)
    assert "h2, h3, h4 { break-after: avoid; }" in style
    articles = read_page(html_of(SHEET, directory)).all("article", class_="hand")
    assert articles
    for article in articles:
        block = article.children[0]
        assert block.attributes["class"] == "together"
        assert [each.tag for each in block.children[:3]] == ["h4", "p", "p"]
        assert len(block.all("div", class_="formula")) == bool(article.all("div", class_="formula"))


def test_inputs_tell_where_they_come_from(page: Element) -> None:
    rows = {row.all("th")[0].text: [cell.text for cell in row.all("td")] for row in page.all("tr") if row.all("th")}
    assert rows["shape.height_mm"] == ["8", "file"]
    assert rows["loads.follower"] == ["yes", "default"]
    assert rows["material.hardening"] == ["law = none", "file"]


def test_ladder_and_capacity_curve_by_hand() -> None:
    """3.75, 3.0 and 2.0 bar; MNA 3.0 bar: slenderness sqrt(3 / 3.75), 2 / 3 of the plastic reference."""
    assert [rung.kind for rung in SHEET.ladder] == ["LBA", "GNA", "GMNA"]
    assert [rung.load for rung in SHEET.ladder] == pytest.approx([3.75, 3.0, 2.0])
    assert [rung.of_previous for rung in SHEET.ladder] == [None, pytest.approx(0.8), pytest.approx(2.0 / 3.0)]
    assert SHEET.ladder[2].of_first == pytest.approx(2.0 / 3.75)
    assert SHEET.on_curve is not None
    assert SHEET.on_curve.slenderness == pytest.approx(math.sqrt(3.0 / 3.75))
    assert SHEET.on_curve.reached == pytest.approx(2.0 / 3.0)
    assert SHEET.on_curve.radius_over_thickness == pytest.approx(50.0 / 0.3, rel=1e-12)
    assert SHEET.on_curve.curve is not None
    assert SHEET.on_curve.curve < SHEET.on_curve.reached < 1.0


def test_evidence(page: Element) -> None:
    """Forces of the made run balance to the last digit; a coarser mesh is told with its sign."""
    outcomes = (replace(OUTCOMES[3], convergence={"all coarser": -0.15}), *OUTCOMES[:3])
    sheet = sheet_of(recorded(outcomes=outcomes), "")
    evidence = {each.kind: each for each in sheet.evidence}
    assert evidence["GMNA"].imbalance == 0.0
    assert dict(evidence["GMNA"].convergence_percent) == {"all coarser": -0.15}
    assert "a note" in page.text


# A reviewer's trial ---------------------------------------------------------------------------------------------------


def taken(page: Element, name: str) -> tuple[dict[str, float], float]:
    """The numbers of a hand calculation and its value [MPa], all from the page."""
    article = page.all("article", data_formula=name)[0]
    letters = {
        each.attributes["data-letter"]: float(each.all("data")[0].text) for each in article.all("span", class_="number")
    }
    return letters, float(article.all("data", class_="by-hand")[0].attributes["value"]) / 10.0


def test_three_hand_values_recomputed_from_the_sheet_alone(page: Element) -> None:
    """With a calculator: Zoelly's sphere, the lower bound of NASA SP-8032, the two-term sum; six digits of input."""
    given, value = taken(page, "sphere.classical_pressure")
    sphere = 2.0 * given["E"] * (given["t"] / given["R"]) ** 2 / math.sqrt(3.0 * (1.0 - given["nu"] ** 2))
    assert value == pytest.approx(sphere, rel=1e-5)
    assert value == pytest.approx(2.0 * 70000.0 * (0.3 / 50.0) ** 2 / math.sqrt(3.0 * 0.91), rel=1e-12)

    given, value = taken(page, "cap.lower_bound")
    shape = (
        (12.0 * (1.0 - given["nu"] ** 2)) ** 0.25
        * math.sqrt(given["R"] / given["t"])
        * 2.0
        * math.sin(given["phi"] / 2.0)
    )
    assert value == pytest.approx((0.14 + 3.2 / shape**2) * sphere, rel=1e-5)

    given, value = taken(page, "capacity.two_term")
    assert value == pytest.approx(1.0 / (1.0 / given["p_el"] + 1.0 / given["p_pl"]), rel=1e-5)
    assert given["p_pl"] == pytest.approx(2.0 * 250.0 * 0.3 / 50.0, rel=1e-5)


def test_the_same_calculation_is_said_once(page: Element) -> None:
    articles = page.all("article", class_="hand")
    shown = [each.attributes["data-formula"] for each in articles if each.all("span", class_="number")]
    assert len(shown) == len(set(shown))


# Without a verdict ----------------------------------------------------------------------------------------------------


@pytest.fixture
def unsolved() -> Sheet:
    failed = Outcome("GMNA", Status.FAILED, "the path stalled", "a smaller step")
    return sheet_of(recorded(outcomes=(*OUTCOMES[:3], failed)), "2026-01-02")


def test_an_unsolved_analysis_is_the_first_line_and_there_is_no_verdict(unsolved: Sheet, directory: Path) -> None:
    html, markdown = html_of(unsolved, directory), markdown_of(unsolved, directory)
    check_page(html)
    expected = "NO VERDICT: GMNA failed: the path stalled; try a smaller step."
    assert read_page(html).all("body")[0].children[0].text == expected
    assert markdown.splitlines()[0] == f"**{expected}**"
    assert unsolved.verdict is None
    assert {line.verdict for line in unsolved.margins} == {"not found", "for comparison"}
    assert not any(line.governs for line in unsolved.margins)


def test_nothing_that_decides_gives_no_verdict() -> None:
    sheet = sheet_of(recorded(outcomes=OUTCOMES[:1]), "")
    assert sheet.opening == "NO VERDICT: no analysis was run that follows pressure."


def test_a_requirement_not_judged_leaves_no_verdict() -> None:
    case = made_case(requirements={"pressure_bar": 1.0, "axial_force_N": 100.0})
    sheet = sheet_of(recorded(case), "")
    assert sheet.opening.startswith("NO VERDICT: axial crush: ")
    assert sheet.verdict is None
    assert {line.verdict for line in sheet.margins} <= {"no verdict", "for comparison", "not run"}


# Safety and repeatability ---------------------------------------------------------------------------------------------


def test_a_title_is_text_and_nothing_else(directory: Path) -> None:
    case = made_case(case={"title": '<script>alert("x")</script> & "q" | b'})
    sheet = sheet_of(recorded(case), "")
    html = html_of(sheet, directory)
    check_page(html)
    assert read_page(html).all("h1")[0].text == '<script>alert("x")</script> & "q" | b'
    assert r"\| b |" in markdown_of(sheet, directory)


def test_the_date_is_the_only_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "86400")
    assert sheet_date() == "1970-01-02"
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "soon")
    assert len(sheet_date()) == 10


@pytest.mark.usefixtures("without_pictures")
def test_the_same_run_gives_the_same_page(directory: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "86400")
    for name in ("one", "two"):
        write_results(tmp_path / name, CASE, OUTCOMES, verdict_fields(judge(CASE, OUTCOMES)))
    assert (tmp_path / "one" / "margin-sheet.html").read_bytes() == (
        tmp_path / "two" / "margin-sheet.html"
    ).read_bytes()


# Two revisions --------------------------------------------------------------------------------------------------------


def test_what_changed_between_two_revisions() -> None:
    """2.0 bar becomes 1.5: a quarter less, and 2.0 bar are no longer met."""
    case = made_case(supports={"outer_edge": "pinned"})
    weaker = (*OUTCOMES[:3], replace(OUTCOMES[3], bifurcation=replace(OUTCOMES[3].bifurcation, load=0.15)))
    found = compare_runs(Side("A", SHEET), Side("B", sheet_of(recorded(case, weaker), "")))
    assert [(each.key, each.before, each.after) for each in found.inputs] == [
        ("supports.outer_edge", "clamped", "pinned")
    ]
    onset = next(each for each in found.margins if (each.what, each.method) == ("onset of waves", "GMNA"))
    assert (onset.before, onset.after) == (2.0, 1.5)
    assert onset.percent == pytest.approx(-25.0)
    assert (onset.reserve_before, onset.reserve_after) == (1.0, pytest.approx(0.75))
    assert (onset.verdict_before, onset.verdict_after) == ("met, governs", "not met, governs")
    gone = next(each for each in found.margins if each.method == "MNA")
    assert (gone.before, gone.after, gone.percent) == (3.0, None, None)
    assert RECORDED.words(found.opening) == (
        "DIFFERENT SUPPORTS: supports.outer_edge clamped → pinned."
        " A to B: 1 input changed; governing 2 bar becomes 1.5 bar, reserve factor 1.000 becomes 0.750,"
        " verdict met with doubt becomes not met."
    )
    assert {each.percent for each in found.body} == {0.0}
    moved = moved_table(found, RECORDED)
    assert ", ".join(moved.columns) == "limit state, from, A, B, change, reserve, A, reserve, B, verdict"
    rows = [[cell.whole for cell in row] for row in moved.rows]
    verdict = "met, governs → not met, governs"
    assert ["onset of waves", "GMNA", "2 bar", "1.5 bar", "-25 %", "1.000", "0.750", verdict] in rows
    assert ["collapse", "GMNA", "2.5 bar", "2.5 bar", "none", "1.250", "1.250", "met"] in rows
    mechanism = "plastic mechanism at small displacements"
    assert [mechanism, "MNA", "3 bar", "–", "–", "1.500", "–", "for comparison → –"] in rows


def test_a_revision_without_a_verdict_is_not_compared(unsolved: Sheet) -> None:
    found = compare_runs(Side("A", SHEET), Side("B", unsolved))
    assert (
        found.opening == "A to B: no input changed; NO VERDICT of B, so that the governing margins cannot be compared."
    )
