"""The parts of a container as one shell: what each carries in it, against what it carries alone, by how it is held."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from buckle.analysis import run
from buckle.case import Case
from buckle.case.models import Edge, Loads, Requirements, Supports
from buckle.container.container import Container, Loaded
from buckle.container.walk import Joined, joined_walk
from buckle.material import Material
from buckle.results import Event, Outcome
from buckle.shell.composed import Composition, Seam

KIND = "GMNA"
EDGES: tuple[Edge, ...] = ("clamped", "pinned", "roller", "guided", "sleeve", "diaphragm")
"""How the outer edge of a part that is looked at alone may be held; a free one carries no thrust."""
ALIKE = 2e-3
"""Part by which another edge must come nearer to what a part carries in the whole before it is named instead."""


@dataclass(frozen=True)
class InWhole:
    """A part by the name of its results: what it carries in the whole and alone [MPa], and by each other edge.

    In the whole only its own metal yields, so that no other part goes first for that reason. `elsewhere` names the
    piece of another part in which waves begin all the same.
    """

    name: str
    event: Event
    alone: float
    edge: str
    by_edge: Mapping[str, float]
    elsewhere: str = ""

    @property
    def nearest(self) -> str:
        """The edge with which the part alone carries nearly what it does in the whole: its own, if none is nearer."""
        apart = {edge: abs(load / self.event.load - 1.0) for edge, load in self.by_edge.items()}
        best = min(apart, key=lambda edge: apart[edge])
        return self.edge if apart.get(self.edge, ALIKE) <= apart[best] + ALIKE else best


@dataclass(frozen=True)
class Joint:
    """The whole with all metal yielding, None where its path was not followed to an event; and each part in it."""

    whole: Event | None
    parts: tuple[InWhole, ...]
    notes: tuple[str, ...]


def as_one_shell(container: Container) -> Joint:
    """Follow the whole as one shell, and each part that is asked for a pressure within it and alone.

    Raises ShapeError where the parts make no one walk.
    """
    walk = joined_walk(container)
    whole = _of_whole(container, walk, "")
    parts, notes = [], []
    for each in asked_of(container):
        name = each.name
        found = _in_whole(container, walk, name, each.part, each.case)
        if isinstance(found, str):
            notes.append(found)
        else:
            parts.append(found)
    return Joint(whole.governing, tuple(parts), (*notes, *_failure("the whole", whole)))


def asked_of(container: Container) -> tuple[Loaded, ...]:
    """Return the parts that are asked for a pressure from inside: those that are looked at in the whole."""
    return tuple(
        each
        for each in container.loaded
        if each.case.loads.increasing.is_pressure and each.case.loads.pressure_side == "inside"
    )


def _in_whole(container: Container, walk: Joined, name: str, part: str, case: Case) -> InWhole | str:
    """Return a part in the whole; in words why not, where one of them came to no event."""
    joint = _of_whole(container, walk, part)
    if joint.governing is None:
        return f"{name}: {joint.reason}"
    by_edge = dict(_by_edge(case))
    edge = str(case.supports.outer_edge)
    if edge not in by_edge:
        return f"{name}: alone it came to no event"
    pieces = {piece.name for piece in case.meridian.pieces}
    waves = joint.governing.piece
    return InWhole(name, joint.governing, by_edge[edge], edge, by_edge, waves if waves and waves not in pieces else "")


def _of_whole(container: Container, walk: Joined, part: str) -> Outcome:
    """Follow the path of the whole with the metal of one part yielding, or of all ('')."""
    cases = container.parts
    stretches = tuple(
        (end, _metal(cases[name].material, yields=part in ("", name))) for name, (_, end) in walk.parts.items()
    )
    seam = None if container.seam is None or walk.seam is None else Seam(walk.seam, container.seam.rotational_stiffness)
    case = replace(
        cases["base"],
        meridian=walk.meridian,
        supports=Supports(),
        loads=Loads(pressure_side="inside"),
        requirements=Requirements(),
    )
    return _followed(case, Composition(stretches, seam))


def _metal(material: Material, *, yields: bool) -> Material:
    return material if yields else replace(material, hardening=None)


def _by_edge(case: Case) -> Iterator[tuple[str, float]]:
    """Yield what a part carries alone by how its outer edge is held [MPa], where it comes to an event."""
    for edge in dict.fromkeys((case.supports.outer_edge, *EDGES)):
        held = replace(case, supports=case.supports.model_copy(update={"outer_edge": edge}))
        found = _followed(replace(held, requirements=Requirements()), None).governing
        if found is not None and edge is not None:
            yield edge, found.load


def _followed(case: Case, composed: Composition | None) -> Outcome:
    return run(case, KIND, estimate_error=False, lower_bracket=False, pictures=False, composed=composed)


def _failure(what: str, outcome: Outcome) -> Iterator[str]:
    if outcome.governing is None:
        yield f"{what}: {outcome.reason}"
