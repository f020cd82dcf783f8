"""`buckle size` as a user meets it: one variable, the lightest, JSON of the contract, the case written, refusals."""

import json

import pytest

from buckle.case import read_case
from buckle.cli import main
from buckle.commands.codes import MET, NOT_MET, WRONG_INPUT
from tests.helpers.cap_case import CAP

ELASTIC = CAP.replace("[material]", "[material]\nyields = false").replace('"LBA"', '"GNA"').replace("[0, 4]", "[0, 12]")
NEEDS = ELASTIC + "\n[requirements]\npressure_bar = 2.0 # as the buyer asks\n"
SIZE = (
    NEEDS + '\n[size]\nstarts = 1\n[size.vary]\n"shape.thickness_mm" = [0.5, 2.0]\n"shape.radius_mm" = [300.0, 500.0]\n'
)


@pytest.fixture
def written(tmp_path):
    def write(text=NEEDS):
        path = tmp_path / "cap.toml"
        path.write_text(text)
        return str(path)

    return write


def sized(arguments, tmp_path):
    out = ["--quiet", "--jobs", "1", "--figures", "none", "--json", str(tmp_path / "out.json"), "--out", str(tmp_path)]
    code = main(["size", *arguments, *out])
    return code, json.loads((tmp_path / "out.json").read_text())


@pytest.mark.slow
@pytest.mark.study
def test_the_thickness_that_just_carries_it(written, tmp_path):
    """The JSON of the contract; the case that is written is the asked one with one number changed, and just holds."""
    path = written()
    code, found = sized([path, "--vary", "shape.thickness_mm", "--reserve", "1.2"], tmp_path)
    assert code == MET
    assert list(found["design"]) == ["shape.thickness_mm"]
    assert found["reserve_factor"] == pytest.approx(1.2, abs=1e-4)
    assert found["reserve_factor"] >= 1.2
    assert found["objective"] == pytest.approx(found["mass_g"])
    assert [each["requirement"] for each in found["active"]]
    made = read_case(found["case_file"])
    assert made.dimensions["thickness"] == found["design"]["shape.thickness_mm"]
    assert "# as the buyer asks" in (tmp_path / "cap-size" / "cap.toml").read_text()
    before = found["evaluations"]
    again = sized([path, "--vary", "shape.thickness_mm", "--reserve", "1.2"], tmp_path)[1]
    assert (again["design"], again["evaluations"]) == (found["design"], before)


@pytest.mark.slow
@pytest.mark.study
def test_no_answer_is_an_answer(written, tmp_path):
    arguments = ["--vary", "shape.thickness_mm", "--between", "0.3", "0.4"]
    code, found = sized([written(), *arguments], tmp_path)
    assert code == NOT_MET
    assert found["design"] == {}
    assert "is reached nowhere between 0.3 mm and 0.4 mm" in found["reason"]


def test_names_of_tables_stay_in_answers(written, tmp_path, capsys):
    """Rich would take [size.vary] for a mark of style, and print nothing for it."""
    path = written(SIZE.replace("[0.5, 2.0]", "[-2.0, -0.5]"))
    assert main(["size", path, "--jobs", "1", "--figures", "none", "--out", str(tmp_path)]) == NOT_MET
    assert "wider bounds in [size.vary]" in capsys.readouterr().out


@pytest.mark.slow
@pytest.mark.study
def test_the_lightest(written, tmp_path):
    """Of caps over one angle: p ~ E (t / R)^2 and m ~ R^2 t, so that m ~ R^3 at the demand: the smallest radius."""
    code, found = sized([written(SIZE)], tmp_path)
    assert code == MET
    assert found["design"]["shape.radius_mm"] == pytest.approx(300.0)
    assert found["meets_all_at_both_mesh_densities"]
    alone = sized([found["case_file"], "--vary", "shape.thickness_mm"], tmp_path)[1]
    assert found["design"]["shape.thickness_mm"] == pytest.approx(alone["design"]["shape.thickness_mm"], rel=1e-3)
    price = next(each["price_g_per_bar"] for each in found["active"] if "price_g_per_bar" in each)
    assert price == pytest.approx(0.5 * found["objective"] / 2.0, rel=0.1)  # m ~ sqrt(p): dm/dp = m / (2 p)


@pytest.mark.parametrize(
    ("text", "arguments", "said"),
    [
        (NEEDS, ["--vary", "shape.thicknes_mm"], "unknown key, did you mean 'shape.thickness_mm'?"),
        (NEEDS, ["--vary", "shape.thickness_mm", "--between", "2", "1"], "is to move from 2 to 1"),
        (NEEDS, ["--vary", "shape.family"], "no number that could move"),
        (NEEDS, [], "size: missing"),
        (SIZE, ["--between", "1", "2"], "--between: says where one key may lie"),
        (SIZE, ["--vary", "shape.thickness_mm", "--front", "3"], "allowed: without --vary"),
        (SIZE, ["--vary", "shape.thickness_mm", "--check", "8"], "allowed: without --vary"),
        (ELASTIC, ["--vary", "shape.thickness_mm"], "nothing is required"),
        (NEEDS.replace("GNA", "LBA"), ["--vary", "shape.thickness_mm"], "LBA knows neither how the shape changes"),
        (SIZE.replace("[0.5, 2.0]", "[2.0, 0.5]"), [], "size.vary.shape.thickness_mm: must be [low, high]"),
        (SIZE.replace("shape.radius_mm", "shape.radios_mm"), [], "size.vary.shape.radios_mm: unknown key"),
        (
            SIZE.replace("shape.radius_mm", "shape.thickness_in"),
            [],
            "is the quantity of 'shape.thickness_mm' in another",
        ),
        (SIZE.replace("starts = 1", 'minimise = "cost"'), [], "size.price_per_kg: missing"),
        (SIZE.replace("starts = 1", 'minimise = "weight"'), [], "size.minimise: unknown word"),
        (SIZE.replace("starts = 1", 'tolerances = "worst"'), [], "tolerances: missing"),
    ],
)
def test_refusals(written, tmp_path, capsys, text, arguments, said):
    assert main(["size", written(text), *arguments, "--jobs", "1", "--out", str(tmp_path)]) == WRONG_INPUT
    assert said in capsys.readouterr().err
