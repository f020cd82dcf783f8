"""A base on its stand and a neck under an axial force: the support, the hand formulas, what the study stored."""

import math
import tomllib
from typing import Any

import numpy as np
import pytest

import buckle
from buckle.analysis.setup import model_of, run_of
from buckle.case import Case, case_from_dict, replace_keys
from buckle.formulas import neck
from buckle.formulas.registry import FORMULAS
from buckle.landmarks import stand
from buckle.margins.hand import hand_calculations
from scripts.study.crush.bodies import COUNT, WHAT, bodies, by_hand
from scripts.study.crush.table import PAGE, at, claim, measured, read_table, spread
from scripts.tables.measured import with_measured
from tests.helpers.bodies import BASE, IDEAL
from tests.helpers.paths import ROOT

QUICK = {"estimate_error": False, "lower_bracket": False, "pictures": False}
PUSH = {"pressure_side": "inside", "increases": "axial_force", "axial_force_N": -1.0}
METAL = {"youngs_modulus_GPa": 69.0, "poissons_ratio": 0.33, "yield_stress_MPa": 280.0, "hardening": IDEAL}


def base(run: str = "MNA", shape: dict[str, Any] = BASE, **changes: Any) -> Case:
    """A base whose nose has one radius, so that its stand is in the middle of a run of the mesh."""
    tables = {
        "material": METAL,
        "shape": shape,
        "supports": {"outer_edge": "sleeve", "stand": "roller"},
        "loads": PUSH,
        "analyses": {"run": [run], "wave_numbers": [0, 0]},
    }
    return case_from_dict(replace_keys(tables, {key.replace("__", "."): value for key, value in changes.items()}))


def limit(case: Case, kind: str = "MNA") -> float:
    found = buckle.run(case, kind, **QUICK).axisymmetric
    assert found is not None
    return found.load


# The support ----------------------------------------------------------------------------------------------------------


def test_the_stand_is_a_vertex_across_which_forces_may_jump() -> None:
    """Its arc length by hand: what comes before the outer half of the nose, which turns by 90 - 26 degrees."""
    case = base()
    names = [piece.name for piece in case.meridian.pieces]
    expected = sum(piece.length for piece in case.meridian.pieces[: names.index("nose outer")])
    assert stand(case.meridian) == pytest.approx(expected, rel=1e-12)
    mesh = model_of(run_of(case, "GMNA")).shell.elements.mesh
    nearest = int(np.argmin(np.abs(mesh.vertices - expected)))
    assert mesh.vertices[nearest] == pytest.approx(expected, rel=1e-12)
    assert mesh.broken[nearest]
    unheld = model_of(run_of(base(supports={"outer_edge": "clamped"}, loads={"pressure_side": "inside"}), "GMNA"))
    assert np.min(np.abs(unheld.shell.elements.mesh.vertices - expected)) > 0.01


def test_the_stand_carries_the_force() -> None:
    """All of it, since nothing else is held along the axis; to the equilibrium that Newton leaves."""
    balance = buckle.run(base(loads__axial_force_N=-250.0), "LA", **QUICK).balance
    assert balance is not None
    assert [balance.applied, balance.reaction] == pytest.approx([-250.0, 250.0], rel=1e-7)


def test_a_closed_pressure_asks_nothing_of_the_stand() -> None:
    """It balances itself, so that holding nothing is the same; 5e-4: another mesh, and the plateau that ends MNA."""
    loads = {"pressure_side": "inside"}
    standing = limit(base(loads=loads))
    assert standing == pytest.approx(limit(base(loads=loads, supports={"outer_edge": "sleeve"})), rel=5e-4)


def test_a_base_written_as_any_meridian_stands_on_the_same_circle() -> None:
    """Its nose as one arc, within which the lowest circle must be found; 1e-6: the same mesh but for round-off."""
    case = base()
    pieces: list[dict[str, Any]] = []
    for piece in case.meridian.pieces:
        turn = math.degrees(float(piece.walk(np.zeros(1)).curvature[0]) * piece.length)
        if piece.name == "nose outer":
            pieces[-1]["turn_deg"] += turn
        elif turn:
            pieces.append({"arc_mm": 1.0 / piece.sharpest, "turn_deg": turn})
        else:
            pieces.append({"line_mm": piece.length})
    walk = {"family": "meridian", "start_mm": [0.0, BASE["dome_depth_mm"]], "heading_deg": 0.0, "inside": "left"}
    other = base(shape=walk | {"thickness_mm": BASE["gauge_mm"], "pieces": pieces})
    assert stand(other.meridian) == pytest.approx(stand(case.meridian), rel=1e-9)
    assert limit(other) == pytest.approx(limit(case), rel=1e-6)


def test_friction_helps() -> None:
    """Holding more can only raise a plastic limit."""
    assert limit(base(supports__stand="pinned")) > 1.05 * limit(base())


# By hand --------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("pressure", [0.0, 2.0])
def test_the_crush_of_a_stand_by_hand_is_the_plastic_limit(pressure: float) -> None:
    """5 %: the sandwich of the chain lies 2 to 4 % below the full wall on 40 bases; a base of none of them."""
    case = base(loads__pressure_bar=pressure)
    (formula,) = hand_calculations(case)["MNA"]
    assert formula.name == "crush.stand"
    assert formula.value == pytest.approx(limit(case), rel=0.05)


def test_only_what_is_known_stands_beside() -> None:
    """The formula is of a stand that may widen, of closed ends, and of a push."""
    for changes in (
        {"supports__stand": "pinned"},
        {"loads": PUSH | {"pressure_bar": 1.0, "end_thrust": False}},
        {"loads": PUSH | {"pressure_bar": 0.01, "pressure_side": "outside"}},
    ):
        assert not any(hand_calculations(base(**changes)).values())


def test_arcs_wider_than_the_step_make_no_neck() -> None:
    """8 (1 - cos 30 deg) = 1.07 of arcs in a step of 1."""
    arcs = {"shoulder_radius": 4.0, "throat_radius": 4.0, "cone_angle": math.radians(30.0)}
    found = neck.crush(yield_stress=280.0, wall_radius=29.0, neck_radius=28.0, wall_height=9.0, thickness=0.15, **arcs)
    assert found.value is None
    assert "wider than the step" in found.reason


def test_a_held_cone_buckles_at_its_formula() -> None:
    """cos^2(30 deg) of a cylinder's 2 pi E t^2 / sqrt(3 (1 - nu^2)), by hand 12299.5 N; the benchmark computes it."""
    size = {"youngs_modulus": 69e3, "poissons_ratio": 0.3, "thickness": 0.25}
    found = neck.cone_axial_force(**size, wall_radius=100.0, cone_angle=math.radians(30.0))
    assert found.value == pytest.approx(12299.5, rel=1e-5)
    bound = neck.cone_axial_force_lower_bound(**size, wall_radius=100.0, cone_angle=math.radians(30.0))
    assert bound.value == pytest.approx(0.33 * 12299.5, rel=1e-5)


# What the study measured ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "what"), [("crush.stand", "bases"), ("crush.neck", "necks")])
def test_statements_tell_what_was_measured(name: str, what: str) -> None:
    rows = read_table(what)
    assert len(at(rows, 0.0)) == COUNT
    assert claim(what, rows) in FORMULAS[name].statement.validity
    assert spread(at(rows, 0.0), "MNA").variation < 0.01


def test_the_page_tells_what_was_measured() -> None:
    page = PAGE.read_text(encoding="utf-8")
    assert with_measured(page, "crush", measured({what: read_table(what) for what in WHAT})) == page


@pytest.mark.parametrize("what", WHAT)
def test_stored_formula_values_are_those_of_the_formula(what: str) -> None:
    """0.2 %: another processor's round-off may end the search for the easiest motion a round sooner or later."""
    stored = [row["formula_N"] for row in read_table(what)[:9]]
    assert [by_hand(case) for _, _, case in bodies(what, 3)] == pytest.approx(stored, rel=2e-3)


@pytest.mark.slow
@pytest.mark.study
@pytest.mark.parametrize("what", WHAT)
def test_stored_limits_are_those_of_the_engine(what: str) -> None:
    """0.5 %: the tables are written at most once a release, and paths may be stepped differently meanwhile."""
    for row, (_, _, case) in list(zip(read_table(what), bodies(what, COUNT), strict=True))[::30]:
        for kind in ("MNA", "GMNA"):
            assert limit(case, kind) == pytest.approx(row[f"{kind}_N"], rel=5e-3)


# The demonstration ----------------------------------------------------------------------------------------------------


@pytest.mark.slow
@pytest.mark.study
@pytest.mark.parametrize(
    ("changes", "force"),
    [({}, 1119.0), ({"supports.stand": "pinned"}, 1439.0), ({"loads.pressure_bar": 2.0}, 1568.0)],
)
def test_the_page_tells_what_the_demonstration_carries(changes: dict[str, Any], force: float) -> None:
    """To the last digit that docs/crush.md prints."""
    tables = tomllib.loads((ROOT / "cases" / "demo" / "stand.toml").read_text(encoding="utf-8"))
    found = limit(case_from_dict(replace_keys(tables, changes)), "GMNA")
    assert found == pytest.approx(force, abs=0.6)
    assert f"{force:,.0f} N" in PAGE.read_text(encoding="utf-8")
