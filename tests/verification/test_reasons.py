"""Reasons why hand and computed values differ, each looked into again by other analyses of other cases.

Random bodies of all families, none of them among those that the reasons were written on. A reason that no test below
looks into fails.
"""

from collections.abc import Callable, Mapping
from itertools import islice
from typing import Any

import pytest

from buckle.analysis import run
from buckle.case import Case, case_from_dict, replace_keys
from buckle.margins.beside import events_of, speaks_of
from buckle.margins.explain import reasons, why
from buckle.margins.hand import hand_calculations
from buckle.margins.pair import Pair
from buckle.margins.plastic import loaded_tube
from buckle.margins.reason import CLOSE, GOOD_PART, LEAST, UNKNOWN, Reason
from buckle.results import BIFURCATION, GROWTH_CEILING, LIMIT_POINT, Outcome
from scripts.study.errors.bodies import _cases
from scripts.study.rolling.bodies import feasible, formula_of
from tests.helpers.bodies import IDEAL, TUBE
from tests.helpers.bodies import case as bodies_case

KINDS = ("LBA", "MNA", "GNA", "GMNA")
SEEN = 6  # bodies of each family that the reasons were written on
BODIES = {
    "domed_base": 4,
    "recessed_end": 2,
    "spherical_cap": 4,
    "complete_sphere": 2,
    "torispherical_head": 3,
    "ellipsoidal_head": 3,
    "cylinder": 2,
    "circular_plate": 1,
}
QUICK = {("domed_base", 0), ("spherical_cap", 0), ("cylinder", 0), ("torispherical_head", 0)}
OTHER_THEORY = 0.1
"""Between the tabulated caps and the elastic path of the same cap: near lambda = 5.6 their limit is 6 % low, as
they say, and waves, which the tables do not have there, begin 12 % below it."""
FAR = 10.0
"""Times a capacity: elastic paths that go on so far are strained so much that their laws have parted."""
SAME = 2e-3
"""Between the coarser mesh of a reason and the usual one."""
STRAIN_LAW = 0.02
"""Between elastic paths by engineering and by logarithmic strain: up to 1.8 % on containers."""


def body(family: str, number: int) -> Case:
    """A body of the study of error estimates."""
    return next(islice(_cases(family), number, None))[1]


def analysed(case: Case) -> dict[str, Outcome]:
    return {kind: run(case, kind, estimate_error=False, lower_bracket=False) for kind in KINDS}


def pairs(case: Case, outcomes: Mapping[str, Outcome]) -> list[Pair]:
    """Every formula in its range beside every event that has one."""
    found = []
    for kind, formulas in hand_calculations(case).items():
        for event in events_of(outcomes[kind]):
            own = [each for each in formulas if each.in_range and speaks_of(each, event, outcomes[kind])]
            found += [Pair(case, kind, event, each, outcomes, formulas) for each in own]
    return found


def capacity(case: Case, kind: str, **changes: Any) -> float:
    """Capacity [MPa] of the case with other values under some keys, requirements left out."""
    tables = {name: table for name, table in case.tables.items() if name not in ("requirements", "contents", "expect")}
    sentences_of = case_from_dict(
        replace_keys(tables, {key.replace("__", "."): value for key, value in changes.items()})
    )
    event = run(sentences_of, kind, estimate_error=False, lower_bracket=False, pictures=False).capacity
    assert event is not None
    return event.pressure


def clamped_dome(case: Case) -> dict[str, Any]:
    """The dome, crown or cap of a body alone, its edge clamped."""
    first = case.meridian.pieces[0]
    radius = 1.0 / first.sharpest
    return {
        "shape": {
            "family": "spherical_cap",
            "radius_mm": radius,
            "half_angle_rad": first.length / radius,
            "thickness_mm": first.thickness[0],
        },
        "supports": {"outer_edge": "clamped"},
        "loads": {"pressure_side": "outside"},
    }


def equivalent_torisphere(case: Case) -> dict[str, Any]:
    """EN 13445-3, clause 7.5.4 (from memory): r = D (0.5/K - 0.08), R = D (0.44 K + 0.02)."""
    shape = dict(case.tables["shape"])
    flatness, diameter = shape.pop("aspect_ratio"), shape["diameter_mm"]
    shape |= {
        "family": "torispherical_head",
        "knuckle_radius_mm": diameter * (0.5 / flatness - 0.08),
        "crown_radius_mm": diameter * (0.44 * flatness + 0.02),
    }
    return {"shape": shape}


# --- one look into each reason


def of_yielding(pair: Pair, reason: Reason) -> None:
    """Metal that never yields carries what the reason says, up to the same ceiling if one stops the body."""
    assert pair.kind == "GMNA"
    assert pair.outcome.yielded_at
    strong = 0.09 * pair.case.material.youngs_modulus  # the most that is taken for a metal
    elastic = capacity(pair.case, "GMNA", material__yield_stress_MPa=strong)
    assert reason.without is not None
    if reason.without < FAR * pair.computed:
        assert elastic == pytest.approx(reason.without, rel=STRAIN_LAW)
    assert elastic > 1.0 / (1.0 - LEAST) * pair.computed
    assert reason.having == pair.computed


def of_displacements(pair: Pair, reason: Reason) -> None:
    """Elastic path against linear bifurcation: of the same sense, and by themselves where the formula is linear."""
    linear, path = capacity(pair.case, "LBA"), capacity(pair.case, "GNA")
    assert (path > linear) == (reason.sense > 0)
    if pair.formula.name != "capacity.two_term" and pair.event.kind != GROWTH_CEILING:
        assert reason.without == pytest.approx(linear, rel=SAME)
        assert reason.having == pytest.approx(path, rel=SAME)


def of_imperfections(pair: Pair, reason: Reason) -> None:
    """The perfect clamped cap computed carries what the reason says is without imperfections in the bound."""
    assert reason.without == pair.hand
    assert reason.sense > 0
    if pair.formula.name == "cap.lower_bound":
        perfect = capacity(pair.case, "GNA", **clamped_dome(pair.case))
        assert reason.having == pytest.approx(perfect, rel=OTHER_THEORY)


def of_ring(pair: Pair, reason: Reason) -> None:
    """The dome alone and clamped carries what the reason says is without the ring or knuckle."""
    kind = "LBA" if pair.formula.name.startswith("sphere.") else "GNA"
    alone = capacity(pair.case, kind, **clamped_dome(pair.case))
    assert reason.without == pytest.approx(alone, rel=SAME if kind == "LBA" else OTHER_THEORY)
    own = {"shape__cylinder_length_mm": 0.0, "supports": {"outer_edge": "clamped"}} if "crown" in reason.words else {}
    assert reason.having == pytest.approx(capacity(pair.case, kind, **own), rel=SAME)
    assert "below" not in reason.words or _below_hinged(pair)


def of_cylinder(pair: Pair, reason: Reason) -> None:
    """The head alone, clamped, carries what the reason says."""
    alone = {"shape__cylinder_length_mm": 0.0, "supports": {"outer_edge": "clamped"}}
    assert reason.without == pytest.approx(capacity(pair.case, "LBA", **alone), rel=SAME)
    assert reason.having == pytest.approx(capacity(pair.case, "LBA"), rel=SAME)


def _below_hinged(pair: Pair) -> bool:
    hinged = capacity(pair.case, "GNA", **clamped_dome(pair.case) | {"supports": {"outer_edge": "pinned"}})
    return capacity(pair.case, "GNA") < (1.0 + OTHER_THEORY) * hinged


def of_edge(pair: Pair, reason: Reason) -> None:
    """The cap with its edge clamped carries what the reason says."""
    clamped = capacity(pair.case, "GNA", supports__outer_edge="clamped")
    assert reason.without == pytest.approx(clamped, rel=OTHER_THEORY)
    assert reason.having == pytest.approx(capacity(pair.case, "GNA"), rel=SAME)


def of_any_edge(pair: Pair, reason: Reason) -> None:
    """Zoelly's sphere of the cap's radius bifurcates where the reason says; 1.3 t/R is transverse shear."""
    radius, thickness = 1.0 / pair.case.meridian.pieces[0].sharpest, pair.case.meridian.pieces[0].thickness[0]
    shape = {"family": "complete_sphere", "radius_mm": radius, "thickness_mm": thickness}
    loads = {"pressure_side": "outside"}
    sphere = capacity(pair.case, "LBA", shape=shape, supports={}, loads=loads, analyses__wave_numbers=[0, 2])
    assert reason.without == pytest.approx(sphere / (1.0 - 1.3 * thickness / radius), rel=5e-3)
    assert reason.having == pytest.approx(capacity(pair.case, "LBA"), rel=SAME)


def of_moving_edge(pair: Pair, reason: Reason) -> None:
    """Held, the cap carries at least the membrane's pressure."""
    assert reason.sense < 0
    assert capacity(pair.case, "MNA", supports__outer_edge="clamped") > 0.995 * pair.hand


def of_held_edge(pair: Pair, reason: Reason) -> None:
    """Not held, the cap carries less than the membrane's pressure."""
    assert reason.sense > 0
    assert capacity(pair.case, "MNA", supports__outer_edge="guided") < pair.hand


def of_what_holds_the_dome(pair: Pair, reason: Reason) -> None:
    """Held rigidly, the dome carries at least the membrane's pressure."""
    assert reason.sense < 0
    assert capacity(pair.case, "MNA", **clamped_dome(pair.case)) > 0.995 * pair.hand


def of_path(pair: Pair, reason: Reason) -> None:
    """Metal without hardening tells displacements from hardening: these act without it, that only with it."""
    mechanism = capacity(pair.case, "MNA")
    assert reason.without == pytest.approx(mechanism, rel=SAME)
    law = pair.case.tables["material"]["hardening"]["law"]
    assert "hardening" not in reason.words or (reason.sense > 0 and law != "none")
    ideal = capacity(pair.case, "GMNA", material__hardening={"law": "none"})
    if reason.words == "hardening":
        assert ideal < (1.0 + SAME) * mechanism < pair.computed
    elif "hardening" in reason.words:
        assert ideal < pair.computed
    else:
        assert (ideal > mechanism) == (reason.sense > 0)


def of_hardening_of_a_fit(pair: Pair, reason: Reason) -> None:
    """Metal without hardening carries less, by at least half of what the reason says."""
    assert reason.having is not None
    assert reason.without is not None
    ideal = capacity(pair.case, "GMNA", material__hardening={"law": "none"})
    assert pair.computed / ideal - 1.0 > 0.5 * (reason.having / reason.without - 1.0)


def of_ellipse(pair: Pair, reason: Reason) -> None:
    kind = "LBA" if pair.formula.name == "head.elastic_knuckle_buckling" else "MNA"
    torisphere = capacity(pair.case, kind, **equivalent_torisphere(pair.case))
    assert reason.without == pytest.approx(torisphere, rel=SAME)
    assert reason.having == pytest.approx(capacity(pair.case, kind), rel=SAME)


def of_the_fit(pair: Pair, reason: Reason) -> None:
    """The limit of the head, or of the torisphere taken for it, lies above the fit as its source says."""
    changes = equivalent_torisphere(pair.case) if pair.case.family == "ellipsoidal_head" else {}
    limit = capacity(pair.case, "MNA", **changes)
    assert reason.having == pytest.approx(limit, rel=SAME)
    assert 1.08 < limit / pair.hand < 1.37


def of_ends(pair: Pair, reason: Reason) -> None:
    free = {"supports__start_edge": "diaphragm", "supports__outer_edge": "diaphragm", "loads__axial_force_N": 0.0}
    assert reason.without == pytest.approx(capacity(pair.case, "LBA", **free), rel=SAME)
    assert reason.without == pytest.approx(pair.hand, rel=0.03)  # von Mises' formula is that of free ends


def of_force(pair: Pair, reason: Reason) -> None:
    """Without its force the body carries what the reason says; a tube by its plastic limit, others by waves."""
    kind = "MNA" if pair.formula.name.startswith("tube.") else "LBA"
    alone = capacity(pair.case, kind, loads__axial_force_N=0.0)
    assert reason.without == pytest.approx(alone, rel=SAME)
    assert (alone > capacity(pair.case, kind)) == (reason.sense < 0)


def of_waves_first(pair: Pair, reason: Reason) -> None:
    """Without waves in the range, the path goes on to the pressure that the reason says."""
    assert pair.event.kind == BIFURCATION
    assert pair.outcome.axisymmetric is not None
    assert reason.without == pair.outcome.axisymmetric.pressure > pair.computed


def of_more_waves(pair: Pair, reason: Reason) -> None:
    wide = capacity(pair.case, "GMNA" if pair.kind == "GMNA" else "LBA", analyses__wave_numbers=[0, 120])
    assert reason.sense > 0
    assert wide < pair.computed


def of_own_linear(pair: Pair, reason: Reason) -> None:
    assert (capacity(pair.case, "LBA") > pair.formula.number("p_el")) == (reason.sense > 0)


def of_own_mechanism(pair: Pair, reason: Reason) -> None:
    assert (capacity(pair.case, "MNA") > pair.formula.number("p_pl")) == (reason.sense > 0)


def of_own_elastic(pair: Pair, reason: Reason) -> None:
    assert (capacity(pair.case, "GNA") > pair.formula.number("p_el")) == (reason.sense > 0)


def of_rounding(pair: Pair, reason: Reason) -> None:
    """By the rule of Rankine and Merchant of the body's own two pressures, worked out here."""
    elastic, mechanism = capacity(pair.case, "GNA"), capacity(pair.case, "MNA")
    assert reason.without == pytest.approx(elastic * mechanism / (elastic + mechanism), rel=SAME)
    assert reason.without < pair.computed


def of_elastic_strain(pair: Pair, reason: Reason) -> None:
    """Metal four times as stiff carries more, by at least half of the difference."""
    assert pair.event.kind == LIMIT_POINT
    stiff = capacity(pair.case, "GMNA", material__youngs_modulus_GPa=4.0 * pair.case.material.youngs_modulus / 1e3)
    assert stiff - pair.computed > 0.5 * (pair.hand - pair.computed)


def of_ceiling(pair: Pair, reason: Reason) -> None:
    """Allowed to grow further, the body carries more."""
    assert pair.event.kind == GROWTH_CEILING
    assert capacity(pair.case, "GMNA", requirements__growth_ceiling_mm=8.0) > pair.computed


LOOKS: Mapping[str, Callable[[Pair, Reason], None]] = {
    "the axial force": of_force,
    "yielding": of_yielding,
    "displacements before buckling": of_displacements,
    "displacements, which small ones": of_path,
    "imperfections": of_imperfections,
    "what the dome stands on": of_ring,
    "the knuckle that holds the crown": of_ring,
    "the cylinder behind the head": of_cylinder,
    "an edge that moves outward": of_moving_edge,
    "an edge that is": of_edge,
    "an edge, which a complete sphere": of_any_edge,
    "a held edge": of_held_edge,
    "what holds the dome": of_what_holds_the_dome,
    "hardening, by the flow stress": of_hardening_of_a_fit,
    "hardening": of_path,
    "an ellipse instead": of_ellipse,
    "a fit below Tresca": of_the_fit,
    "ends that do not turn": of_ends,
    "waves, which begin first": of_waves_first,
    "waves beyond": of_more_waves,
    "waves outside the range": of_more_waves,
    "linear bifurcation of the body itself": of_own_linear,
    "the plastic limit of the body itself": of_own_mechanism,
    "the elastic path of the body itself": of_own_elastic,
    "the rule's rounding": of_rounding,
    "elastic strain": of_elastic_strain,
    "the ceiling on growth": of_ceiling,
}


def look_into(pair: Pair) -> list[Reason]:
    """Hold every reason given for a pair against its sense, its size and a look of its own."""
    given = list(reasons(pair))
    far = abs(pair.hand / pair.computed - 1.0) > CLOSE
    assert far or not given
    text = why(pair)
    assert (text.startswith(UNKNOWN)) == (far and not given)
    for reason in given:
        assert (pair.computed > pair.hand) == (reason.sense > 0), reason
        if reason.without is not None and reason.having is not None:
            assert (reason.having > reason.without) == (reason.sense > 0), reason
            part = abs(reason.having / reason.without - 1.0)
            assert part > LEAST / 1.1
            assert part > 0.5 * GOOD_PART * min(abs(pair.computed / pair.hand - 1.0), 1.0)
        look = next(LOOKS[start] for start in LOOKS if reason.words.startswith(start))
        look(pair, reason)
    return given


@pytest.mark.parametrize(
    ("family", "number"),
    [
        pytest.param(family, number, marks=() if (family, number) in QUICK else pytest.mark.slow)
        for family, count in BODIES.items()
        for number in range(count)
    ],
)
def test_every_reason_of_a_random_body_holds(family: str, number: int) -> None:
    case = body(family, SEEN + number)
    for each in pairs(case, analysed(case)):
        look_into(each)


# --- bodies whose reasons were false


def sentences_of(case: Case) -> dict[tuple[str, str], str]:
    """Sentence by kind of analysis and formula."""
    return {(pair.kind, pair.formula.name): why(pair) for pair in pairs(case, analysed(case))}


def test_a_cap_that_buckles_before_it_yields_is_not_explained_by_yielding() -> None:
    """Clamped cap, R/t = 456: its elastic-plastic capacity is 1.003 of the elastic one."""
    case = body("spherical_cap", 2)
    assert capacity(case, "GMNA") == pytest.approx(capacity(case, "GNA"), rel=5e-3)
    sentences = sentences_of(case)
    assert sentences["GMNA", "cap.lower_bound"].startswith("imperfections")
    assert not any("yield" in each for each in sentences.values())


@pytest.mark.parametrize(("index", "rolls"), [(0, True), (3, False)])
def test_rolling_is_named_on_the_base_that_rolls_only(index: int, rolls: bool) -> None:
    """By its formula the first base of the rolling study rolls, and the dome of its fourth turns over first."""
    case = next(case for number, _, case in feasible("bases", index + 1) if number == index)
    rolling = formula_of("bases", case)
    assert (rolling.number("p_roll") < rolling.number("p_snap")) is rolls
    sentences = sentences_of(with_waves(case))
    assert any("the stand rolls" in each for each in sentences.values()) is rolls
    assert "yielding" in sentences["GMNA", "sphere.classical_pressure"]
    assert sentences["GMNA", "stand.base_rolling"].startswith("elastic strain" if rolls else UNKNOWN)


def with_waves(case: Case) -> Case:
    return case_from_dict(replace_keys(case.tables, {"analyses.wave_numbers": [0, 20]}))


def loaded(force: float, law: dict[str, Any]) -> Case:
    """An open tube under inside pressure and a constant axial force [N]."""
    return bodies_case(
        TUBE,
        run="GMNA",
        side="inside",
        edges={"start_edge": "roller", "outer_edge": "free"},
        metal={"yield_stress_MPa": 250.0, "hardening": law},
        loads={"axial_force_N": force, "end_thrust": False},
        waves=(0, 0),
    )


VOCE = {"law": "voce", "increment_MPa": 60.0, "rate": 20.0}


def test_a_loaded_tube_is_explained_by_its_force_and_an_unloaded_one_by_hardening() -> None:
    case = loaded(-0.6 * 250.0 * 628.3, VOCE)
    for pair in pairs(case, analysed(case)):
        look_into(pair)
    sentences = sentences_of(case)
    assert sentences["MNA", "tube.open_limit"].startswith("the axial force")
    assert "hardening" not in sentences["GMNA", "tube.open_limit"]
    assert sentences["GMNA", "tube.open_limit"].startswith(("the axial force", UNKNOWN))
    assert sentences_of(loaded(0.0, VOCE))["GMNA", "tube.open_limit"].startswith("hardening: from [25 bar] to")


def test_the_force_of_a_tube_is_worked_out_as_the_analysis_finds_it() -> None:
    """0.05 % is the plateau at which a mechanism is called one, and t/(2R) of the force off the middle of the wall."""
    case = loaded(-0.6 * 250.0 * 628.3, IDEAL)
    mechanism = run(case, "MNA", estimate_error=False)
    assert mechanism.capacity is not None
    formula = hand_calculations(case)["MNA"][0]
    pair = Pair(case, "MNA", mechanism.capacity, formula, {"MNA": mechanism})
    assert loaded_tube(pair) == pytest.approx(pair.computed, rel=5e-4)


def test_linear_bifurcation_of_a_cylinder_is_explained_by_its_ends_not_by_yielding() -> None:
    sentence = sentences_of(body("cylinder", 1))["LBA", "cylinder.hydrostatic_pressure"]
    assert sentence.startswith("ends that do not turn and warp freely")
    assert "yield" not in sentence


@pytest.mark.parametrize("force", [-9e4, 9e4])
def test_an_axial_force_explains_waves_of_a_cylinder_by_what_it_moves(force: float) -> None:
    """Squeezed, it has waves at less than the formula's pressure; drawn, at more."""
    shape = {"family": "cylinder", "radius_mm": 100.0, "length_mm": 150.0, "thickness_mm": 1.0}
    edges = {"start_edge": "pinned", "outer_edge": "diaphragm"}
    case = bodies_case(shape, run="LBA", edges=edges, loads={"axial_force_N": force}, waves=(0, 16))
    linear = run(case, "LBA", estimate_error=False)
    assert linear.capacity is not None
    formula = hand_calculations(case)["LBA"][0]
    given = look_into(Pair(case, "LBA", linear.capacity, formula, {"LBA": linear}))
    assert any(each.words.startswith("the axial force") for each in given)


def test_no_end_is_said_to_unroll() -> None:
    """Waves begin first: beside the collapse further up the formula agrees."""
    case = body("recessed_end", 0)
    sentences = [why(pair) for pair in pairs(case, analysed(case))]
    assert sum(each.startswith("waves, which begin first") for each in sentences) == 1
    assert not any("roll" in each for each in sentences)
