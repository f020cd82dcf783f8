"""How an analysis of a record was made: discretisation, what a coarser one changes, equilibrium."""

from collections.abc import Mapping
from dataclasses import dataclass

from buckle.record.quantities import Fields
from buckle.record.reading import list_of, number_of, pairs_of
from buckle.record.sheet.ladder import event_words


@dataclass(frozen=True)
class Evidence:
    """Discretisation of one analysis, what coarser ones change, and its axial equilibrium."""

    kind: str
    status: str
    event: str  # of the governing pressure; else empty
    reason: str
    remedy: str
    settings: Mapping[str, object]
    convergence_percent: Mapping[str, float]
    numerical_error_percent: float | None
    applied_N: float | None  # noqa: N815 - keys carry their unit
    reaction_N: float | None  # noqa: N815
    notes: tuple[str, ...]

    @property
    def ended(self) -> str:
        """How the analysis ended, with its event or its reason."""
        more = self.event or self.reason
        return f"{self.status}: {more}" if more else self.status

    @property
    def imbalance(self) -> float | None:
        """Applied plus reaction force over the larger of the two."""
        if self.applied_N is None or self.reaction_N is None:
            return None
        return abs(self.applied_N + self.reaction_N) / (max(abs(self.applied_N), abs(self.reaction_N)) or 1.0)


def evidence_of(recorded: Fields, kind: str) -> Evidence:
    """Return the evidence of one analysis."""
    balance = recorded.get(f"{kind}.balance")
    forces = balance if isinstance(balance, Mapping) else {}
    changes = recorded.get(f"{kind}.convergence_percent")
    return Evidence(
        kind,
        str(recorded[f"{kind}.status"]),
        event_words(recorded, kind),
        str(recorded.get(f"{kind}.reason", "")),
        str(recorded.get(f"{kind}.remedy", "")),
        dict(pairs_of(recorded.get(f"{kind}.settings"))),
        {key: float(value) for key, value in changes.items()} if isinstance(changes, Mapping) else {},
        number_of(recorded.get(f"{kind}.numerical_error_percent")),
        number_of(forces.get("applied_N")),
        number_of(forces.get("reaction_N")),
        tuple(map(str, list_of(recorded.get(f"{kind}.notes")))),
    )
