"""The rolling mechanism: limit analysis against closed forms and its own theorems, and what the study measured."""

import math
import tomllib
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from buckle.case import case_from_dict
from buckle.case.replace import replace_keys
from buckle.formulas.registry import FORMULAS
from buckle.formulas.stand.mechanism import Chain, Voce, chain, collapse, easiest, moved, rates_of
from buckle.formulas.stand.outline import bend, nodes, straight
from buckle.formulas.stand.sections import InnerSide, OuterSide, base_chain, dome_chain
from buckle.margins.hand import hand_calculations
from scripts.study.rolling.bodies import feasible, formula_of
from scripts.study.rolling.table import PAGE, measured, read_table, spread
from scripts.tables.measured import with_measured
from tests.helpers.paths import ROOT

IDEAL = Voce(0.0, 1.0)
INNER = InnerSide(6.15, 0.105, 0.0, 0.0, 0.0, 7.37, 8.52, 169.3, 0.4785)
OUTER = OuterSide(6.15, 0.489, 4.44, 11.1, -0.524)
STAND = 89.4


def base(law: Voce = IDEAL) -> Chain:
    """Base set A (see tests/validation/test_trade_pressures.py) in thicknesses."""
    return chain(base_chain(STAND, INNER, OUTER), 1.0, law)


def metal(body: Chain) -> float:
    """Volume of metal per radian, with links as frusta of constant thickness."""
    length = np.hypot(*np.diff(body.nodes, axis=0).T)
    return float(np.sum(body.thickness * length * 0.5 * (body.nodes[1:, 0] + body.nodes[:-1, 0])))


def volume(body: Chain) -> float:
    """(1/2) integral of r^2 dz per radian over straight links."""
    r, z = body.nodes.T
    return float(np.sum((r[1:] ** 2 + r[1:] * r[:-1] + r[:-1] ** 2) * np.diff(z)) / 6.0)


def moved_node(body: Chain, index: int, step: float) -> Chain:
    shifted = body.nodes.copy()
    shifted.reshape(-1)[index] += step
    return replace(body, nodes=shifted)


# Walk -----------------------------------------------------------------------------------------------------------------


def test_a_walk_ends_where_its_arcs_and_lines_end():
    """Quarter circle of 2, then 3 straight up: from (0, 0) to (2, 2) and (2, 5); nodes of an arc lie on it."""
    found = nodes((0.0, 0.0), 0.0, [bend(2.0, 0.5 * math.pi), bend(0.0, 0.0), straight(3.0)], 0.25)
    assert found[-1] == pytest.approx([2.0, 5.0], abs=1e-12)
    on_arc = found[found[:, 1] < 2.0]
    assert np.hypot(on_arc[:, 0], on_arc[:, 1] - 2.0) == pytest.approx(2.0, rel=1e-12)


def test_graded_links_grow_and_add_up():
    lengths = np.diff(nodes((0.0, 0.0), 0.0, [straight(20.0, graded=True)], 1.0)[:, 0])
    assert lengths.sum() == pytest.approx(20.0, rel=1e-12)
    assert np.all(np.diff(lengths) > 0.0)
    assert lengths[0] <= 1.0


# Limit analysis -------------------------------------------------------------------------------------------------------


def test_a_hemisphere_bursts_at_its_squash_pressure():
    """2 sigma t / R, theory (membrane state at yield everywhere is in equilibrium): held at the equator, R/t = 100.

    0.5 %: the bound of the chain lies above by what its links are longer than nothing.
    """
    half = nodes((0.0, 100.0), 0.0, [bend(100.0, -0.5 * math.pi)], 2.0)
    half[0, 0] = 0.0
    found = easiest(chain(half, -1.0, IDEAL)).pressure
    assert found == pytest.approx(0.02, rel=5e-3)


def test_no_other_motion_is_easier():
    """The kinematic theorem: work over volume swept is least for the motion found, to the accuracy of the search."""
    body = base()
    motion, rates = easiest(body), rates_of(body)
    rng = np.random.default_rng(61803)
    for size in (1e-3, 1e-2, 0.1):
        for _ in range(20):
            other = motion.velocity + size * rng.standard_normal(len(motion.velocity)) * np.abs(motion.velocity)
            a, g = rates.layer @ other, rates.around @ other
            work = 2.0 / math.sqrt(3.0) * float(rates.weight @ np.sqrt(a * a + a * g + g * g))
            assert work / float(rates.swept @ other) > motion.pressure * (1.0 - 2e-3)


def test_a_motion_along_the_axis_strains_nothing():
    """The fall of the whole chain by one: the held node stays out of it, so only the last links may strain."""
    rates = rates_of(base())
    fall = np.zeros(rates.swept.size)
    fall[0::2] = 1.0
    links = rates.stretch.shape[0]
    strain = (rates.layer @ fall).reshape(2, links, -1)
    assert np.abs(strain[0, :-1]).max() < 1e-12
    assert np.abs(strain[1, :-2]).max() < 1e-12
    assert np.abs(strain[:, -1]).max() > 0.1


def test_the_volume_swept_is_the_change_of_volume():
    """Central difference in every free velocity; exact for a cubic but for round-off and the step squared."""
    body = base()
    swept = rates_of(body).swept
    for index in range(len(swept)):
        number = index + 1  # v_r of the node on the axis is not free
        change = volume(moved_node(body, number, 1e-4)) - volume(moved_node(body, number, -1e-4))
        assert change / 2e-4 == pytest.approx(swept[index], rel=1e-6, abs=1e-5)


def test_metal_keeps_its_volume():
    """Links stretch, thin and move outward by the same rates; the rest is of second order in the step."""
    body = base()
    motion = easiest(body)
    changes = []
    for step in (0.4, 0.2):
        after = moved(body, motion, step / abs(motion.speed))
        changes.append(abs(metal(after) / metal(body) - 1.0))
    assert changes[0] < 1e-3
    assert changes[1] < 0.6 * changes[0]


def test_hardening_raises_the_limit_but_not_the_start():
    soft, hard = collapse(base()), collapse(base(Voce(0.14, 40.0)))
    assert soft.met
    assert hard.met
    assert hard.start == pytest.approx(soft.start, rel=1e-12)
    assert 1.0 < hard.highest / soft.highest < 1.14


def test_a_dome_on_a_held_leg_carries_more_than_the_stand_starts_to_roll_at():
    """Holding more can only raise a collapse pressure."""
    dome = easiest(chain(dome_chain(STAND, INNER), 1.0, IDEAL)).pressure
    assert dome > easiest(base()).pressure


# What the study measured ----------------------------------------------------------------------------------------------


def test_scatter_is_within_the_goals():
    """Goals: 6 % for bases, 10 % for ends, no constant fitted. Computed for this project: scripts/rolling_study."""
    bases, ends = read_table("bases"), read_table("ends")
    assert len(bases) == len(ends) == 300
    assert spread(bases).variation < 0.06
    assert spread(ends).variation < 0.10
    # Better than what it replaces on the same bodies.
    assert spread(bases).variation < spread(bases, "parallel_MPa").variation
    assert spread(ends).variation < spread(ends, "parallel_MPa").variation


@pytest.mark.parametrize(
    ("name", "what", "choices"),
    [
        (
            "stand.base_rolling",
            "bases",
            "no constant fitted, but the form of the interaction chosen between two on half",
        ),
        ("stand.countersink_rolling", "ends", "nothing fitted"),
    ],
)
def test_statements_tell_what_was_measured(name: str, what: str, choices: str):
    """Bases join two mechanisms, and how was chosen on the same bases; ends have one mechanism and no choice."""
    found = spread(read_table(what))
    claim = (
        f"on {found.count} random {what} computed elastic-plastically for this project, formula over computed has mean"
        f" {found.mean:.2f}, coefficient of variation {100.0 * found.variation:.1f} %, extremes {found.lowest:.2f} and"
        f" {found.highest:.2f}, {choices}"
    )
    assert claim in FORMULAS[name].statement.validity


def test_the_page_tells_what_was_measured():
    page = PAGE.read_text(encoding="utf-8")
    tables = {what: read_table(what) for what in ("bases", "ends")}
    assert with_measured(page, "rolling", measured(tables)) == page


@cache
def bodies(what: str):
    return list(feasible(what, 30))


@pytest.mark.parametrize("what", ["bases", "ends"])
@pytest.mark.parametrize("number", [3, 17, 29])
def test_stored_formula_values_are_those_of_the_formula(what: str, number: int):
    """0.2 %: another processor's round-off may end the search for the easiest motion a round sooner or later."""
    index, _, case = bodies(what)[number]
    row = read_table(what)[number]
    assert row["number"] == index
    assert formula_of(what, case).value == pytest.approx(row["formula_MPa"], rel=2e-3)


# From a case ----------------------------------------------------------------------------------------------------------

DEMO = ROOT / "cases" / "demo"
COINED = {"coin_inner_diameter_mm": 30.0, "coin_outer_diameter_mm": 36.0, "coin_thickness_mm": 0.19}

TWO_RADII = {
    f"shape.{key}": value for key, value in (("dome_outer_radius_mm", 43.0), ("dome_centre_diameter_mm", 20.0))
}
CHIME = ("outer_leg_length_mm", "chime_radius_mm", "chime_angle_deg")


def by_hand(file: str, changes: dict[str, object], dropped: tuple[str, ...] = ()):
    """The formula beside the GMNA of a demo case with other keys."""
    tables = tomllib.loads((DEMO / file).read_text(encoding="utf-8"))
    for key in dropped:
        del tables["shape"][key]
    return hand_calculations(case_from_dict(replace_keys(tables, changes)))["GMNA"][0]


def test_a_voce_law_goes_through_unchanged():
    found = by_hand("base.toml", {"material.hardening": {"law": "voce", "increment_MPa": 31.0, "rate": 23.0}})
    assert found.number("Q") == pytest.approx(31.0, rel=1e-9)
    assert found.number("b") == pytest.approx(23.0, rel=1e-9)
    assert found.number("sigma_y") == pytest.approx(262.0, rel=1e-9)


@pytest.mark.parametrize(
    "law",
    [
        {"law": "none"},
        {"law": "linear", "modulus_MPa": 300.0},
        {"law": "swift", "offset": 0.01, "exponent": 0.05},
        {"law": "ramberg_osgood", "exponent": 30},
        {"law": "table", "points_MPa": [[0.0, 262.0], [0.02, 290.0]]},
    ],
)
def test_every_law_gives_a_pressure_near_that_of_one_like_it(law: dict[str, object]):
    """All of them flow at 262 to about 300 MPa over the strains of rolling, as the grade's own law does."""
    own = by_hand("falls_short.toml", {}).value
    assert by_hand("falls_short.toml", {"material.hardening": law}).value == pytest.approx(own, rel=0.12)


@pytest.mark.parametrize(
    ("file", "changes", "dropped"),
    [
        ("base.toml", TWO_RADII, ()),
        ("base.toml", {"shape.flat_centre_diameter_mm": 6.0}, ()),
        ("base.toml", {"shape.outer_leg_angle_deg": 30.0}, CHIME),
        ("end.toml", {"shape.panel_dome_radius_mm": 500.0}, ()),
        ("end.toml", {f"shape.{key}": value for key, value in COINED.items()}, ()),
        ("end.toml", {"shape.panel_wall_angle_deg": 4.0}, ()),
    ],
)
def test_every_kind_of_base_and_end_has_its_pressure(file: str, changes: dict[str, object], dropped: tuple[str, ...]):
    """Small changes of shape change the pressure a little; a quarter covers the widest, one straight outer leg."""
    own = by_hand(file, {}).value
    assert by_hand(file, changes, dropped).value == pytest.approx(own, rel=0.25)
