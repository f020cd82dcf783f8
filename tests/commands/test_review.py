"""`buckle review` as a user meets it: a case, a directory that a run wrote, two revisions, and what is neither."""

import json
import math
from pathlib import Path

import pytest

from buckle.analysis.certainty import TRUST
from buckle.cli import main
from buckle.commands import solve as produce
from buckle.commands.codes import MET, NOT_MET, WRONG_INPUT
from buckle.commands.review import names
from tests.helpers.mutations import rewritten
from tests.helpers.page import check_page, read_page
from tests.helpers.runs import ran

CAP = """
[case]
title = "a cap that holds"
[material]
youngs_modulus_GPa = 69.0
poissons_ratio = 0.3
density_kg_per_m3 = 2720
yields = false
[shape]
family = "spherical_cap"
radius_mm = 400.0
half_angle_deg = 12.0
thickness_mm = {thickness}
[supports]
outer_edge = "clamped"
[loads]
pressure_side = "outside"
[analyses]
run = ["LBA", "GNA"]
wave_numbers = [0, 8]
[requirements]
pressure_bar = {required}
"""
LAST_BIT = 1e-14  # a margin's bar are ten times its MPa, those of a critical pressure MPa over an exact fraction


def write_case(path: Path, *, thickness: float = 1.0, required: float = 2.0) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(CAP.format(thickness=thickness, required=required))
    return path


@pytest.fixture
def case(tmp_path: Path) -> Path:
    return write_case(tmp_path / "cap.toml")


def review(*words: object) -> int:
    return main(["review", *map(str, words)])


def test_a_case_gives_a_sheet_in_three_forms_whose_numbers_are_the_record(case: Path, tmp_path: Path, capsys) -> None:
    assert review(case, "--out", tmp_path / "out", "--revision", "C2") == MET
    written = tmp_path / "out" / "cap"
    content = json.loads((written / "results.json").read_text())
    html = (written / "margin-sheet.html").read_text()
    check_page(html)
    page = read_page(html)
    governing = next(row for row in content["margins"] if row.get("governs"))
    shown = [float(each.attributes["value"]) for each in page.all("data")]
    assert all(governing[key] in shown for key in ("capacity_bar", "demand_bar", "reserve_factor"))
    assert governing["capacity_bar"] == pytest.approx(content["GNA.bifurcation_pressure_bar"], rel=LAST_BIT)
    first = page.all("body")[0].children[0].text
    assert first.startswith("MET. Governing: onset of waves in the cap, elastic at ")
    assert "C2" in page.text
    plain = json.loads((written / "margin-sheet.json").read_text())
    assert plain["verdict"]["governing"]["capacity"] == governing["capacity_bar"]
    assert plain["evidence"][0]["convergence_percent"] == content["LBA.convergence_percent"]
    assert (written / "margin-sheet.md").read_text().startswith(f"**{plain['opening']}**")
    assert plain["opening"] in " ".join(capsys.readouterr().out.split())


@pytest.mark.usefixtures("without_pictures")
def test_the_error_said_follows_from_the_convergence(case: Path, tmp_path: Path) -> None:
    """LBA: what everything coarser changes, and the part that two runs may agree in by chance."""
    review(case, "--out", tmp_path / "out", "--quiet")
    content = json.loads((tmp_path / "out" / "cap" / "results.json").read_text())
    changes = content["LBA.convergence_percent"]
    assert set(changes) == {"all coarser"}
    trust = TRUST["LBA", "bifurcation"]
    error = math.hypot(trust.times * changes["all coarser"], trust.least)
    assert error == pytest.approx(content["LBA.numerical_error_percent"], rel=1e-12)


def test_a_directory_is_reviewed_without_any_analysis(case: Path, tmp_path: Path, monkeypatch) -> None:
    main(["run", str(case), "--out", str(tmp_path / "out"), "--quiet"])
    written = tmp_path / "out" / "cap"
    before = (written / "margin-sheet.html").read_text()
    (written / "margin-sheet.html").unlink()

    def never(*_: object) -> None:
        raise AssertionError("an analysis was run")

    monkeypatch.setattr(produce, "run_and_follow", never)
    assert review(written, "--quiet") == MET
    assert (written / "margin-sheet.html").read_text() == before
    assert (written / "margin-sheet.md").is_file()


@pytest.mark.usefixtures("without_pictures")
def test_a_new_run_leaves_no_old_sheet_behind(case: Path, tmp_path: Path) -> None:
    review(case, "--out", tmp_path / "out", "--quiet")
    main(["run", str(case), "--out", str(tmp_path / "out"), "--quiet"])
    left = {path.name for path in (tmp_path / "out" / "cap").glob("margin-sheet.*")}
    assert left == {"margin-sheet.html"}


@pytest.mark.usefixtures("without_pictures")
def test_exit_code_and_first_line_of_a_stored_run(case: Path, tmp_path: Path) -> None:
    stored = ran(case, tmp_path / "out")
    assert review(stored, "--quiet") == MET
    first = read_page((stored / "margin-sheet.html").read_text()).all("body")[0].children[0].text
    assert first.startswith("MET. ")


@pytest.mark.usefixtures("without_pictures")
def test_an_analysis_that_failed_leaves_no_verdict_in_a_stored_run(case: Path, tmp_path: Path, capsys) -> None:
    """Held against what else the record says, so that a status changed alone is refused."""
    stored = ran(case, tmp_path / "out")
    content = json.loads((stored / "results.json").read_text())
    change = {"LBA.status": "failed", "LBA.reason": "no eigenvalue", "LBA.remedy": "a finer mesh"}
    rewritten(stored, content | change, resealed=True)
    assert review(stored, "--quiet") == WRONG_INPUT
    assert "not_judged: says nothing of LBA, which failed" in capsys.readouterr().err


@pytest.mark.usefixtures("without_pictures")
@pytest.mark.parametrize(("value", "code", "word"), [(5, MET, "met"), (4, NOT_MET, "NOT MET")])
def test_expectations_count_again_when_a_stored_run_is_reviewed(
    value: int, code: int, word: str, tmp_path: Path, capsys
) -> None:
    """The cap buckles in some n of the range; the case expects that number, or one less."""
    plain = write_case(tmp_path / "plain.toml")
    n = json.loads((ran(plain, tmp_path / "out") / "results.json").read_text())["LBA.wave_number"]
    expected = n + value - 5
    case = tmp_path / "cap.toml"
    expect = f'[[expect]]\nquantity = "LBA.wave_number"\nvalue = {expected}\nsource = "the run before"\n'
    case.write_text(plain.read_text() + expect)
    assert main(["run", str(case), "--out", str(tmp_path / "out"), "--quiet"]) == code
    content = json.loads((tmp_path / "out" / "cap" / "results.json").read_text())
    (kept,) = content["expectations"]
    assert (kept["expected"], kept["found"], kept["met"]) == (expected, n, code == MET)
    assert review(tmp_path / "out" / "cap") == code
    assert "Expectations of the case file" in capsys.readouterr().out
    page = read_page((tmp_path / "out" / "cap" / "margin-sheet.html").read_text())
    found = next(each for each in page.all("table") if each.all("caption")[0].text.startswith("Expectations"))
    row = found.all("tbody")[0].all("tr")[0]
    assert [cell.text for cell in (*row.all("th"), *row.all("td"))][-2:] == [word, "the run before"]
    assert ("expectations of the case file missed" in page.text.lower()) == (code == NOT_MET)


@pytest.mark.usefixtures("without_pictures")
def test_two_revisions_of_one_name(tmp_path: Path, capsys) -> None:
    """The elastic pressure of a cap goes nearly as the square of its thickness; 0.9 squared is 19 % less."""
    first = write_case(tmp_path / "A" / "cap.toml", required=2.0)
    second = write_case(tmp_path / "B" / "cap.toml", thickness=0.9, required=40.0)
    assert review(first, second, "--out", tmp_path / "out") == NOT_MET
    content = json.loads((tmp_path / "out" / "comparison.json").read_text())
    (found,) = content["comparisons"]
    assert content["names"] == ["A-cap", "B-cap"]
    assert [each["key"] for each in found["inputs"]] == ["shape.thickness_mm", "requirements.pressure_bar"]
    computed = next(each for each in found["margins"] if each["method"] == "GNA")
    sphere = next(each for each in found["margins"] if each["method"].startswith("sphere.classical"))
    assert computed["percent"] == pytest.approx(-19.0, abs=1.5)
    assert sphere["percent"] == pytest.approx(-19.0, rel=1e-9)
    assert (computed["verdict_before"], computed["verdict_after"]) == ("met, governs", "not met, governs")
    for name in ("A-cap", "B-cap"):
        stored = json.loads((tmp_path / "out" / name / "results.json").read_text())
        side = "before" if name == "A-cap" else "after"
        assert computed[side] == pytest.approx(stored["GNA.bifurcation_pressure_bar"], rel=LAST_BIT)
    check_page((tmp_path / "out" / "comparison.html").read_text())
    assert (
        (tmp_path / "out" / "comparison.md")
        .read_text()
        .startswith("**DIFFERENT REQUIREMENTS: requirements.pressure_bar 2 → 40. A-cap to B-cap: 2 inputs changed;")
    )
    assert "verdict met becomes not met" in " ".join(capsys.readouterr().out.split())


@pytest.mark.usefixtures("without_pictures")
def test_bodies_of_different_families_are_not_compared(case: Path, tmp_path: Path, capsys) -> None:
    """Told before any work, whether they are cases or stored runs; a free walk may be a revision of any family."""
    cap = case.read_text().partition("[supports]")[0].partition("[shape]")
    walk = '[shape]\nfamily = "meridian"\nstart_mm = [0, 0]\nheading_deg = 0.0\nthickness_mm = 1.0\ninside = "right"\n'
    walk += "pieces = [{ arc_mm = 400.0, turn_deg = -12.0 }]\n"
    plate = '[shape]\nfamily = "circular_plate"\nradius_mm = 80.0\nthickness_mm = 1.0\n'
    for name, shape in (("walk", walk), ("plate", plate)):
        (tmp_path / f"{name}.toml").write_text(case.read_text().replace("".join(cap[1:]), shape))
    ran(case, tmp_path / "out")
    capsys.readouterr()
    for first in (case, tmp_path / "out" / "cap"):
        assert review(first, tmp_path / "plate.toml", "--out", tmp_path / "seen") == WRONG_INPUT
        said = capsys.readouterr()
        assert said.err.startswith("cap and plate cannot be compared: spherical_cap and circular_plate; allowed: ")
        assert said.out == ""
        assert not (tmp_path / "seen").exists()
    assert review(case, tmp_path / "walk.toml", "--out", tmp_path / "seen", "--quiet") == MET
    content = json.loads((tmp_path / "seen" / "comparison.json").read_text())
    assert content["comparisons"][0]["opening"].startswith("DIFFERENT FAMILY: shape.family spherical_cap → meridian.")


@pytest.mark.usefixtures("without_pictures")
@pytest.mark.parametrize(
    ("old", "new", "headed"),
    [
        (
            "youngs_modulus_GPa = 69.0",
            "youngs_modulus_GPa = 200.0",
            "DIFFERENT MATERIAL: material.youngs_modulus_MPa 6",
        ),
        (
            'outer_edge = "clamped"',
            'outer_edge = "pinned"',
            "DIFFERENT SUPPORTS: supports.outer_edge clamped → pinned.",
        ),
        ("[analyses]", "follower = false\n[analyses]", "DIFFERENT LOADS: loads.follower yes → no."),
        ("wave_numbers = [0, 8]", "wave_numbers = [0, 9]", "DIFFERENT ANALYSES: analyses.wave_numbers 0, 8 → 0, 9."),
    ],
)
def test_what_is_not_like_is_headed_at_the_top(old: str, new: str, headed: str, case: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.toml"
    other.write_text(case.read_text().replace(old, new))
    assert review(case, other, "--out", tmp_path / "out", "--quiet") == MET
    page = read_page((tmp_path / "out" / "comparison.html").read_text())
    assert page.all("body")[0].children[0].text.startswith(headed)
    assert (tmp_path / "out" / "comparison.md").read_text().startswith(f"**{headed}")
    (found,) = json.loads((tmp_path / "out" / "comparison.json").read_text())["comparisons"]
    assert len(found["unlike"]) == 1
    assert found["opening"].startswith(found["unlike"][0])


@pytest.mark.usefixtures("without_pictures")
def test_another_version_is_headed_at_the_top(case: Path, tmp_path: Path) -> None:
    for name in ("old", "new"):
        ran(case, tmp_path / name)
    stored = tmp_path / "old" / "cap"
    content = json.loads((stored / "results.json").read_text())
    content["versions"]["buckle"] = "0.0.1"
    rewritten(stored, content, resealed=True)
    assert review(stored, tmp_path / "new" / "cap", "--out", tmp_path / "out", "--quiet") == MET
    opening = json.loads((tmp_path / "out" / "comparison.json").read_text())["comparisons"][0]["opening"]
    assert opening.startswith("DIFFERENT VERSIONS: buckle 0.0.1 → ")


@pytest.mark.usefixtures("without_pictures")
def test_three_are_compared_each_with_the_one_before(case: Path, tmp_path: Path) -> None:
    stored = ran(case, tmp_path / "out")
    assert review(stored, stored, stored, "--out", tmp_path / "seen", "--quiet") == MET
    content = json.loads((tmp_path / "seen" / "comparison.json").read_text())
    assert [each["names"] for each in content["comparisons"]] == [
        ["out-cap-1", "out-cap-2"],
        ["out-cap-2", "out-cap-3"],
    ]
    assert all(each["inputs"] == [] for each in content["comparisons"])
    assert all(moved["percent"] == 0.0 for each in content["comparisons"] for moved in each["margins"])


@pytest.mark.usefixtures("without_pictures")
def test_json_on_standard_output_is_one_object(case: Path, tmp_path: Path, capsys) -> None:
    assert review(case, "--out", tmp_path / "out", "--json", "-") == MET
    content = json.loads(capsys.readouterr().out)
    assert content == json.loads((tmp_path / "out" / "cap" / "margin-sheet.json").read_text())


@pytest.mark.usefixtures("without_pictures")
def test_pressures_are_printed_in_the_unit_asked_for(case: Path, tmp_path: Path, capsys) -> None:
    review(ran(case, tmp_path / "out"), "--pressure-unit", "psi")
    printed = capsys.readouterr().out
    assert "29.01 psi" in printed  # the 2 bar required


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (None, "cannot be read"),
        ("{", "is not the record of a run"),
        ("[]", "is not the record of a run"),
        ('{"title": "x"}', "is not the record of a run"),
        ('{"title": "x", "input_sha256": "y", "margins": [{}]}', "run the case again"),
    ],
)
def test_a_directory_that_no_run_wrote(content: str | None, said: str, tmp_path: Path, capsys) -> None:
    if content is not None:
        (tmp_path / "results.json").write_text(content)
    assert review(tmp_path, "--out", tmp_path / "out") == WRONG_INPUT
    printed = capsys.readouterr()
    assert said in printed.err
    assert str(tmp_path) in printed.err
    assert printed.out == ""


def test_all_faults_before_any_work(case: Path, tmp_path: Path, capsys) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text("nonsense = 1")
    assert review(case, bad, tmp_path / "nowhere", "--out", tmp_path / "out") == WRONG_INPUT
    said = capsys.readouterr().err
    assert "bad.toml" in said
    assert "nowhere" in said
    assert not (tmp_path / "out").exists()


def test_names_tell_revisions_apart(tmp_path: Path) -> None:
    paths = [Path("a/base.toml"), Path("b/base.toml"), Path("b/end.toml"), Path("x/c/base.toml"), Path("y/c/base.toml")]
    assert names(paths) == ["a-base", "b-base", "end", "c-base-4", "c-base-5"]
