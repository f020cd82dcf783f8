"""A reader's units reach everything that people read: in psi and inches there is no bar and no millimetre left."""

import json
import re
import shutil
from collections.abc import Iterator
from contextlib import redirect_stdout
from io import StringIO
from pathlib import Path

import pytest

from buckle.cli import main
from tests.helpers.page import read_page
from tests.helpers.paths import ROOT

CAP = """
[case]
title = "a base of a slim container"
[material]
youngs_modulus_GPa = 69.0
poissons_ratio = 0.33
density_kg_per_m3 = 2720
yield_stress_MPa = 262
hardening = { law = "voce", increment_MPa = 34, rate = 40 }
uniform_strain = 0.04
[shape]
family = "spherical_cap"
radius_mm = 44.0
half_angle_deg = 30.0
thickness_mm = 0.245
[supports]
outer_edge = "clamped"
[loads]
pressure_side = "outside"
[analyses]
run = ["LA", "LBA", "MNA", "GNA", "GMNA"]
wave_numbers = [0, 30]
[requirements]
pressure_bar = 6.0
service_pressure_bar = 4.0
growth_mm = 1.0
[numerics]
mesh_density = 0.5
[[expect]]
quantity = "GMNA.limit_pressure_bar"
value = 10.0
tolerance_percent = 99
source = "made for this test"
"""
STUDY = """
[study]
title = "gauges of a cap"
base_case = "first.toml"
analyses = ["LBA"]
[vary]
"shape.thickness_mm" = [0.24, 0.25]
"shape.radius_mm" = [43.0, 45.0]
"""
READER = ("--pressure-unit", "psi", "--length-unit", "in")
OTHERS = re.compile(r"(?<![\w.])(?:bar|mm|mm2|mm²|cm²|kPa)(?!\w)")
"""Units that no text may have; keys of a case file, such as `shape.radius_mm`, are names and end in theirs."""
BY_SOURCE = "rho_o 1.0 to 2.2, dome depth 9 to 11.5, R 42 to 52 mm"
"""A condition of a formula as its source states it."""


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A cap, and the same a little thinner, run in bar and mm."""
    directory = tmp_path_factory.mktemp("units")
    for name, thickness in (("first", "0.245"), ("second", "0.24")):
        case = directory / f"{name}.toml"
        case.write_text(CAP.replace("0.245", thickness))
        assert main(["run", str(case), "--out", str(directory), "--quiet", "--figures", "none"]) in (0, 1)
    return directory


@pytest.fixture(scope="module")
def read(out: Path) -> tuple[Path, str]:
    """The first once more, run for a reader of psi and inches, and what was printed."""
    with redirect_stdout(StringIO()) as printed:
        main(["run", str(out / "first.toml"), "--out", str(out / "read"), *READER])
    return out / "read" / "first", printed.getvalue()


def left(text: str) -> Iterator[str]:
    """Yield each unit that is not a reader's, with what stands around it."""
    text = text.replace(BY_SOURCE, "")
    for found in OTHERS.finditer(text):
        yield text[max(0, found.start() - 60) : found.end() + 20]


def picture_words(svg: str) -> str:
    """The texts of a picture, which it keeps as comments beside their outlines."""
    return "\n".join(re.findall(r"<!-- (.*?) -->", svg, flags=re.DOTALL))


def test_a_run(read: tuple[Path, str]) -> None:
    written, printed = read
    assert "psi" in printed
    assert "[in]" in printed
    assert list(left(printed)) == []
    pictures = {path.name: picture_words(path.read_text("utf-8")) for path in written.glob("*.svg")}
    assert len(pictures) >= 8
    assert {name: list(left(words)) for name, words in pictures.items() if [*left(words)]} == {}
    assert all("[in]" in pictures[f"{name}.svg"] for name in ("paths", "section", "deformed", "modes", "stresses"))
    html = (written / "margin-sheet.html").read_text("utf-8")
    assert list(left(read_page(html).all("body")[0].text)) == []


def test_pictures_that_a_run_drew_in_other_units_are_said_to_be(read: tuple[Path, str], tmp_path: Path) -> None:
    """A review takes in the pictures of the run: where it reads otherwise, every caption says what they are in."""
    written = shutil.copytree(read[0], tmp_path / "first")
    captions = []
    for units in ((), READER):
        main(["review", str(written), "--quiet", *units])
        page = read_page((written / "margin-sheet.html").read_text("utf-8"))
        captions.append([each.text for each in page.all("figcaption")])
    other, same = captions
    assert len(other) >= 8
    assert other == [f"{each[:-1]} (as the run drew it: pressures in psi, lengths in in)." for each in same]


def test_a_review_of_runs_in_other_units(out: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["review", str(out / "first"), str(out / "second"), "--out", str(tmp_path), *READER])
    assert list(left(capsys.readouterr().out)) == []
    for path in (out / "first" / "margin-sheet.md", tmp_path / "comparison.md"):
        assert "psi" in path.read_text("utf-8")
        assert list(left(path.read_text("utf-8"))) == []
    page = read_page((tmp_path / "comparison.html").read_text("utf-8"))
    assert list(left(page.all("body")[0].text)) == []


@pytest.mark.parametrize(
    "command",
    [
        ["draw", "{case}", "--out", "{tmp}"],
        ["bench", "{case}", "--jobs", "1"],
        ["crosscheck", "{case}"],
        ["demand", str(ROOT / "cases/demo/base.toml"), "--out", "{tmp}"],
        [
            "formula",
            "sphere.classical_pressure",
            "youngs_modulus_GPa=69",
            "poissons_ratio=0.33",
            "radius_mm=45",
            "thickness_mm=0.3",
        ],
    ],
    ids=lambda command: command[0],
)
def test_other_commands(command: list[str], out: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = [word.format(case=out / "first.toml", tmp=tmp_path) for word in command]
    main([words[0], *READER, *words[1:]])
    printed = capsys.readouterr().out
    assert re.search(r"\bpsi\b|\bin\b|_psi\b|\bin2\b", printed)
    assert list(left(printed)) == []
    assert [found for path in tmp_path.glob("*.svg") for found in left(picture_words(path.read_text("utf-8")))] == []


@pytest.mark.slow
def test_a_batch(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Pictures and what is printed of a sweep and of its table."""
    (tmp_path / "first.toml").write_text(CAP.partition("service_pressure_bar")[0])
    (tmp_path / "study.toml").write_text(STUDY)
    main(["sweep", str(tmp_path / "study.toml"), "--out", str(tmp_path / "out"), "--jobs", "1", *READER])
    main(["table", str(tmp_path / "out"), *READER])
    printed = capsys.readouterr().out
    assert "LBA.critical_pressure_psi" in "".join(printed.split())
    assert list(left(printed)) == []
    pictures = {path.stem: picture_words(path.read_text("utf-8")) for path in (tmp_path / "out").glob("*.svg")}
    assert set(pictures) == {"responses", "map", "mass"}
    assert {name: list(left(words)) for name, words in pictures.items() if [*left(words)]} == {}
    assert all("[in]" in pictures[name] for name in ("responses", "map"))
    assert all("[psi]" in pictures[name] for name in ("responses", "mass"))


def test_what_machines_read_is_the_same(out: Path, read: tuple[Path, str]) -> None:
    """Of a run in psi and inches, results.json differs in its seal alone, and tables not at all."""
    written, _ = read
    one, other = (json.loads((folder / "results.json").read_text("utf-8")) for folder in (out / "first", written))
    assert one | {"record": None} == other | {"record": None}
    for name in ("path.csv", "by_wave_number.csv"):
        assert (out / "first" / name).read_bytes() == (written / name).read_bytes()


def test_a_sheet_in_psi_says_what_the_sheet_in_bar_says(out: Path) -> None:
    """Every number of a table that is a pressure is 14.5038 times that of the other sheet (NIST SP 811)."""
    sheets = []
    for units in ((), ("--pressure-unit", "psi")):
        main(["review", str(out / "first"), "--quiet", *units])
        page = read_page((out / "first" / "margin-sheet.html").read_text("utf-8"))
        sheets.append([(each.text, float(each.attributes["value"])) for each in page.all("data")])
    pressures = [(bar, psi) for (text, bar), (read, psi) in zip(*sheets, strict=True) if text.endswith(" bar")]
    assert len(pressures) > 20
    assert all(psi == pytest.approx(14.503774 * bar, rel=1e-7) for bar, psi in pressures)
    assert all(read == text for (text, _), (read, _) in zip(*sheets, strict=True) if not text.endswith(" bar"))
