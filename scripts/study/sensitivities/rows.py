"""One row for each quantity and number of a body: its derivative, and the differences that it is checked by."""

import math
from dataclasses import dataclass, replace

from buckle.analysis.nonlinear import follow
from buckle.analysis.setup import run_of
from buckle.errors import SolveError
from buckle.sensitivity.exact import LINEAR, PLAIN, derived, neighbours
from buckle.sensitivity.numbers import numbers
from buckle.sensitivity.variants import neighbours_of, variant_of
from scripts.study.sensitivities.bodies import keys_of
from scripts.study.sensitivities.differences import by_differences, quantities_of
from scripts.study.sensitivities.replays import replays

KINDS = ("LBA", "GNA", "GMNA")
BODY = ("mass_g", "enclosed_volume_ml")
STEPS = (1e-3, 1e-4)
SAME = (1e-4, 1e-5)
"""For the same steps. Over 1e-4 of a number a layer or two of some thousand change the rule by which they flow, each
with a jump of a hundred-thousandth; over 1e-5 none does as a rule."""
UNIT = 0.01
"""Of the derivative of the logarithms: a hundredth of this counts as right where the derivative itself is smaller."""


@dataclass(frozen=True)
class Row:
    """Derivatives as d ln quantity / d ln number: exact, from both sides, and by differences with both steps.

    Of whole runs, which take steps of their own on each body, and of the same steps taken again.
    """

    body: str
    kind: str
    quantity: str
    key: str
    exact: float
    left: float
    right: float
    runs_coarse: float
    runs_fine: float
    steps_fine: float
    steps_finest: float
    reason: str = ""

    def error(self, of):
        """Deviation from the differences "runs" or "steps" [%]; of the best step.

        A long one is rough for what bends, a short one for what jumps.
        """
        size = max(abs(self.exact), UNIT)
        found = (getattr(self, f"{of}_{step}", math.nan) for step in ("coarse", "fine", "finest"))
        errors = [100.0 * abs(each - self.exact) / size for each in found]
        return min((each for each in errors if math.isfinite(each)), default=math.nan)


def rows_of(name, case):
    """Rows of all kinds of analysis of a body."""
    return [row for kind in KINDS for row in _of_kind(name, case, kind)]


def exactly_again(name, case, stored):
    """The stored rows of a body with its derivatives worked out anew; the differences stay."""
    found = {}
    for kind in dict.fromkeys(row.kind for row in stored if row.quantity):
        run = run_of(case, kind, PLAIN)
        made = derived(run, None if kind in LINEAR else follow(run), neighbours(case, keys_of(name, case)))
        values = quantities_of(case, kind)
        for quantity, value in values.items():
            for one in made.get(quantity, ()):
                scale = one.value / value if value else math.nan
                slopes = {"exact": scale * one.derivative, "left": scale * one.left, "right": scale * one.right}
                found[kind, quantity, one.key] = {**slopes, "reason": one.reason}
    return [replace(row, **found.get((row.kind, row.quantity, row.key), {})) for row in stored]


def _of_kind(name, case, kind):
    keys, run = keys_of(name, case), run_of(case, kind, PLAIN)
    try:
        followed = None if kind in LINEAR else follow(run)
        exact = derived(run, followed, neighbours(case, keys))
        runs = [by_differences(case, kind, keys, step) for step in STEPS]
    except SolveError as error:
        return [Row(name, kind, "", "", *[math.nan] * 7, error.reason)]
    steps = [{} if followed is None else _of_steps(followed, keys, step) for step in SAME]
    rows, values = [], quantities_of(case, kind)
    for quantity in exact:
        if quantity in BODY and kind != "GMNA":
            continue
        for at, one in enumerate(exact[quantity]):
            value = values.get(quantity)
            scale = one.value / value if value else math.nan
            whole = [rough[quantity][at].derivative if quantity in rough else math.nan for rough in runs]
            same = [each.get((quantity, one.key), math.nan) for each in steps]
            derivatives = (scale * each for each in (one.derivative, one.left, one.right, *whole))
            rows.append(Row(name, kind, quantity, one.key, *derivatives, *same, one.reason))
    return rows


def _of_steps(followed, keys, step):
    """{(quantity, key): d ln quantity / d ln number} by the same steps on both sides."""
    run, out, again = followed.run, {}, replays(followed)
    load = run.case.loads.increasing
    for number in numbers(run.case, keys):
        variant = variant_of(run, followed.trace.model, neighbours_of(run.case, number, step))
        for name, work_out in again.items():
            sides = []
            for body in (variant.below, variant.above):
                try:
                    sides.append(math.nan if body is None else work_out(body))
                except SolveError:
                    sides.append(math.nan)
            moves = name.endswith("growth")
            quantity = f"{name}_mm" if moves else f"{run.kind}.{name}_{load.key}"
            middle = 0.5 * (sides[0] + sides[1])
            out[quantity, number.key] = (sides[1] - sides[0]) / (2.0 * step * middle) * math.copysign(1.0, number.value)
    peak = followed.outcome.peak
    if peak is not None and followed.outcome.capacity is peak:
        out |= {
            (f"{run.kind}.capacity_{load.key}", key): value
            for (quantity, key), value in out.items()
            if quantity == f"{run.kind}.peak_{load.key}"
        }
    return out
