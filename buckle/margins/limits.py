"""What may be limited of a movement or a strain, and at which load that is asked."""

from dataclasses import dataclass

from buckle.case import Case


@dataclass(frozen=True)
class Limit:
    """A limit of movement or strain: what it is called, its unit, where a state tells its size, the pressure."""

    words: str
    unit: str
    attribute: str  # of Growth
    at_required: bool = False  # at the required pressure, not the service one
    after: bool = False  # after the pressure, not under it


LIMITS = {
    "growth": Limit("growth under pressure", "mm", "loaded"),
    "permanent_growth": Limit("growth that stays", "mm", "permanent", after=True),
    "stand_drop": Limit("drop of the stand", "mm", "stand_drop"),
    "plastic_strain": Limit("plastic strain of a face", "", "face_strain", at_required=True),
}


def is_at_required(case: Case, words: str) -> bool:
    """Tell whether a limit of movement or strain, by its words, is asked at the required load, not the service one."""
    limit = next(each for each in LIMITS.values() if each.words == words)
    return limit.at_required or case.requirements.service_pressure is None
