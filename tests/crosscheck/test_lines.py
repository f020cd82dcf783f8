"""Shell and solid compared line by line: what is judged, by which band, and what is only told. Made-up paths."""

from dataclasses import replace
from math import pi

import pytest

from buckle.crosscheck.bands import PLASTIC, Thickness, expected, thickness_of
from buckle.crosscheck.compare import Line, compare
from buckle.crosscheck.shell_side import marks
from buckle.crosscheck.side import Side
from buckle.results import BIFURCATION, GROWTH_CEILING, LIMIT_POINT, Event
from buckle.shapes import circular_plate, spherical_cap

THIN = Thickness(0.004, 0.1)
SHELL = Side(
    limit=Event(LIMIT_POINT, 0.605),
    highest=Event(LIMIT_POINT, 0.605),
    reached=0.605,
    growth_at_highest=2.6,
    at_growth={1.0: 0.5, 2.0: 0.59},
)
SOLID = replace(
    SHELL,
    limit=Event(LIMIT_POINT, 0.6),
    highest=Event(LIMIT_POINT, 0.6),
    reached=0.6,
    at_growth={1.0: 0.499, 2.0: 0.588},
    shear_share=0.008,
)
ELASTIC = replace(SOLID, shear_share=None)


def lines(shell: Side = SHELL, solid: Side = SOLID, kind: str = "GMNA") -> dict[tuple[str, float | None], Line]:
    return {line.key: line for line in compare(kind, shell, solid, THIN)}


def line(quantity: str, shell: Side = SHELL, solid: Side = SOLID, growth: float | None = None) -> Line:
    kind = "GNA" if solid.shear_share is None else "GMNA"
    return lines(shell, solid, kind)[f"{kind}.{quantity}", growth]


def at(pressure: float, n: int = 17) -> Event:
    return Event(BIFURCATION, pressure, n)


def test_within_the_band_all_is_met() -> None:
    found = lines()
    assert {key[0] for key in found} == {
        "GMNA.limit_pressure",
        "GMNA.capacity_pressure",
        "GMNA.capacity_event",
        "GMNA.pressure_at_growth",
    }
    assert all(each.met for each in found.values() if each.is_pressure)
    assert found["GMNA.capacity_event", None].met is None
    capacity = found["GMNA.capacity_pressure", None]
    assert capacity.difference_percent == pytest.approx(100.0 * (0.605 / 0.6 - 1.0))
    assert capacity.band_percent == PLASTIC


@pytest.mark.parametrize(("pressure", "met"), [(0.6089, True), (0.6091, False), (0.5911, True), (0.5909, False)])
def test_the_band_has_two_sides(pressure: float, met: bool) -> None:
    other = Event(LIMIT_POINT, pressure)
    shell = replace(SHELL, limit=other, highest=other, reached=pressure)
    assert line("capacity_pressure", shell).met is met
    assert line("limit_pressure", shell).met is met


def test_a_shelf_that_one_passes_is_said_and_the_capacities_are_judged() -> None:
    """The shell passes a limit far below the solid's only one; both end at their ceilings 1 % apart."""
    top = Event(GROWTH_CEILING, 0.606)
    shell = replace(SHELL, limit=Event(LIMIT_POINT, 0.55), highest=top, reached=0.606)
    assert shell.passed
    limit = line("limit_pressure", shell)
    assert limit.met is None
    assert "passed" in limit.remark
    assert limit.difference_percent == pytest.approx(100.0 * (0.55 / 0.6 - 1.0))
    assert line("capacity_pressure", shell).met is True
    assert (line("capacity_event", shell).shell, line("capacity_event", shell).solid) == (GROWTH_CEILING, LIMIT_POINT)


def test_a_limit_of_one_before_the_ceiling_of_the_other_is_said() -> None:
    shell = replace(SHELL, limit=None, highest=Event(GROWTH_CEILING, 0.605))
    limit = line("limit_pressure", shell)
    assert (limit.shell, limit.solid, limit.met) == (None, 0.6, None)


def test_an_elastic_limit_of_one_alone_is_judged_by_how_far_the_other_goes() -> None:
    """Within the band above it the other may just not be there yet; beyond it there is a contradiction."""
    for reached, met in ((0.602, True), (0.62, False)):
        shell = replace(SHELL, limit=None, highest=None, reached=reached)
        found = line("limit_pressure", shell, ELASTIC)
        assert found.met is met
        assert "the shell has none up to" in found.remark


def test_waves_decide_and_the_pressure_without_them_is_kept() -> None:
    shell, solid = replace(SHELL, onset=at(0.52)), replace(SOLID, onset=at(0.519, 18))
    assert line("capacity_pressure", shell, solid).shell == 0.52
    assert line("capacity_event", shell, solid).shell == BIFURCATION
    assert line("axisymmetric_capacity_pressure", shell, solid).shell == 0.605
    assert line("bifurcation_pressure", shell, solid).met is True
    numbers = line("bifurcation_wave_number", shell, solid)
    assert (numbers.shell, numbers.solid, numbers.met) == (17, 18, None)


@pytest.mark.parametrize(("pressure", "met"), [(0.599, True), (0.56, False)])
def test_waves_of_one_alone_contradict_only_far_below_where_the_other_ends(pressure: float, met: bool) -> None:
    found = line("bifurcation_pressure", replace(SHELL, onset=at(pressure)))
    assert found.met is met
    assert "the solid has none up to [6 bar]" in found.remark


def test_waves_that_were_not_watched_are_not_judged() -> None:
    found = line("bifurcation_pressure", replace(SHELL, onset=at(0.5)), replace(SOLID, watched=False))
    assert found.met is None
    assert found.remark == "not watched"


def test_deformation_theory_is_judged_like_flow_theory() -> None:
    shell, solid = replace(SHELL, lower_onset=at(0.5)), replace(SOLID, lower_onset=at(0.49))
    assert line("deformation_theory_bifurcation_pressure", shell, solid).met is False


def test_a_growth_that_the_solid_does_not_come_to_is_not_judged() -> None:
    found = line("pressure_at_growth", SHELL, replace(SOLID, at_growth={1.0: 0.499}), 2.0)
    assert (found.solid, found.met) == (None, None)


def test_elastic_bands_follow_from_the_thickness() -> None:
    """0.8 t/R and 1.25 t/R with t/R = 0.4 %, 0.1 (t/rho)^2 with t/rho = 0.1, and 0.2 % of meshes."""
    assert line("limit_pressure", SHELL, ELASTIC).band_percent == pytest.approx(0.32 + 0.1 + 0.2)
    shell, solid = replace(SHELL, onset=at(0.52)), replace(ELASTIC, onset=at(0.52))
    assert line("bifurcation_pressure", shell, solid).band_percent == pytest.approx(0.5 + 0.1 + 0.2)
    assert ("GNA.capacity_pressure", None) not in lines(SHELL, ELASTIC, "GNA")


def test_thickness_of_a_cap_and_of_a_flat_plate() -> None:
    """A cap by its radius; a plate, flat at its centre, by its own, and it has no bends."""
    cap = thickness_of(spherical_cap(radius=50.0, half_angle=0.1 * pi, thickness=0.2))
    assert (cap.over_radius, cap.over_bend) == pytest.approx((0.004, 0.004))
    plate = thickness_of(circular_plate(radius=25.0, thickness=0.5))
    assert (plate.over_radius, plate.over_bend) == pytest.approx((0.02, 0.0))


def test_what_is_expected_is_one_sentence_with_its_source() -> None:
    for solid, words in ((SOLID, "plastic work that shear does in the solid (0.80 %), so by 0.40 %"), (ELASTIC, "t/R")):
        sentence = expected(THIN, solid)
        assert words in sentence
        assert sentence.endswith("(computed for this project).")
        assert sentence.count(". ") == 0


@pytest.mark.parametrize(
    ("most", "wanted"),
    [
        (5.2, (0.5, 1.0, 2.0, 3.0, 4.0, 5.0)),
        (2.93, (0.25, 0.5, 1.0, 1.5, 2.0, 2.5)),
        (0.0509, (0.005, 0.01, 0.02, 0.03, 0.04, 0.05)),
        (0.0, ()),
    ],
)
def test_growths_are_round(most: float, wanted: tuple[float, ...]) -> None:
    assert marks(most) == wanted
