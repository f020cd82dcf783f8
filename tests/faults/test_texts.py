"""Texts of others: nothing that a terminal, a page or a spreadsheet would obey gets as far as one."""

import json
from pathlib import Path

import pytest

from buckle.case import case_from_dict, read_case
from buckle.cli import main
from buckle.commands.codes import WRONG_INPUT
from buckle.errors import CaseError, printable
from buckle.store import Table
from buckle.study.reader import read_study
from tests.helpers.cap_case import CAP

BAD = ["\x1b[31mred", "a\x07bell", "left\u202eright", "one\u2028two", "\x9b2J", "half \ud800"]


@pytest.mark.parametrize("text", BAD[:5], ids=ascii)
def test_a_title_with_what_cannot_be_printed_is_refused(text: str, tmp_path: Path, capsys) -> None:
    path = tmp_path / "cap.toml"
    path.write_text(f"[case]\ntitle = {json.dumps(text)}\n{CAP}", encoding="utf-8")
    with pytest.raises(CaseError, match=r"cap\.toml:2: case\.title: holds a character that cannot be printed"):
        read_case(path)
    assert main(["run", str(path), "--out", str(tmp_path / "out")]) == WRONG_INPUT
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert all(each.isprintable() or each == "\n" for each in said)
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("text", BAD, ids=ascii)
def test_a_key_or_a_deep_value_that_cannot_be_printed_is_refused(text: str) -> None:
    piece = {"line_mm": 1.0, "name": text}
    for tables in ({text: {}}, {"shape": {"family": "meridian", "pieces": [piece]}}):
        with pytest.raises(CaseError, match="cannot be printed") as refused:
            case_from_dict(tables)
        assert all(each.isprintable() or each == "\n" for each in str(refused.value))


def test_so_is_one_in_a_study(tmp_path: Path) -> None:
    (tmp_path / "cap.toml").write_text(CAP)
    study = tmp_path / "study.toml"
    study.write_text('[study]\nbase_case = "cap.toml"\ntitle = "a\\u001b[2J"\n[vary]\n"shape.thickness_mm" = [1.0]\n')
    with pytest.raises(CaseError, match=r"study\.toml:3: study\.title: holds a character that cannot be printed"):
        read_study(study)


def test_a_source_may_have_lines() -> None:
    """A reason written over two lines of the file is one, and no mistake."""
    with pytest.raises(CaseError) as refused:
        case_from_dict({"expect": [{"quantity": "LBA.wave_number", "value": 6, "source": "one\ntwo"}]})
    assert "cannot be printed" not in str(refused.value)


def test_what_cannot_be_printed_is_shown_as_its_escape() -> None:
    assert printable("a\x1b[0m\nb") == r"a\x1b[0m\nb"
    assert printable("a\nb", spaces="\n") == "a\nb"
    assert printable("täglich 5 µm") == "täglich 5 µm"


@pytest.mark.parametrize("sign", ["=", "+", "-", "@"])
def test_a_text_of_others_is_no_formula_of_a_spreadsheet(sign: str, tmp_path: Path) -> None:
    row = {"design": 1, "status": "solved", "reason": f"{sign}cmd()", "x": -1.5}
    Table("made", ("x",), (), (row,)).to_csv(tmp_path / "t.csv")
    last = (tmp_path / "t.csv").read_text().splitlines()[-1]
    assert f",'{sign}cmd()" in last
    assert ",-1.5," in last or last.startswith("1,-1.5")
