"""Derivatives of what linear analyses tell: Rayleigh's quotient of the critical mode, and first yield."""

from collections.abc import Sequence
from functools import partial

import numpy as np
from numpy.typing import NDArray

from buckle.analysis.linear import first_yield
from buckle.analysis.setup import Run, model_of
from buckle.sensitivity.slopes import TOGETHER, Slopes, averaged, lowest
from buckle.sensitivity.variants import Body, Neighbours, variant_of
from buckle.shell.operators import linear_wave_energies
from buckle.solve.linear import LinearBifurcation, linear_bifurcations, lowest_bifurcation, solve_linear

Array = NDArray[np.float64]
BESIDE = 2  # wave numbers on either side of the lowest that may be met with it


def linear_slopes(run: Run, neighbours: Sequence[Neighbours]) -> dict[str, Slopes]:
    """Derivatives of the critical load of LBA, or of the load of first yield of LA, by name. Raises SolveError."""
    model = model_of(run)
    variants = [variant_of(run, model, each) for each in neighbours]
    if run.kind == "LA":
        if run.case.material.hardening is None:
            return {}
        middle = first_yield(run.case, model)
        pairs = [variant.slopes(_first_yield, middle) for variant in variants]
        return {"first_yield": Slopes(middle, *np.array(pairs).T)}
    low, high = run.case.analyses.wave_numbers
    first = lowest_bifurcation(model, range(low, high + 1))
    if first.load_factor is None:
        return {}
    n = first.wave_number
    near = range(max(low, n - BESIDE), min(high, n + BESIDE) + 1)
    met = [each for each in linear_bifurcations(model, near) if _together(each, first.load_factor)]
    events = {}
    for each in met:
        middle = _quotient(each, Body(run.case, model))
        pairs = [variant.slopes(partial(_quotient, each), middle) for variant in variants]
        events[f"waves n = {each.wave_number}"] = averaged(Slopes(each.load_factor or 0.0, *np.array(pairs).T))
    found = lowest(events)
    return {} if found is None else {"critical": found}


def _together(each: LinearBifurcation, load: float) -> bool:
    return each.load_factor is not None and each.load_factor <= (1.0 + TOGETHER) * load


def _first_yield(body: Body) -> float:
    return first_yield(body.case, body.model)


def _quotient(each: LinearBifurcation, body: Body) -> float:
    """Rayleigh's quotient of a mode for the load at which y . (K + p G) y = 0, with the body's own linear prestress."""
    model = body.model
    unit = solve_linear(model, 1.0)
    elastic, geometric = (part.at(each.wave_number) for part in linear_wave_energies(model, unit, 1.0, each.mode))
    if np.any(unit.constant):
        none = linear_wave_energies(model, solve_linear(model, 0.0), 0.0, each.mode)[1].at(each.wave_number)
        elastic, geometric = elastic + none, geometric - none
    return -elastic / geometric
