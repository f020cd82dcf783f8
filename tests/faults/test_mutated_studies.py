"""Study files changed at random: each is refused in readable lines with nothing written, or makes designs."""

import warnings
from pathlib import Path

import pytest

from buckle.cli import main
from buckle.commands.codes import WRONG_INPUT
from buckle.errors import CaseError
from buckle.study.reader import read_study
from tests.faults.mutator import mutated
from tests.faults.test_study_faults import FILL, GOOD, TOLERANCE
from tests.helpers.paths import ROOT

LONGEST_LINE = 1000  # characters of a message: a file name, a key and a value, each clipped, and what is allowed
PAIRED = '[[paired]]\n"shape.heel_radius_mm" = [4.0, 4.1]\n"shape.chime_radius_mm" = [2.6, 2.7]\n'
SHIPPED = [
    path.read_text(encoding="utf-8").replace('base_case = "', f'base_case = "{path.parent.as_posix()}/')
    for path in sorted((ROOT / "cases/studies").glob("*.toml"))
]
STUDIES = [text.encode() for text in (GOOD + TOLERANCE + FILL + PAIRED, GOOD + FILL, *SHIPPED)]


def outcome_of(data: bytes, folder: Path, capsys) -> str:
    """Return how a file ended; fails on anything but a clean refusal or designs, each with a case or a reason."""
    path, out = folder / "study.toml", folder / "out"
    path.write_bytes(data)
    try:
        study = read_study(path)
    except CaseError as error:
        refused = str(error)
    else:
        return "accepted" if all(built_or_refused(study, number) for number in (1, study.count)) else ""
    assert main(["sweep", str(path), "--out", str(out), "--jobs", "1"]) == WRONG_INPUT
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err == f"{refused}\n"
    assert all(line.isprintable() and len(line) < LONGEST_LINE for line in said.err.splitlines())
    assert not out.exists()
    return "refused"


def built_or_refused(study, number: int) -> bool:
    try:
        return bool(study.case(study.design(number)))
    except CaseError as error:
        return bool(str(error))


def tried(seeds: range, folder: Path, capsys) -> None:
    """The share of those accepted is that of changes to comments, titles, numbers that go together all the same."""
    outcomes = []
    with warnings.catch_warnings():
        warnings.simplefilter("error")  # a number that overflows must not be worked on
        for seed in seeds:
            data, changes = mutated(STUDIES[seed % len(STUDIES)], seed)
            try:
                outcomes.append(outcome_of(data, folder, capsys))
            except BaseException as error:
                error.add_note(f"seed {seed}: {changes}")
                raise
    assert 0.05 < outcomes.count("accepted") / len(seeds) < 0.5


def test_changed_studies_are_refused_or_accepted(tmp_path, capsys):
    tried(range(60), tmp_path, capsys)


@pytest.mark.slow
@pytest.mark.study
def test_two_thousand_changed_studies_are_refused_or_accepted(tmp_path, capsys):
    tried(range(60, 2060), tmp_path, capsys)


ODD = {
    "a base case of a thousand letters": (f'"{ROOT / "cases/demo/base.toml"}"', f'"{"x" * 1000}"', "no such file: "),
    "a base case with a null": (f'"{ROOT / "cases/demo/base.toml"}"', r'"a\u0000b"', "cannot be printed"),
    "a bound of 400 zeros": ("[22.0, 23.0]", f"[22.0, 1{'0' * 400}]", "must be [low, high]"),
    "a bound of 5,000 zeros": ("[22.0, 23.0]", f"[22.0, 1{'0' * 5000}]", "is not valid TOML"),
    "a bound that no sample reaches": ("[22.0, 23.0]", "[-1e308, 1e308]", "must be [low, high]"),
    "a value of 400 zeros": ("[0.23, 0.25]", f"[1{'0' * 400}]", "out of all proportion"),
    "a range of 400 zeros": ("to = 10.0", f"to = 1{'0' * 400}", "vary.shape.dome_depth_mm.to: "),
    "a list in lists": ("[0.23, 0.25]", f"{'[' * 3000}0.23{']' * 3000}", "study.toml:"),
    "a table in tables": ("[0.23, 0.25]", f"{'{ a = ' * 500}1{' }' * 500}", "study.toml:"),
    "a deviation beyond all": ("deviation = 5.0", "deviation = 1e308", "out of range"),
    "a key without a name": ('"shape.gauge_mm" =', '"" =', "vary.: unknown table"),
    "a key of dots": ('"shape.gauge_mm" =', '"..." =', "unknown table"),
    "a derived key of 900 signs": ("0.4 * shape.gauge_mm", "-" * 900 + "shape.gauge_mm", "nested more than"),
}


@pytest.mark.parametrize("name", ODD)
def test_odd_sizes_are_refused_in_words(name, tmp_path, capsys):
    old, new, said = ODD[name]
    text = GOOD + TOLERANCE + FILL
    assert text.count(old) >= 1
    (tmp_path / "study.toml").write_text(text.replace(old, new, 1))
    assert main(["sweep", str(tmp_path / "study.toml"), "--out", str(tmp_path / "out"), "--jobs", "1"]) == WRONG_INPUT
    err = capsys.readouterr().err
    assert said in err
    assert all(len(line) < LONGEST_LINE for line in err.splitlines())
    assert not (tmp_path / "out").exists()
