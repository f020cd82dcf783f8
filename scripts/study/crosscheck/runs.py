"""Random bases and ends by shell and solid: one row of numbers a body, pressures in bar, lengths in mm."""

from collections.abc import Iterator, Mapping

from buckle.analysis.setup import Level, run_of
from buckle.case import Case, case_from_dict, replace_keys
from buckle.crosscheck.bands import PLASTIC, thickness_of
from buckle.crosscheck.shell_side import shell_side
from buckle.crosscheck.side import Side
from buckle.crosscheck.solid_side import Grain, solid_of, solid_side
from buckle.results import Event
from buckle.solid.model import Fineness
from scripts.study.rolling.bodies import case_of, feasible

Row = Mapping[str, object]

KIND = "GMNA"
WAVES = [1, 30]
EVENTS = ("capacity", "onset", "lower_onset")
GROWTHS = (0.5, 1.0, 2.0, 3.0, 4.0)  # mm
FINE = Grain(Fineness(layers=8))
"""Of the solid: pressures up to 4 mm and limits are within 0.1 % of those of twelve layers and elements half as long,
0.2 % on a body whose dome snaps."""
QUICK = Grain()
"""What the command takes."""
FINER = 1.5  # times as fine, where a body is outside the band
THINNER = (1.0, 0.5, 0.25)  # times the gauge
THIN_GROWTHS = (1.0, 2.0, 3.0)
THINNED = 8  # bases, and as many ends


def bodies(what: str, count: int) -> Iterator[tuple[int, Case]]:
    """The first bodies of the draw that can be made, with the waves that are watched, and their places in it."""
    for number, _, case in feasible(what, count):
        yield number, case_from_dict(replace_keys(case.tables, {"analyses.wave_numbers": WAVES}))


def row(what: str, number: int, case: Case) -> Row:
    """All numbers of a body; how far each model moves only where they differ by more than the band."""
    shell = shell_side(case, KIND, growths=GROWTHS)
    sides = {"shell": shell, "solid": _solid(case, shell, FINE), "quick": _solid(case, shell, QUICK)}
    found: dict[str, object] = {"body": what, "number": number, "gauge": case.meridian.gauge}
    found["t_over_rho"] = thickness_of(case.meridian).over_bend
    found |= {f"{name}_{key}": value for name, side in sides.items() for key, value in _numbers(side).items()}
    return found | (_finer(case, shell) if outside(found) else {})


def outside(found: Row) -> list[str]:
    """Which of capacity and onsets differ by more than the band, or are met by one model alone."""
    return [key for key in EVENTS if (apart(found, key) or 0.0) > PLASTIC]


def apart(found: Row, key: str, run: str = "") -> float | None:
    """By how many per cent shell and solid differ; what one finds alone by how far the other goes on beyond.

    With `run` "finer_" of the events of the finer models.
    """
    shell, solid = (found[f"{run}{side}_{key}"] for side in ("shell", "solid"))
    if isinstance(shell, float) and isinstance(solid, float):
        return abs(100.0 * (shell / solid - 1.0))
    if shell is None and solid is None:
        return None
    alone, other = (shell, "solid") if solid is None else (solid, "shell")
    reached = found[f"{other}_reached"]
    assert isinstance(alone, float)
    assert isinstance(reached, float)
    return max(0.0, 100.0 * (reached / alone - 1.0))


def thinner(what: str, number: int, dimensions: Mapping[str, float]) -> Iterator[Row]:
    """A body with thinner and thinner walls: pressures at growths by shell and solid, and what shear does."""
    for share in THINNER:
        case = case_of(what, {**dimensions, "gauge": share * dimensions["gauge"]})
        shell = shell_side(case, KIND, growths=THIN_GROWTHS)
        solid = _solid(case, shell, FINE)
        for growth in THIN_GROWTHS:
            if growth <= min(shell.growth_at_highest, solid.growth_at_highest):
                yield {
                    "body": what,
                    "number": number,
                    "share": share,
                    "growth": growth,
                    "shell": 10.0 * shell.at_growth[growth],
                    "solid": 10.0 * solid.at_growth[growth],
                    "shear_share_percent": _percent(solid.shear_share),
                }


def _solid(case: Case, shell: Side, grain: Grain) -> Side:
    return solid_side(case, solid_of(case, KIND, grain.fineness), shell, grain, lambda _: None)


def _numbers(side: Side) -> dict[str, object]:
    """What is kept of a side."""
    return {
        "event": None if side.highest is None else side.highest.kind,
        "limit": None if side.passed else _bar(side.limit),
        "capacity": _bar(side.highest),
        "reached": 10.0 * side.reached,
        "growth": side.growth_at_highest,
        "onset": _bar(side.onset),
        "waves": None if side.onset is None else side.onset.wave_number,
        "lower_onset": _bar(side.lower_onset),
        **{f"at_{growth:g}": _bar_of(side.at_growth.get(growth)) for growth in GROWTHS},
        "shear_share_percent": _percent(side.shear_share),
        "trouble": side.trouble or None,
        "seconds": side.seconds,
    }


def _finer(case: Case, shell: Side) -> dict[str, object]:
    """The same events from a finer shell and a finer solid."""
    usual = run_of(case, KIND).level
    level = Level(FINER * usual.mesh, round(FINER * usual.layers), usual.step / FINER)
    fine = shell_side(case, KIND, level, GROWTHS)
    both = {"finer_shell": fine, "finer_solid": _solid(case, shell, FINE.refined(FINER))}
    return {f"{name}_{key}": _numbers(side)[key] for name, side in both.items() for key in (*EVENTS, "reached")}


def _bar(event: Event | None) -> float | None:
    return None if event is None else 10.0 * event.pressure


def _bar_of(pressure: float | None) -> float | None:
    return None if pressure is None else 10.0 * pressure


def _percent(share: float | None) -> float | None:
    return None if share is None else 100.0 * share
