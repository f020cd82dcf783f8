"""What a container gains in volume under its own pressure, from the path of its body, and the demand then.

Volume follows pressure, and pressure falls as there is more room: the balance of the contents finds the state in which
both agree. Only the body of the case gives way, up to the edges of its meridian; the rest of the container is rigid.
"""

from dataclasses import replace

import numpy as np

from buckle.analysis.setup import Extras, model_of, run_of
from buckle.analysis.stops import stops_of
from buckle.case import Case
from buckle.case.contents import RIGID_ASSUMED
from buckle.demand.conditions import Demand, work_out
from buckle.demand.filling import RIGID, Swelling
from buckle.demand.swelling import PathSwelling, Swelled
from buckle.errors import SolveError
from buckle.shell.kinematics import enclosed_slopes
from buckle.shell.model import Model
from buckle.shell.operators import Evaluation
from buckle.solve.trace import trace_path

NUMBERS_ONLY = Extras(error=False, bracket=False, pictures=False)


def swelled(case: Case) -> Swelled:
    """Return the demand of a case with contents whose pressure acts from inside, its own body giving way.

    Raises SolveError where the body has no path.
    """
    demand, contents = case.demand, case.contents
    assert demand is not None
    assert contents is not None
    swelling = replace(swelling_of(case), closed_at=contents.fill_pressure or 0.0)
    return Swelled(_again(demand, swelling), swelling, _again(demand, RIGID).pressure)


def swelling_of(case: Case) -> PathSwelling:
    """Follow the path of a case up to its highest pressure, by GMNA, or by GNA where its metal does not yield."""
    kind = "GNA" if case.material.hardening is None else "GMNA"
    run = run_of(case, kind, NUMBERS_ONLY)
    model = model_of(run)
    trace = trace_path(model, run.settings, stops_of(case, model))
    points = trace.rising
    if len(points) < 2:
        raise SolveError("the path of the body does not rise", "contents.compliance_ml_per_bar")
    volume = np.array([gained(model, point.at) for point in points])
    load = np.array([point.load_factor for point in points])
    return PathSwelling(kind, load, np.maximum.accumulate(volume))


def gained(model: Model, at: Evaluation) -> float:
    """Volume [mm3] that the mid-surface sweeps the way the pressure pushes, from the undeformed body."""
    (slope, radius), (slope_before, radius_before) = (enclosed_slopes(at.station, q) for q in (at.q, 0.0 * at.q))
    per_length = 0.5 * (radius**2 * slope - radius_before**2 * slope_before)
    return float(2.0 * np.pi * model.load.side * np.sum(model.shell.elements.length * per_length))


def _again(demand: Demand, swelling: Swelling) -> Demand:
    """Work the demand out again for a container that gives way otherwise; what was taken as rigid no longer is."""
    filling = replace(demand.filling, body=replace(demand.filling.body, swelling=swelling))
    assumed = [each for each in demand.assumptions if each != RIGID_ASSUMED]
    return work_out(filling, [met.condition for met in demand.met], assumed, demand.side)
