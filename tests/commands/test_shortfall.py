"""`buckle shortfall` as a user meets it: a share that is known, the record, refusals."""

import json

import pytest
from scipy.stats import norm

from buckle.cli import main
from buckle.commands.codes import MET, WRONG_INPUT
from tests.commands.test_size import ELASTIC, NEEDS, sized

TOLERANCES = '\n[tolerances]\n"shape.thickness_mm" = { law = "normal", standard_deviation = 0.04 }\n'
THIN = NEEDS.replace("thickness_mm = 1.0", "thickness_mm = 0.8")


@pytest.mark.slow
@pytest.mark.study
def test_a_share_that_is_known(tmp_path):
    """The reserve rises with the thickness alone: short are Phi((t - mean) / deviation), t what just carries."""
    path = tmp_path / "cap.toml"
    path.write_text(THIN + TOLERANCES)
    out = ["--quiet", "--jobs", "1", "--figures", "none", "--json", str(tmp_path / "out.json"), "--out", str(tmp_path)]
    assert main(["shortfall", str(path), "--samples", "40", "--about", "60", *out]) == MET
    found = json.loads((tmp_path / "out.json").read_text())
    just = sized([str(path), "--vary", "shape.thickness_mm"], tmp_path)[1]["design"]["shape.thickness_mm"]
    share = norm.cdf((just - 0.8) / 0.04)
    assert found["by_first_order"]["ppm"] == pytest.approx(1e6 * share, rel=0.05)  # 1e-3 of the reserve
    about = found["by_sampling_about_the_design_points"]["ppm"]
    assert about["low"] <= 1e6 * share <= about["high"]
    assert found["share_of_scatter"] == {"shape.thickness_mm": pytest.approx(1.0)}
    assert found["disagreements"] == []
    assert found["by_plain_sampling"]["designs_without_reserve"] == 0


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (NEEDS, "tolerances: missing"),
        (NEEDS + '\n[tolerances]\n"shape.thickness_mm" = 0.04\n', "shape.thickness_mm: has bounds and no law"),
        (ELASTIC + TOLERANCES, "nothing is required"),
    ],
)
def test_refusals(tmp_path, capsys, text, said):
    path = tmp_path / "cap.toml"
    path.write_text(text)
    assert main(["shortfall", str(path), "--jobs", "1", "--out", str(tmp_path)]) == WRONG_INPUT
    assert said in capsys.readouterr().err
