"""What the parts of a container came to as one shell, under flat keys."""

from collections.abc import Iterator

from buckle.analysis.joint import KIND, InWhole, Joint
from buckle.margins.wording import event_words
from buckle.record.container import JOINT
from buckle.record.quantities import Fields, Record, plain_mapping
from buckle.results import BIFURCATION, Event
from buckle.units import bar


def joint_fields(joint: Joint, stiffness: float) -> Record:
    """Return the fields of the whole and a row for each part; `stiffness` is that of the seam [N]."""
    whole = joint.whole
    return plain_mapping(
        {
            f"{JOINT}seam_rotational_stiffness_N": stiffness,
            f"{JOINT}{KIND}.governing_pressure_bar": None if whole is None else bar(whole.load),
            f"{JOINT}{KIND}.governing_event": None if whole is None else whole.kind,
            f"{JOINT}{KIND}.bifurcation_wave_number": None if whole is None else _waves(whole),
            f"{JOINT}parts": [_row(each) for each in joint.parts],
            f"{JOINT}notes": list(_notes(joint)) or None,
        }
    )


def _waves(event: Event) -> int | None:
    return event.wave_number if event.kind == BIFURCATION else None


def _row(each: InWhole) -> Fields:
    joint, nearest = each.event.load, each.nearest
    return {
        "part": each.name,
        "event": event_words(each.event.kind, _waves(each.event)),
        "joint_pressure_bar": bar(joint),
        "alone_pressure_bar": bar(each.alone),
        "alone_over_joint": each.alone / joint,
        "edge": each.edge,
        "nearest_edge": nearest,
        "nearest_over_joint": each.by_edge[nearest] / joint,
        "by_edge_bar": {edge: bar(load) for edge, load in each.by_edge.items()},
    }


def _notes(joint: Joint) -> Iterator[str]:
    yield from joint.notes
    for each in joint.parts:
        if each.elsewhere:
            yield f"{each.name}: in the whole waves begin in the {each.elsewhere}, of another part that stays elastic"
