"""Of a set of deviated shapes the one that carries least is told, and one that cannot be followed leaves no answer."""

from dataclasses import dataclass, replace

import pytest

from buckle.analysis.most import MOST
from buckle.analysis.setup import Extras
from buckle.analysis.worst import BARE, least
from buckle.results import LIMIT_POINT, Allowed, Event, Growth, Outcome, Status
from tests.helpers import bodies


@dataclass
class Engine:
    """Outcomes by the deviated bodies, in their order, and what was asked for."""

    case: object
    outcomes: tuple[Outcome, ...]
    asked: list

    def __call__(self, case, kind, extras):
        at = next(i for i, each in enumerate(self.case.deviated) if each.meridian is case.meridian)
        self.asked.append((at, extras))
        return self.outcomes[at]


def solved(load):
    return Outcome("GNIA", Status.SOLVED, limit=Event(LIMIT_POINT, load), reached=load)


@pytest.fixture(scope="module")
def case():
    made = bodies.case(
        bodies.CAP, run="GNIA", edges={"outer_edge": "clamped"}, deviation={"shape": "class", "quality": "A"}
    )
    return replace(made, deviated=made.deviated[:3])


def test_the_least_is_run_again_with_all_that_was_asked_for(case):
    engine, extras = Engine(case, (solved(3.0), solved(1.5), solved(2.0)), []), Extras()
    found = least(case, "GNIA", extras, engine)
    assert found.limit.load == 1.5
    assert engine.asked == [(0, BARE), (1, BARE), (2, BARE), (1, extras)]
    assert found.notes[0].startswith(case.deviated[1].words)
    assert "the least of 3 deviated shapes" in found.notes[0]


def test_a_body_without_a_limit_counts_by_what_its_path_reached(case):
    endless = Outcome("GNIA", Status.NO_LIMIT, "no limit", reached=1.0)
    assert least(case, "GNIA", Extras(), Engine(case, (solved(3.0), endless, solved(2.0)), [])).reached == 1.0


def test_one_that_breaks_off_clearly_above_the_least_is_not_the_least(case):
    """Its capacity lies above what it was seen to carry: 1.06 is clear of 1, 1.04 is not."""
    broken = Outcome("GNIA", Status.FAILED, "it stalled", carried=1.06)
    found = least(case, "GNIA", Extras(), Engine(case, (solved(1.0), broken, solved(2.0)), []))
    assert found.limit.load == 1.0
    assert "1 of them could not be followed" in found.notes[0]
    near = replace(broken, carried=1.04)
    assert least(case, "GNIA", Extras(), Engine(case, (solved(1.0), near, solved(2.0)), [])).capacity is None
    assert least(case, "GNIA", Extras(), Engine(case, (broken, broken, broken), [])).capacity is None


def test_one_that_cannot_be_followed_leaves_no_answer(case):
    broken = Outcome("GNIA", Status.FAILED, "it stalled")
    found = least(case, "GNIA", Extras(), Engine(case, (solved(1.0), solved(2.0), broken), []))
    assert found.status is Status.FAILED
    assert found.capacity is None
    assert found.reason == f"{case.deviated[2].words}: it stalled"


def test_a_single_deviation_is_run_once(case):
    one = replace(case, deviated=case.deviated[:1])
    engine = Engine(one, (solved(3.0),), [])
    assert least(one, "GNIA", Extras(), engine).notes == ()
    assert len(engine.asked) == 1


def moving(load, growth, reached):
    states = (Growth(0.5, growth, permanent=None, face_strain=0.01), Growth(1.0, 3.0 * growth, permanent=growth))
    return replace(solved(load), growth=states, allowed=(Allowed("growth", 0.4, reached),))


def test_a_set_moves_as_far_as_the_one_that_moves_most(case):
    """The second carries least, the third grows 0.42 mm where the second grows 0.36."""
    outcomes = (moving(3.0, 0.3, None), moving(1.5, 0.36, 0.52), moving(2.0, 0.42, 0.47))
    found = least(case, "GNIA", Extras(), Engine(case, outcomes, []))
    assert found.limit.load == 1.5
    assert [each.loaded for each in found.growth] == pytest.approx([0.42, 1.26])
    assert [each.permanent for each in found.growth] == [None, 0.42]
    assert [each.load for each in found.allowed] == [0.47]
    assert found.unread == 0
    assert MOST in found.notes


def test_shapes_of_which_no_movement_is_known_are_counted(case):
    broken = Outcome("GNIA", Status.FAILED, "it stalled", carried=1.9)
    outcomes = (broken, moving(1.5, 0.36, 0.52), Outcome("GNIA", Status.NO_LIMIT, "no limit", reached=2.0))
    found = least(case, "GNIA", Extras(), Engine(case, outcomes, []))
    assert found.unread == 2
    assert MOST not in found.notes


def test_a_lower_class_dents_deeper():
    assert _depth("A") < _depth("B") < _depth("C")


def _depth(quality):
    made, z = _of_class(quality)
    return abs(float(made.deviated[0].meridian.at_s(0.0).z) - z)


def _of_class(quality):
    made = bodies.case(
        bodies.CAP, run="GNIA", edges={"outer_edge": "clamped"}, deviation={"shape": "class", "quality": quality}
    )
    return made, float(made.meridian.at_s(0.0).z)


def test_a_class_dents_by_a_part_of_its_gauge_length():
    """4 sqrt(300 * 1) mm times 0.010, more than 25 * 0.010 walls (EN 1993-1-6:2007, table 8.5, from memory)."""
    assert _depth("A") == pytest.approx(0.04 * 300.0**0.5, rel=1e-9)
