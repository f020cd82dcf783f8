"""A case by shell and solid, compared."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from buckle.analysis.setup import Level, run_of
from buckle.case import Case
from buckle.crosscheck.bands import Thickness, expected, thickness_of
from buckle.crosscheck.compare import Line, compare
from buckle.crosscheck.shell_side import shell_side
from buckle.crosscheck.side import Side
from buckle.crosscheck.solid_side import Grain, Say, solid_of, solid_side

FINER = 2.0  # times as many elements along the meridian and layers, steps as much shorter


@dataclass(frozen=True)
class Moves:
    """By how many per cent a pressure changes when all of a model's discretisation is twice as fine."""

    shell: float | None
    solid: float | None


@dataclass(frozen=True)
class Crosscheck:
    """What shell and solid tell of a case; `moves` by quantity and growth, empty unless asked for."""

    case: Case
    kind: str
    shell: Side
    solid: Side
    thickness: Thickness
    lines: tuple[Line, ...]
    moves: Mapping[tuple[str, float | None], Moves] = field(default_factory=dict)

    @property
    def met(self) -> bool:
        """Whether both could be followed and differ nowhere by more than the band."""
        return not self.troubles and all(line.met is not False for line in self.lines)

    @property
    def troubles(self) -> tuple[str, ...]:
        """What could not be done, in words."""
        sides = {"shell": self.shell, "solid": self.solid}
        return tuple(f"{name}: {side.trouble}" for name, side in sides.items() if side.trouble)

    @property
    def expected(self) -> str:
        """What the thickness of the body lets one expect, in one sentence with its source."""
        return expected(self.thickness, self.solid)


def decisive_kind(case: Case) -> str:
    """GMNA, which decides; GNA of a case that does not run it or whose metal does not yield."""
    return "GMNA" if "GMNA" in case.analyses.run and case.material.hardening is not None else "GNA"


def crosscheck(case: Case, *, full: bool = False, grain: Grain | None = None, say: Say = lambda _: None) -> Crosscheck:
    """Follow the decisive path of a case by shell and solid and compare them, `full`: with how far meshes matter.

    Raises CaseError for what the solid cannot be. `say` is called with what is being done.
    """
    kind, grain = decisive_kind(case), grain or Grain()
    solid = solid_of(case, kind, grain.fineness)
    say("shell")
    by_shell = shell_side(case, kind)
    by_solid = solid_side(case, solid, by_shell, grain, say)
    thickness = thickness_of(case.meridian)
    lines = compare(kind, by_shell, by_solid, thickness)
    both = Crosscheck(case, kind, by_shell, by_solid, thickness, lines)
    return _with_moves(both, grain, say) if full else both


def _with_moves(both: Crosscheck, grain: Grain, say: Say) -> Crosscheck:
    case, kind, finer = both.case, both.kind, grain.refined(FINER)
    say("shell, finer")
    shell = shell_side(case, kind, _finer(run_of(case, kind).level), tuple(both.shell.at_growth))
    say("solid, finer")
    solid = solid_side(case, solid_of(case, kind, finer.fineness), both.shell, finer, say)
    fine = {line.key: line for line in compare(kind, shell, solid, both.thickness)}
    moves = {line.key: _moves(line, fine[line.key]) for line in both.lines if line.is_pressure and line.key in fine}
    return replace(
        both,
        shell=replace(both.shell, trouble=both.shell.trouble or shell.trouble),
        solid=replace(both.solid, trouble=both.solid.trouble or solid.trouble),
        moves=moves,
    )


def _finer(level: Level) -> Level:
    return Level(FINER * level.mesh, round(FINER * level.layers), level.step / FINER)


def _moves(line: Line, fine: Line) -> Moves:
    return Moves(_change(line.shell, fine.shell), _change(line.solid, fine.solid))


def _change(old: object, new: object) -> float | None:
    return 100.0 * (new / old - 1.0) if isinstance(old, float) and isinstance(new, float) else None
