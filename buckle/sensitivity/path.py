"""Derivatives of everything that a path tells: its limits, the onset of waves, what stops it, movements."""

from collections.abc import Callable, Iterator, Sequence
from functools import partial

from buckle.analysis.allowed import readings, stop_at
from buckle.analysis.followed import Followed
from buckle.analysis.stops import stops_of
from buckle.analysis.unload import AtLoad, loading, unloading
from buckle.analysis.views import stand_drop
from buckle.errors import SolveError
from buckle.sensitivity.columns import Columns, columns_of
from buckle.sensitivity.events import Reading, like, limit_slopes, stop_slopes
from buckle.sensitivity.march import Link, StateRates
from buckle.sensitivity.slopes import Slopes, lowest
from buckle.sensitivity.tree import Node, Tree
from buckle.sensitivity.variants import Body, Neighbours, one_sided, variant_of
from buckle.sensitivity.waves import onset_slopes
from buckle.shell.operators import Evaluation
from buckle.solve.bifurcation import Bifurcation
from buckle.solve.path import PathPoint
from buckle.solve.trace import Stop, first_beyond

Named = dict[str, Slopes]


def path_slopes(followed: Followed, neighbours: Sequence[Neighbours], *, movements: bool = True) -> Named:
    """Derivatives by name, loads in MPa or N and, where they are asked for, movements in mm. Raises SolveError."""
    run, trace = followed.run, followed.trace
    variants = [variant_of(run, trace.model, each) for each in neighbours]
    columns = columns_of(trace.model, [each for each in variants if not each.idle])
    tree, found, body = Tree(trace.model), Named(), Body(run.case, trace.model)
    if trace.limit is not None:
        _add_limit(tree, found, "limit", trace.limit)
    highest = trace.highest
    if followed.outcome.peak is not None and highest in trace.limits:
        _add_limit(tree, found, "peak", highest)
    elif followed.outcome.peak is not None and trace.stopped is not None:
        _add_stop(tree, found, "peak", highest, Reading(body, columns, beyond_stop(followed, highest)))
    low, high = run.case.analyses.wave_numbers
    for name, onset, theory in (
        ("bifurcation", followed.onset, "flow"),
        ("deformation_theory_bifurcation", followed.by_deformation, "deformation"),
    ):
        if onset is not None:
            _add_onset(tree, found, name, onset, ((theory, range(low, high + 1)), columns))
    if run.finite and movements:
        _add_allowed(tree, found, followed, columns)
        _add_movements(tree, found, followed, columns)
    tree.work_out(columns)
    found = {name: one_sided(each, columns.variants) for name, each in found.items()}
    events = {
        word: found[name] for name, word in EVENTS.items() if name in found and (name != "limit" or "peak" not in found)
    }
    capacity = lowest(events)
    found.pop("peak", None)
    found = found if capacity is None else {**found, "capacity": capacity}
    return {name: each.among([not variant.idle for variant in variants]) for name, each in found.items()}


EVENTS = {"limit": "a limit", "peak": "the highest load", "bifurcation": "an onset of waves"}
"""What a capacity is the lowest of, in words."""


def _add_limit(tree: Tree, found: Named, name: str, point: PathPoint) -> None:
    def handle(link: Link, before: StateRates, rates: StateRates) -> None:
        found[name] = limit_slopes(point, rates)

    tree.at_point(point).handlers.append(handle)


def _add_stop(tree: Tree, found: Named, name: str, point: PathPoint, reading: Reading) -> None:
    def handle(link: Link, before: StateRates, rates: StateRates) -> None:
        found[name] = stop_slopes(point, link, rates, reading)

    tree.event(point, handle)


def _add_onset(tree: Tree, found: Named, name: str, onset: Bifurcation, how: tuple[tuple[str, range], Columns]) -> None:
    def handle(link: Link, before: StateRates, rates: StateRates) -> None:
        found[name] = onset_slopes(onset, *how, (link, before, rates))

    tree.event(onset.point, handle)


def beyond_stop(followed: Followed, point: PathPoint) -> Callable[[Body, Evaluation], float]:
    """What is read off states to tell how far beyond the stop they are that ended a path."""
    run, stopped = followed.run, followed.trace.stopped
    assert stopped is not None
    stops = stops_of(run.case, followed.trace.model).stops
    near = [at for at, stop in enumerate(stops) if stop.kind == stopped.kind]
    index = min(near, key=lambda at: abs(stops[at].excess(point)))
    return lambda body, at: stops_of(body.case, body.model, body.movement).stops[index].excess(like(point, at))


def _add_allowed(tree: Tree, found: Named, followed: Followed, columns: Columns) -> None:
    """Add the loads at which what a case allows is reached, where the path rises to them."""
    run, trace = followed.run, followed.trace
    body = Body(run.case, trace.model)
    loads = {each.quantity: each.load for each in followed.outcome.allowed}
    for index, stop in enumerate(_stops(body)):
        if loads.get(stop.kind) is None:
            continue
        point = first_beyond(trace, stop, run.settings, trace.highest)
        if point is None or point.load_factor < (loads[stop.kind] or 0.0):
            continue  # it is reached in a dip of the path: the load is that of a limit before
        read = partial(_excess, index, point)
        _add_stop(tree, found, f"{stop.kind}_reached", point, Reading(body, columns, read))


def _excess(index: int, point: PathPoint, body: Body, at: Evaluation) -> float:
    return list(_stops(body))[index].excess(like(point, at))


def _stops(body: Body) -> Iterator[Stop]:
    for name, allowed, read in readings(body.case, body.model.shell, body.movement):
        yield stop_at(name, allowed, read)


def _add_movements(tree: Tree, found: Named, followed: Followed, columns: Columns) -> None:
    """Add movements under the service load, else the required one, and what of them stays."""
    run, trace = followed.run, followed.trace
    body = Body(run.case, trace.model)
    load = run.case.requirements.service_pressure or run.case.required_load
    if load is None or all(each.load != load for each in followed.outcome.growth):
        return
    try:
        start, states = loading(trace, load, run.settings)
        node = tree.from_point(start, states)
        _add_reading(node, found, "growth", states[-1], Reading(body, columns, _growth))
        if stand_drop(body.movement, states[-1].at.x) is not None:
            _add_reading(node, found, "stand_drop", states[-1], Reading(body, columns, _drop))
        if states[-1].at.history is not None and trace.model.load.increasing.is_pressure:
            after = unloading(trace.model, states[-1].at, load, run.settings)
            last = tree.from_node(node, after)
            _add_reading(last, found, "permanent_growth", after[-1], Reading(body, columns, _growth))
    except SolveError:
        return  # no growth is told either


def _add_reading(node: Node, found: Named, name: str, state: AtLoad, reading: Reading) -> None:
    def handle(link: Link, before: StateRates, rates: StateRates) -> None:
        found[name] = reading.slopes(state.at, rates)

    node.handlers.append(handle)


def _growth(body: Body, at: Evaluation) -> float:
    return body.movement.growth(at.x)


def _drop(body: Body, at: Evaluation) -> float:
    return body.movement.ring_travel(at.x)
