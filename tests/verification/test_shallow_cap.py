"""The table of cap curves against shallow caps solved again, a point of every curve."""

import pytest

from buckle.formulas.tables import read_table
from tests.references.edge_layer import edge_waves
from tests.references.shallow_cap import ShallowCap, axisymmetric_limit, first_waves

CURVES = read_table("caps.toml")["curve"]


@pytest.mark.parametrize("curve", CURVES, ids=lambda c: f"{c['edge']} {c['event']} {c['poissons_ratio']:.2f}")
def test_points_of_the_table(curve) -> None:
    """Six decimals are given; the first, the middle and the last point."""
    for i in (0, len(curve["load"]) // 2, -1):
        parameter, load = curve["cap_parameter"][i], curve["load"][i]
        cap = ShallowCap(parameter, curve["poissons_ratio"], curve["edge"] == "clamped")
        if curve["event"] == "limit":
            assert axisymmetric_limit(cap, 2.0) == pytest.approx(load, abs=2e-5)
        else:
            n = curve["wave_number"][i]
            assert first_waves(cap, range(max(1, n - 2), n + 3)) == (pytest.approx(load, abs=2e-6), n)


@pytest.mark.parametrize(
    ("nu", "clamped", "load", "number"),
    [
        (0.0, True, 0.75333, 0.833),
        (0.3, False, 0.70365, 0.801),
        (0.5, True, 0.84784, 0.865),
        (1 / 3, True, 0.81096, 0.853),
    ],
)
def test_edge_layer_against_another_code(nu, clamped, load, number) -> None:
    """Computed for this project by a separate code: five and three digits."""
    share, k = edge_waves(nu, clamped=clamped)
    assert share == pytest.approx(load, abs=6e-6)
    assert k == pytest.approx(number, abs=1e-3)


def test_caps_tend_to_the_edge_layer() -> None:
    """P falls short of it by 0.35 / lambda (measured at lambda = 30): 1e-3 for the next order."""
    share, _ = first_waves(ShallowCap(30.0, 0.3, clamped=True), range(21, 26))
    assert share == pytest.approx(edge_waves(0.3, clamped=True)[0] - 0.35 / 30.0, abs=1e-3)
