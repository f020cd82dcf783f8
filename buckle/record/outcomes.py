"""What analyses found, read back from a record as outcomes: as much of them as a judgement asks for.

What a record holds nowhere by itself is read off the margins and notes that tell it, which holds these to each other: a
stop of the path, onsets outside the range, strain that gathers.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from math import isclose

import numpy as np

from buckle.analysis.notes import STOPPED
from buckle.analysis.onset import BY_DEFORMATION as UNPLACED
from buckle.analysis.onset import GATHERS, NO_ONSET
from buckle.analysis.views import OUTSIDE
from buckle.case import Case
from buckle.increasing import Increasing
from buckle.margins.doubts import NO_BRACKET
from buckle.margins.limits import LIMITS
from buckle.margins.names import AXIAL_CRUSH, BY_DEFORMATION
from buckle.marked import marked
from buckle.record.agreement import ROUNDING
from buckle.record.quantities import Fields
from buckle.record.reading import number_of, rows_of, texts_of
from buckle.results import BIFURCATION, LIMIT_POINT, MOVEMENTS, Allowed, Event, Growth, Outcome, Status, WavePath
from buckle.shapes import FAMILIES
from buckle.units import margin_pressure

ELSEWHERE = "elsewhere"
"""Stands for the piece of a body that is crushed, where that is not the wall: a record does not name it."""
_OF_PATH = (LIMIT_POINT, *STOPPED)
_NONE = np.empty(0)


def outcomes_of(case: Case, recorded: Fields) -> list[Outcome]:
    """Return what a record tells of the analyses of its case, in their order."""
    return [_Analysis(case, recorded, kind).outcome() for kind in case.analyses.run if f"{kind}.status" in recorded]


@dataclass(frozen=True)
class _Analysis:
    """One analysis of a record."""

    case: Case
    recorded: Fields
    kind: str

    def outcome(self) -> Outcome:
        """Return what the record tells of it."""
        limit, peak = self._event(LIMIT_POINT, "limit"), self._peak()
        found = Outcome(
            kind=self.kind,
            status=Status(str(self._value("status"))),
            reason=str(self._value("reason") or ""),
            remedy=str(self._value("remedy") or ""),
            limit=limit,
            highest_limit=peak if peak is not None and peak.kind == LIMIT_POINT else None,
            peak=peak,
            bifurcation=self._event(BIFURCATION, "bifurcation"),
            deformation_bifurcation=self._event(BIFURCATION, "deformation_theory_bifurcation"),
            critical=tuple(self._critical()),
            waves=tuple(self._waves()),
            in_waves=f"{self.kind}.waves" in self.recorded,
            first_yield=self._load("first_yield"),
            growth=tuple(growth for at, growth in self._growths() if at != "capacity"),
            at_capacity=next((growth for at, growth in self._growths() if at == "capacity"), None),
            allowed=tuple(self._allowed()),
            unread=int(number_of(self._value("shapes_not_read")) or 0),
            outside=tuple(sorted(self._outside())),
            bracketed=self._is_bracketed(),
            gathering=self._gathering(),
            notes=self.notes,
            yielded_at=self._yielded_at(),
            reached=self._load("at_least") or 0.0,
            increasing=self.increasing,
        )
        return _with_error(found, number_of(self._value("numerical_error_percent")))

    @property
    def increasing(self) -> Increasing:
        """The load that increases."""
        return self.case.loads.increasing

    @cached_property
    def notes(self) -> tuple[str, ...]:
        """What it says of itself."""
        return texts_of(self._value("notes"))

    @cached_property
    def rows(self) -> tuple[Fields, ...]:
        """Its own margins."""
        found = rows_of(self.recorded["margins"])
        return tuple(row for row in found if "beside" not in row and row["method"] == self.kind)

    def _value(self, key: str) -> object:
        return self.recorded.get(f"{self.kind}.{key}")

    def _size(self, recorded: object) -> float | None:
        """Size of a load [MPa] or [N]; None where there is none, or none that acts as the case has it."""
        number = number_of(recorded)
        if number is None:
            return None
        size = margin_pressure(number) if self.increasing.is_pressure else self.increasing.sense * number
        return size if size is not None and size > 0.0 else None

    def _load(self, name: str) -> float | None:
        return self._size(self._value(f"{name}_{self.increasing.key}"))

    # Events -----------------------------------------------------------------------------------------------------------

    def _event(self, kind: str, name: str) -> Event | None:
        load = self._load(name)
        if load is None:
            return None
        waves = number_of(self._value(f"{name}_wave_number")) or 0
        return Event(kind, load, int(waves), piece=self._piece(name), increasing=self.increasing)

    def _piece(self, name: str) -> str:
        """Where a bifurcation begins: beside its radius, or in the name of its margin."""
        if name in ("bifurcation", "critical"):
            return str(self._value("bifurcation_at") or "").rpartition(", r = ")[0]
        named = (re.search(rf" in the (.+){BY_DEFORMATION}$", str(row["limit_state"])) for row in self.rows)
        return next((found[1] for found in named if found), "") if name.startswith("deformation") else ""

    def _peak(self) -> Event | None:
        """The event of a margin that is neither a bifurcation nor the limit: a stop, or a limit that is higher."""
        limit = self._load("limit")
        for row in self.rows:
            load = self._size(row.get(f"capacity_{self.increasing.unit}"))
            of_path = row.get("event") in _OF_PATH and not row.get("at_least") and not _is_size(row)
            if load is not None and of_path and not (limit is not None and isclose(load, limit, rel_tol=ROUNDING)):
                return Event(str(row["event"]), load, increasing=self.increasing)
        return None

    def _critical(self) -> Iterator[Event]:
        piece, lowest = self._piece("critical"), number_of(self._value("wave_number"))
        for row in rows_of(self._value("by_wave_number")):
            load, waves = self._size(row.get(self.increasing.key)), int(number_of(row["wave_number"]) or 0)
            if load is not None:
                at = piece if waves == lowest else ""
                yield Event(BIFURCATION, load, waves, piece=at, increasing=self.increasing)

    def _waves(self) -> Iterator[WavePath]:
        """Yield what came of each deviation in waves; states and shapes a record does not hold."""
        key = self.increasing.key
        for row in rows_of(self._value("waves")):
            peak, visible = (self._size(row.get(f"{name}_{key}")) for name in ("limit", "visible_waves"))
            yield WavePath(
                kind=self.kind,
                wave_number=int(number_of(row["wave_number"]) or 0),
                deviation=number_of(row["deviation_mm"]) or 0.0,
                load=_NONE,
                waves=_NONE,
                strain=_NONE,
                peak=peak,
                peak_waves=number_of(row.get("waves_mm")),
                visible=visible,
                growth_beyond=number_of(row.get("growth_beyond")),
                ended=str(row.get("ended", "")),
            )

    def _yielded_at(self) -> str:
        """Return what stands for the piece that names a crush where no wave does."""
        crush = FAMILIES[self.case.family].crush
        named = (str(row["limit_state"]) for row in self.rows if row.get("event") != BIFURCATION)
        return ELSEWHERE if crush != AXIAL_CRUSH and any(name.startswith(crush) for name in named) else ""

    # Movement ---------------------------------------------------------------------------------------------------------

    def _growths(self) -> Iterator[tuple[str, Growth]]:
        """Yield the states whose movement is told of this analysis, with what their load is."""
        needs = self.case.requirements
        asked = [load for load in (needs.service_pressure, self.case.required_load) if load is not None]
        for row in rows_of(self.recorded.get(f"growth_at_{self.increasing.unit}")):
            load = self._size(row.get(self.increasing.key))
            if row["analysis"] != self.kind or load is None:
                continue
            yield (
                str(row["at"]),
                Growth(
                    next((each for each in asked if isclose(each, load, rel_tol=ROUNDING)), load),
                    **{"loaded": 0.0} | dict(_movements(row)),
                    increasing=self.increasing,
                ),
            )

    def _allowed(self) -> Iterator[Allowed]:
        """Yield the loads at which allowances are reached, as their margins tell; a reason says that one is not."""
        for key, limit in LIMITS.items():
            size = getattr(self.case.requirements, key)
            row = next((row for row in self.rows if row["limit_state"] == limit.words), {})
            load = self._size(row.get(f"capacity_{self.increasing.unit}"))
            if size is not None and load is not None:
                yield Allowed(key, size, None if row.get("reason") else load)

    # Notes ------------------------------------------------------------------------------------------------------------

    def _outside(self) -> set[int]:
        """Wave numbers outside the range examined in which waves have begun, as notes name them."""
        counts = self.case.requirements.onset == "deformation"
        notes = [note for note in self.notes if note.startswith(OUTSIDE) or (counts and OUTSIDE in note)]
        return {int(number) for note in notes for number in re.findall(r"\d+", note.partition(OUTSIDE)[2])}

    def _is_bracketed(self) -> bool:
        """Tell whether the onset by deformation theory was looked for and placed, as far as notes and doubts say."""
        unplaced = any(note.startswith((NO_ONSET, UNPLACED)) for note in self.notes)
        return not unplaced and NO_BRACKET not in texts_of(self.recorded.get("doubts"))

    def _gathering(self) -> float | None:
        note = next((note for note in self.notes if GATHERS in note), "")
        return next((self._size(value) for value, _ in marked(note)), None)


def _movements(row: Fields) -> Iterator[tuple[str, float]]:
    """Yield the movements [mm] and strains of a row of growth, as `Growth` names them."""
    for name in MOVEMENTS:
        key = {"loaded": "growth", "permanent": "permanent_growth"}.get(name, name)
        value = number_of(row.get(f"{key}_mm", row.get(key)))
        if value is not None:
            yield name, value


def _is_size(row: Fields) -> bool:
    return any(key in row for key in ("found_mm", "allowed_mm", "found", "allowed"))


def _with_error(found: Outcome, error: float | None) -> Outcome:
    """Return an outcome with the estimated error at what it is of: its capacity, else the load of first yield."""
    capacity = found.capacity
    if capacity is None:
        return replace(found, first_yield_error=error)
    event = replace(capacity, error_percent=error)
    if found.critical:
        return replace(found, critical=tuple(event if each is capacity else each for each in found.critical))
    if capacity is found.bifurcation:
        return replace(found, bifurcation=event)
    return replace(found, limit=event) if found.peak is None else replace(found, peak=event)
