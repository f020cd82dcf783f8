"""`buckle crosscheck` as a user meets it: exit codes, table, JSON, refusals."""

import json
from pathlib import Path

import pytest

from buckle.cli import main
from buckle.commands.codes import MET, UNFINISHED, WRONG_INPUT
from buckle.crosscheck import compare
from tests.helpers.cap_case import CAP
from tests.helpers.paths import ROOT

BENCHMARKS = ROOT / "cases" / "benchmarks"
FIRST = ["quantity", "shell", "solid", "difference_percent", "band_percent", "met"]
SMALL = CAP.replace("radius_mm = 400.0", "radius_mm = 200.0").replace("half_angle_deg = 12.0", "half_angle_deg = 10.0")


@pytest.fixture
def cap(tmp_path: Path) -> Path:
    """A clamped cap of lambda = 4.5, elastic: R/t = 200, a second for both."""
    path = tmp_path / "cap.toml"
    path.write_text('[case]\ntitle = "a cap"\n' + SMALL.replace('"LBA"', '"GNA"'))
    return path


def crosschecked(case: Path, tmp_path: Path, *more: str) -> tuple[int, dict]:
    code = main(["crosscheck", str(case), "--quiet", "--json", str(tmp_path / "out.json"), *more])
    return code, json.loads((tmp_path / "out.json").read_text())


def row(found: dict, quantity: str, growth: float | None = None) -> dict:
    return next(row for row in found["rows"] if row["quantity"] == quantity and row.get("growth_mm") == growth)


def test_a_base(tmp_path: Path, capsys) -> None:
    """The capacity of base A by both, within the 1.5 % that are asked; nothing but the files."""
    code, found = crosschecked(BENCHMARKS / "base" / "a-gmna.toml", tmp_path)
    assert code == MET
    assert found["met"] is True
    assert found["analysis"] == "GMNA"
    capacity = row(found, "GMNA.capacity_pressure_bar")
    assert list(capacity) == FIRST
    assert capacity["band_percent"] == 1.5
    assert capacity["shell"] == pytest.approx(capacity["solid"], rel=0.01)
    assert capacity["solid"] == pytest.approx(6.415, rel=2e-3)  # steps and mesh: see test_solid_plastic
    assert row(found, "GMNA.capacity_event")["solid"] == "limit point"
    assert [each["growth_mm"] for each in found["rows"] if "growth_mm" in each] == [0.5, 1.0, 2.0, 3.0, 4.0, 5.0]
    assert all(abs(each["difference_percent"]) < 1.0 for each in found["rows"] if "growth_mm" in each)
    assert found["settings"]["solid"]["layers"] == 4
    assert found["settings"]["shell"]["degree"] == 4
    assert "computed for this project" in found["expected"]
    assert capsys.readouterr() == ("", "")


def test_an_end_with_waves(tmp_path: Path) -> None:
    """Onsets by both theories and both models, deformation theory first."""
    code, found = crosschecked(BENCHMARKS / "end" / "e1-gmna.toml", tmp_path)
    assert code == MET
    flow, lower = (row(found, f"GMNA.{name}bifurcation_pressure_bar") for name in ("", "deformation_theory_"))
    for onset in (flow, lower):
        assert onset["met"] is True
        assert onset["band_percent"] == 1.5
    assert lower["solid"] < 0.95 * flow["solid"]
    assert row(found, "GMNA.capacity_event")["shell"] == "bifurcation"
    assert row(found, "GMNA.capacity_pressure_bar")["shell"] == flow["shell"]
    assert row(found, "GMNA.axisymmetric_capacity_pressure_bar")["shell"] > flow["shell"]


def test_an_elastic_cap_and_what_is_printed(cap: Path, capsys) -> None:
    assert main(["crosscheck", str(cap), "--pressure-unit", "psi"]) == MET
    printed = capsys.readouterr()
    assert printed.err == ""
    for words in (
        "a cap",
        "shell [psi]",
        "limit",
        "mm of growth",
        "0.8 t/R",
        "The solid: elements",
        "Screening result",
    ):
        assert words in printed.out
    assert "VERDICT: shell and solid agree within the bands" in printed.out


def test_a_linear_case_is_compared_on_its_elastic_path(cap: Path, tmp_path: Path) -> None:
    cap.write_text(SMALL)
    code, found = crosschecked(cap, tmp_path)
    assert code == MET
    assert found["analysis"] == "GNA"
    assert row(found, "GNA.limit_pressure_bar")["band_percent"] < 1.5


def test_json_is_one_object_and_the_same_again(cap: Path, capsys) -> None:
    texts = []
    for _ in range(2):
        assert main(["crosscheck", str(cap), "--json", "-"]) == MET
        texts.append(capsys.readouterr().out)
    assert texts[0] == texts[1]
    assert json.loads(texts[0])["met"] is True


def test_full_tells_how_far_each_moves(cap: Path, tmp_path: Path) -> None:
    """A limit of the shell is exact here, that of 300 solid elements to 0.05 %."""
    code, found = crosschecked(cap, tmp_path, "--full")
    assert code == MET
    limit = row(found, "GNA.limit_pressure_bar")
    assert abs(limit["shell_moves_percent"]) < 1e-3
    assert 1e-6 < abs(limit["solid_moves_percent"]) < 0.1


def test_a_difference_beyond_the_band(cap: Path, tmp_path: Path, monkeypatch, capsys) -> None:
    """With a band a hundredth as wide as thickness asks for."""
    narrow = compare.Thickness(1e-6, 0.0)
    monkeypatch.setattr("buckle.crosscheck.both.thickness_of", lambda meridian: narrow)
    monkeypatch.setattr("buckle.crosscheck.bands.MESHES", 0.0)
    code, found = crosschecked(cap, tmp_path)
    assert code == UNFINISHED
    assert found["met"] is False
    assert row(found, "GNA.limit_pressure_bar")["met"] is False
    assert main(["crosscheck", str(cap)]) == UNFINISHED
    printed = capsys.readouterr().out
    assert "NOT MET" in printed
    assert "VERDICT: shell and solid differ by more than the band: limit" in printed


def test_a_solid_that_cannot_be_followed(tmp_path: Path, capsys) -> None:
    """A sphere of ideal metal at its plastic limit, where all of it flows at once: no capacity, and no agreement."""
    case = BENCHMARKS / "sphere" / "gmna-limit.toml"
    code, found = crosschecked(case, tmp_path)
    assert code == UNFINISHED
    assert found["met"] is False
    assert row(found, "GMNA.capacity_pressure_bar")["solid"] is None
    assert "could not be followed" in found["unfinished"][0]
    assert main(["crosscheck", str(case)]) == UNFINISHED
    assert "VERDICT: none" in capsys.readouterr().out


REFUSED = {
    "pinned": ('outer_edge = "clamped"', 'outer_edge = "pinned"', "supports.outer_edge", "clamped or guided"),
    "open": ('outer_edge = "clamped"', 'outer_edge = "free"', "loads.end_thrust", "end_thrust = true"),
    "pulled": ('outer_edge = "clamped"', 'outer_edge = "free"', "loads.axial_force_N", "axial_force = 0"),
    "pushed": ('outer_edge = "clamped"', 'outer_edge = "free"', "loads.axial_force_N", "axial_force = 0"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_the_solid_cannot_be_is_refused_by_line_key_and_value(name: str, cap: Path, capsys) -> None:
    old, new, key, allowed = REFUSED[name]
    increasing = 'increases = "axial_force"\naxial_force_N = -10.0\n'
    loads = {"open": "end_thrust = false\n", "pulled": "axial_force_N = -10.0\n", "pushed": increasing}.get(name, "")
    cap.write_text(cap.read_text().replace(old, new).replace("[loads]\n", f"[loads]\n{loads}"))
    assert main(["crosscheck", str(cap)]) == WRONG_INPUT
    printed = capsys.readouterr()
    line = next(at for at, text in enumerate(cap.read_text().splitlines(), 1) if text.startswith(key.split(".")[1]))
    assert f"{cap}:{line}: {key}: " in printed.err
    assert "got " in printed.err
    assert allowed in printed.err.split("allowed: ")[1]
    assert printed.out == ""


def test_a_kink_is_refused(capsys) -> None:
    case = BENCHMARKS / "junction" / "la-plate-on-cylinder-2-mm.toml"
    assert main(["crosscheck", str(case)]) == WRONG_INPUT
    crosschecked = capsys.readouterr().err
    assert f"{case}:" in crosschecked
    assert "sharp corners" in crosschecked
    assert "allowed: a small arc" in crosschecked


def test_wrong_input(tmp_path: Path, capsys) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text("nonsense = 1")
    for path in (bad, tmp_path / "missing.toml"):
        assert main(["crosscheck", str(path)]) == WRONG_INPUT
        assert str(path) in capsys.readouterr().err
