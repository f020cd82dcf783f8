"""What is said beside the numbers of a cross-check."""

from buckle.report.crosscheck import left_out
from tests.helpers.made_run import made_case


def test_that_a_deviation_is_left_out_is_said() -> None:
    dimple = {"shape": "dimple", "width_mm": 5.0, "depth_mm": 0.1}
    made = made_case(deviation=dimple, analyses={"run": ["GMNIA"], "wave_numbers": [0, 3]})
    assert "both of the perfect shape" in left_out(made)[0]
    assert left_out(made_case()) == ()
