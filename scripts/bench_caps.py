"""Elastic limit of clamped caps: this shell, a boundary-value solver, a solid by general assembly, this solid.

Each is compared with a much finer run of itself, because shells and solids are different theories: they differ by terms
of t/R.
"""

import bench_general_solid
from bench_measure import Row, Times, row, timed

from buckle.material import Material
from buckle.mesh import Grading
from buckle.shapes import spherical_cap
from buckle.shell.model import Fineness, Load, build_model
from buckle.shell.strain import ENGINEERING
from buckle.solid.metal import EngineeringMetal
from buckle.solid.model import Fineness as SolidFineness
from buckle.solid.model import Load as SolidLoad
from buckle.solid.model import build_solid
from buckle.solid.trace import solid_path
from buckle.solve.path import ArcLength
from buckle.solve.trace import trace_path
from tests.references import shell_bvp

METAL = Material(69000.0, 0.3)
CAPS = ((6.0, 200.0), (4.0, 400.0))  # lambda, R/t
LOOSE, EQUAL, FINE = 1e-3, 1e-5, 1e-8  # residuals asked of the boundary-value solver
LEAST_AGAINST_BVP, LEAST_AGAINST_SOLID = 3.0, 30.0


def rows(repeats: int, caps: int) -> list[Row]:
    return [row for cap in CAPS[:caps] for row in cap_rows(*cap, repeats)]


def cap_rows(parameter: float, ratio: float, repeats: int) -> list[Row]:
    half_angle = shell_bvp.half_angle_of(parameter, ratio, METAL.poissons_ratio)
    cap = spherical_cap(radius=ratio, half_angle=half_angle, thickness=1.0)
    name = f"cap {parameter:g}, {ratio:g}"
    ours = timed(lambda: by_shell(cap), repeats)
    error = difference(ours, by_shell(cap, 3.0))
    out = [row(f"{name}: shell", ours, error_percent=error)]
    exact = by_bvp(half_angle, ratio, FINE)
    for residual in (LOOSE, EQUAL):
        theirs = timed(lambda residual=residual: by_bvp(half_angle, ratio, residual), repeats)
        what = f"{name}: solve_bvp to {residual:g}"
        out.append(compared(what, theirs, (ours, error), exact, LEAST_AGAINST_BVP))
    general = timed(lambda: by_general_solid(cap), repeats)
    what = f"{name}: quadratic solid, general assembly"
    out.append(compared(what, general, (ours, error), by_general_solid(cap, 4.0), LEAST_AGAINST_SOLID))
    solid = timed(lambda: by_solid(cap), repeats)
    own, ratio = difference(solid, by_solid(cap, 4.0)), general.median / solid.median
    out.append(row(f"{name}: solid", solid, error_percent=own, against="general assembly", ratio=ratio))
    return out


def compared(what: str, theirs: Times, ours: tuple[Times, float], exact: float, least: float) -> Row:
    """A rival's row: how often its time holds ours, goal met only if we are no less accurate."""
    times, ours_error = ours
    error, ratio = difference(theirs, exact), theirs.median / times.median
    met = ratio >= least and ours_error <= error
    goal = f">= {least:g}, as exact"
    return row(what, theirs, error_percent=error, against="the shell", ratio=ratio, goal=goal, met=met)


def difference(times: Times, exact: float) -> float:
    return 100.0 * abs(times.answer / exact - 1.0)


def by_shell(cap, refined: float = 1.0) -> float:
    fineness = Fineness(Grading().refined(refined))
    model = build_model(cap, METAL, (None, "clamped"), Load(), fineness, ENGINEERING)
    return trace_path(model, ArcLength()).limit.load_factor


def by_general_solid(cap, refined: float = 1.0) -> float:
    grading = bench_general_solid.GRADING.refined(refined)
    return bench_general_solid.limit_pressure(bench_general_solid.build(cap, METAL, grading))


def by_solid(cap, refined: float = 1.0) -> float:
    fineness, load = SolidFineness().refined(refined), SolidLoad(on="middle")
    solid = build_solid(cap, EngineeringMetal(METAL), (None, "clamped"), load, fineness)
    return solid_path(solid).limit.pressure


def by_bvp(half_angle: float, ratio: float, residual: float) -> float:
    shell_bvp.RESIDUAL = residual  # a constant of that module, so that its users cannot differ by accident
    return float(shell_bvp.cap_limit(ratio, 1.0, half_angle, METAL.poissons_ratio, follower=True, shear=True))
