"""The same steps on a neighbouring body: what a derivative is of, told by Newton's iteration alone.

Each state of a path is found again on a body with one number changed, from the history that the states before it leave
there, on the same plane across the path as on the body itself. Nothing of the differentiation is used. A whole run
takes steps of its own on each body, by which what it finds is known to a few hundred-thousandths only: over a step of
1e-4 of a number that is some per cent of a derivative.
"""

from dataclasses import replace

import numpy as np

from buckle.analysis.unload import loading, unloading
from buckle.bands.lapack import factor, nearest_zero
from buckle.errors import SolveError
from buckle.sensitivity.march import Link, link_of
from buckle.sensitivity.path import beyond_stop
from buckle.sensitivity.tree import way_to
from buckle.shell.operators import evaluate, residual, tangent, wave_operator

CLOSED = 1e-10  # mm or rad that Newton may leave undone
TURNS = 25
BESIDE, NEARLY = 0.02, 2e-3  # of the last step, by which a state is moved along the path, and at last


def replays(followed):
    """{quantity: what works it out on a body (case, model)} of a path that was followed, loads in MPa."""
    run, trace = followed.run, followed.trace
    found = {}
    if trace.limit is not None:
        found["limit"] = _load_of(trace, trace.limit)
    if followed.outcome.peak is not None and trace.stopped is not None and trace.highest not in trace.limits:
        found["peak"] = _stop_of(trace, trace.highest, beyond_stop(followed, trace.highest))
    if followed.onset is not None:
        found["bifurcation"] = _onset_of(trace, followed.onset)
    load = run.case.requirements.service_pressure
    if load is not None and any(each.load == load for each in followed.outcome.growth):
        start, states = loading(trace, load, run.settings)
        links = [*_links(trace, start), *_at_loads(trace, states)]
        found["growth"] = lambda body: body.movement.growth(_walked(body.model, links)[0].x)
        if states[-1].at.history is not None:
            after = [*links, *_at_loads(trace, unloading(trace.model, states[-1].at, load, run.settings))]
            found["permanent_growth"] = lambda body: body.movement.growth(_walked(body.model, after)[0].x)
    return found


def _links(trace, point):
    way = way_to(trace.model, point)
    return [link_of(model, each) for model, each in reversed(way if point.at.history is not None else way[:1])]


def _at_loads(trace, states):
    return [Link(trace.model, each.at, each.load, each.before.history) for each in states]


def _load_of(trace, point):
    links = _links(trace, point)
    return lambda body: _walked(body.model, links)[1]


def _stop_of(trace, point, excess):
    links = _links(trace, point)

    def load(body):
        low, high = (_walked(body.model, links, aside) for aside in (-BESIDE, BESIDE))
        beyond = [excess(body, state[0]) for state in (low, high)]
        return low[1] + (high[1] - low[1]) * beyond[0] / (beyond[0] - beyond[1])

    return load


def _onset_of(trace, onset):
    links, n = _links(trace, onset.point), onset.wave_number

    def crossing(model, asides):
        """Where along the last step the eigenvalue of the waves is nil, and the load there."""
        states = [_walked(model, links, aside) for aside in asides]
        operators = [wave_operator(model, *state[:2], "flow", state[2]) for state in states]
        values = [nearest_zero(operator.at(n), onset.mode)[0] for operator in operators]
        share = values[0] / (values[0] - values[1])
        return tuple(a + share * (b - a) for a, b in (asides, (states[0][1], states[1][1])))

    def load(body):
        aside, _ = crossing(body.model, (-BESIDE, BESIDE))
        return crossing(body.model, (aside - NEARLY, aside + NEARLY))[1]

    return load


def _walked(model, links, aside=0.0):
    """State, load and direction onward at the end of the steps on a body, `aside` of the last step farther."""
    at, drift = None, 0.0
    for link in links:
        last = link is links[-1]
        own = replace(model, load=link.model.load)
        old = model.shell.wall.virgin if at is None else at.history
        if at is not None and link.along and old is not None:
            step = link.step * (1.0 + (aside if last else 0.0))
            old = replace(old, position=old.position + step * drift)
        new, load, onward = _found(own, link, old, aside if last else 0.0)
        if link.along and new.history is not None:
            drift = (new.history.position - at.history.position) / link.step
        at = new
    return at, load, onward


def _found(model, link, old, aside):
    """Newton's iteration to a state on the plane of a step, or at its load."""
    x, load = link.at.x.copy(), link.load
    for _ in range(TURNS):
        at = evaluate(model, x, old)
        lu = factor(tangent(model, at, load))
        fall, rise = (lu.solve(model.supports.freed(each)) for each in (-residual(at, load), at.increasing))
        if link.along:
            metric, onward = link.start.metric, link.start.tangent
            weighted, share = metric.weights * onward.x, onward.load_factor / metric.load_scale**2
            off = weighted @ (x - link.at.x) + share * (load - link.load) - aside * link.step
            more = -(off + weighted @ fall) / (weighted @ rise + share)
            fall, load = fall + more * rise, load + more
        x = x + fall
        if np.max(np.abs(fall)) <= CLOSED:
            onward = rise if not link.along else rise * np.sign(rise @ link.start.tangent.x)
            return evaluate(model, x, old), load, onward
    raise SolveError("the steps could not be taken again", "a shorter step")
