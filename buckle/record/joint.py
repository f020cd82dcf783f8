"""What the parts of a container came to as one shell, under flat keys."""

from collections.abc import Iterator

from buckle.analysis.joint import KIND, InWhole, Joint, asked_of
from buckle.case import Case
from buckle.container.container import Container
from buckle.margins.wording import event_words
from buckle.record.container import JOINT
from buckle.record.differences import differences
from buckle.record.quantities import Fields, Record, plain_mapping
from buckle.record.reading import number_of, pairs_of, rows_of, texts_of
from buckle.results import BIFURCATION, Event
from buckle.units import bar, margin_pressure


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


def joint_disagreements(container: Container, recorded: Fields) -> Iterator[str]:
    """Yield what the record of a whole lacks of its parts as one shell, and what does not follow from its own loads.

    The loads themselves follow from no other part of the record.
    """
    seam = container.seam
    stiffness = None if seam is None else seam.rotational_stiffness
    key = f"{JOINT}seam_rotational_stiffness_N"
    yield from differences(key, stiffness, recorded.get(key))
    if seam is None:
        return
    rows, notes = list(rows_of(recorded.get(f"{JOINT}parts"))), texts_of(recorded.get(f"{JOINT}notes"))
    asked = asked_of(container)
    if not {str(row.get("part")) for row in rows} <= {each.name for each in asked}:
        yield f"{JOINT}parts: has parts that are not asked for a pressure from inside"
    for each in asked:
        name, row = each.name, next((row for row in rows if row.get("part") == each.name), None)
        if row is not None:
            yield from differences(f"{JOINT}parts ({name})", _row_again(row, each.case), dict(row), "its loads come to")
        elif not any(note.startswith(f"{name}: ") for note in notes):
            yield f"{JOINT}parts: has no {name}, and {JOINT}notes no reason"
    whole = f"{JOINT}{KIND}.governing_pressure_bar"
    if whole not in recorded and not any(note.startswith("the whole: ") for note in notes):
        yield f"{whole}: is missing, and {JOINT}notes give no reason"


def _row_again(row: Fields, case: Case) -> Fields:
    """Return the row of a part from its loads alone: by each edge, and in the whole."""
    loads = {edge: size for edge, value in pairs_of(row.get("by_edge_bar")) if (size := _positive(value)) is not None}
    joint, edge = _positive(row.get("joint_pressure_bar")), str(case.supports.outer_edge)
    if joint is None or edge not in loads:
        return {}
    words, _, waves = str(row.get("event")).partition(", n = ")
    event = Event(words, joint, int(waves) if waves.isdecimal() else 0)
    return plain_mapping(_row(InWhole(str(row["part"]), event, loads[edge], edge, loads)))


def _positive(value: object) -> float | None:
    pressure = margin_pressure(number_of(value))
    return pressure if pressure is not None and pressure > 0.0 else None


def _notes(joint: Joint) -> Iterator[str]:
    yield from joint.notes
    for each in joint.parts:
        if each.elsewhere:
            yield f"{each.name}: in the whole waves begin in the {each.elsewhere}, of another part that stays elastic"
