"""The steps that lead to all events of a path, each differentiated once: events share most of their way."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from buckle.analysis.unload import AtLoad
from buckle.sensitivity.columns import Columns
from buckle.sensitivity.march import Link, StateRates, first_rates, link_of, next_rates
from buckle.shell.model import Model
from buckle.solve.path import PathPoint

Handler = Callable[[Link, StateRates, StateRates], None]
"""What is made of a step: its link, the derivatives at its start and at its end."""


@dataclass(eq=False)
class Node:
    """A step of the way, what is made of it, and the steps that start from its end."""

    link: Link
    handlers: list[Handler] = field(default_factory=list)
    onward: list["Node"] = field(default_factory=list)


@dataclass(eq=False)
class Tree:
    """All steps of the way, from the start; of an elastic body, which has no history, each state alone."""

    model: Model
    roots: list[Node] = field(default_factory=list)
    nodes: dict[int, Node] = field(default_factory=dict)

    def at_point(self, point: PathPoint) -> Node:
        """Return the step that found a point of the path."""
        way = way_to(self.model, point)
        node = None
        for model, each in reversed(way if point.at.history is not None else way[:1]):
            known = self.nodes.get(id(each.at))
            node = known or self._add(link_of(model, each), node, each)
        assert node is not None
        return node

    def event(self, point: PathPoint, handler: Handler) -> None:
        """Hand the derivatives of a point of the path on, with those by the length of the last step."""
        origin = None
        if point.at.history is not None and point.origin is not None:
            origin = self.at_point(point.origin)
        self._add(link_of(self.model, point, last=True), origin).handlers.append(handler)

    def from_point(self, start: PathPoint, states: Sequence[AtLoad]) -> Node:
        """Return the last of the steps at fixed loads that lead on from a point."""
        return self.from_node(self.at_point(start) if states[-1].at.history is not None else None, states)

    def from_node(self, node: Node | None, states: Sequence[AtLoad]) -> Node:
        """Return the last of the steps at fixed loads that lead on from another; of an elastic body that alone."""
        elastic = states[-1].at.history is None
        for state in states[-1:] if elastic else states:
            node = self._add(Link(self.model, state.at, state.load, state.before.history), None if elastic else node)
        assert node is not None
        return node

    def work_out(self, columns: Columns) -> None:
        """Differentiate every step and hand on what was asked for. Raises SolveError."""
        waiting = [(root, first_rates(columns)) for root in self.roots]
        while waiting:
            node, before = waiting.pop()
            found = next_rates(columns, node.link, before)
            for handler in node.handlers:
                handler(node.link, before, found)
            waiting += [(each, found) for each in reversed(node.onward)]

    def _add(self, link: Link, origin: Node | None, point: PathPoint | None = None) -> Node:
        node = Node(link)
        (self.roots if origin is None else origin.onward).append(node)
        if point is not None:
            self.nodes[id(point.at)] = node
        return node


def way_to(model: Model, point: PathPoint) -> list[tuple[Model, PathPoint]]:
    """A point and all before it, each with what it solves: a constant pressure has been put on by a path of its own."""
    way: list[tuple[Model, PathPoint]] = []
    at: PathPoint | None = point
    while at is not None:
        way.append((model, at))
        model = model.pressurised if not at.step and at.origin is not None else model
        at = at.origin
    return way
