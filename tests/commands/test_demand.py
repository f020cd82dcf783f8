"""`buckle demand` as a user meets it: table and steps, JSON of the contract, refusals, the picture."""

import json

import pytest

from buckle.cli import main
from buckle.commands.codes import MET, WRONG_INPUT
from tests.helpers import bodies
from tests.helpers.cap_case import CAP
from tests.helpers.paths import ROOT

INSIDE = CAP.replace("outside", "inside")
TEA = bodies.TEA + "altitude_m = 0\n"
WATER = TEA + 'drink = "water"\nair_fraction = 0.0\n'
JUICE = TEA.replace('carbon_dioxide"\ncarbonation_volumes = 3.8', 'air"').replace("_degC = 4\n", "_degC = 85\n")


@pytest.fixture
def written(tmp_path):
    def write(text):
        path = tmp_path / "tea.toml"
        path.write_text(INSIDE + text)
        return str(path)

    return write


def demand_of(arguments, tmp_path):
    code = main(["demand", *arguments, "--quiet", "--json", str(tmp_path / "out.json")])
    return code, json.loads((tmp_path / "out.json").read_text())


def test_the_contract(written, tmp_path, capsys):
    code, found = demand_of([written(TEA)], tmp_path)
    assert code == MET
    assert capsys.readouterr().out == ""
    conditions = found["conditions"]
    assert [each["temperature_degC"] for each in conditions] == [4, 20, 38, 60]
    assert all(each["altitude_m"] == 0 for each in conditions)
    assert found["demand_bar"] == max(each["pressure_bar"] for each in conditions) == conditions[3]["pressure_bar"]
    assert len(found["assumptions"]) == 4


def test_water_without_air_is_the_table(written, tmp_path):
    """Collected trade data, section 4.2, 3.8 volumes: 1 % and two decimals."""
    found = demand_of([written(WATER)], tmp_path)[1]
    for each, table in zip(found["conditions"], (1.63, 3.30, 5.62, 8.89), strict=True):
        assert each["pressure_bar"] == pytest.approx(table, rel=0.01, abs=0.005)
        inside = each["carbon_dioxide_bar"] + each["air_bar"] + each["water_vapour_bar"]
        assert inside - each["outside_pressure_bar"] == pytest.approx(each["pressure_bar"], rel=1e-12)


def test_altitude_raises_it(written, tmp_path):
    low = demand_of([written(WATER)], tmp_path)[1]["demand_bar"]
    high = demand_of([written(WATER.replace("altitude_m = 0", "altitude_ft = 8000"))], tmp_path)[1]["demand_bar"]
    assert high - low == pytest.approx(0.261, abs=6e-4)  # collected trade data, section 4.4: 2438 m


def test_what_is_printed(written, capsys):
    assert main(["demand", written(WATER)]) == MET
    said = " ".join(capsys.readouterr().out.split())
    for words in (
        "Steps at 60 degC, 0 m",
        "IAPWS G7-04",
        "by Weiss",
        "DEMAND: 8.966 bar from the inside at 60 degC, 0 m; it is judged: the case requires no other pressure.",
        "ASSUMED: the container is taken as rigid",
        "CAUTION: solubility by Weiss (range from memory) reaches from -1 to 40 degC; extrapolated at 60.",
        "CAUTION: the analyses take the metal at 20 degC, the contents are at 60 degC: it is weaker then.",
        "Screening result",
    ):
        assert words in said


def test_another_unit(written, capsys):
    assert main(["demand", written(WATER), "--pressure-unit", "psi"]) == MET
    said = capsys.readouterr().out
    assert "DEMAND: 130 psi from the inside" in said  # 8.966 bar / 0.0689476
    assert "[bar]" not in said


@pytest.mark.parametrize(
    ("required", "words"),
    [
        ("12.0", "the case requires 12 bar, which is not lower and is judged."),
        ("6.2", "it is judged: it is higher than the 6.2 bar that the case requires."),
    ],
)
def test_both_pressures_are_said(written, tmp_path, capsys, required, words):
    path = written(WATER + f"[requirements]\npressure_bar = {required}\n")
    assert main(["demand", path]) == MET
    assert words in " ".join(capsys.readouterr().out.split())
    found = demand_of([path], tmp_path)[1]
    assert found["required_pressure_bar"] == pytest.approx(float(required))
    assert found["judged_pressure_bar"] == pytest.approx(max(float(required), found["demand_bar"]))


def test_a_vacuum_says_that_it_does_not_judge(written, tmp_path, capsys):
    path = written(JUICE)
    code, found = demand_of([path], tmp_path)
    assert code == MET
    assert found["demand_bar"] < 0.0 < found["vacuum_bar"]
    assert "judged_pressure_bar" not in found
    assert main(["demand", path]) == MET
    said = " ".join(capsys.readouterr().out.split())
    assert "DEMAND: None: the contents make no pressure that acts from the inside; gauge -0.79" in said
    assert "it does not judge a case whose pressure acts from inside" in said


def test_the_picture(written, tmp_path):
    assert main(["demand", written(TEA), "--quiet", "--out", str(tmp_path / "pictures")]) == MET
    assert "Pressure that the contents make" in (tmp_path / "pictures" / "tea-demand.svg").read_text()


def test_a_case_without_contents_is_refused(written, capsys):
    assert main(["demand", written("")]) == WRONG_INPUT
    said = capsys.readouterr().err
    assert "contents: missing: nothing is said of what the container holds; allowed: a table [contents]" in said


def test_a_container_that_is_too_full_is_refused_at_its_line(written, capsys):
    path = written(TEA.replace("headspace_ml = 20", "headspace_ml = 5"))
    assert main(["demand", path]) == WRONG_INPUT
    line = (INSIDE + TEA).split("\n").index("headspace_ml = 20") + 1
    assert f"{path}:{line}: contents.headspace_ml: the liquid fills the container" in capsys.readouterr().err


def test_the_demonstration(tmp_path):
    """What its file says of it: about 4 bar at 38 degC, and less than the required 6.2 bar."""
    found = demand_of([str(ROOT / "cases" / "demo" / "base.toml")], tmp_path)[1]
    warm = next(each for each in found["conditions"] if each["temperature_degC"] == 38)
    assert warm["pressure_bar"] == pytest.approx(4.0, abs=0.15)
    assert 5.0 < found["demand_bar"] < found["required_pressure_bar"] == found["judged_pressure_bar"]


def test_a_body_that_gives_way_sees_less(written, tmp_path, capsys):
    """A cap of metal that does not yield, by GNA; what is told is what the JSON holds."""
    path = written(TEA)
    rigid = demand_of([path], tmp_path)[1]
    assert main(["demand", path, "--compliance", "--json", str(tmp_path / "own.json")]) == MET
    own = json.loads((tmp_path / "own.json").read_text())
    assert own["swelling"]["rigid_demand_bar"] == pytest.approx(rigid["demand_bar"], rel=1e-12)
    assert own["demand_bar"] < rigid["demand_bar"]
    written_out = f"compliance_ml_per_bar = {own['swelling']['compliance_ml_per_bar']:.3g}"
    assert written_out in " ".join(capsys.readouterr().out.split())


def test_a_body_pressed_from_outside_is_not_followed(tmp_path, capsys):
    path = tmp_path / "tea.toml"
    path.write_text(CAP + TEA)
    assert main(["demand", str(path), "--compliance"]) == WRONG_INPUT
    assert "the body is followed as the pressure inside rises" in capsys.readouterr().err
