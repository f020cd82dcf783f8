"""The page docs/validation.md around its rows."""

from textwrap import fill

from scripts.tables.validation_rows import (
    HIGHEST_WAVE,
    MEASURED,
    end_series,
    measured_heads,
    plain_heads,
    scatter,
    table,
)

INTRODUCTION = """\
# Validation

Made by `scripts/pages`. **No test of a base or of an end is here.** No open table of measured dome-reversal
or end-buckling pressures with geometry and material was found: what patents and suppliers print is dimensions or
pressures, not both. What follows is two published tests of vessels with torispherical heads, a lower envelope of
tests of such heads, and two comparisons with other computations. A test on the actual part remains what decides.

What is reported here is not forced: no case of `cases/benchmarks` expects these values, because the published accounts
that could be read leave out what decides (the material curve, the measured shape) or give one number only.

## Near-perfect clamped hemispheres: another computation

Not a measurement: D. Ubamanyu and others (arXiv 2412.15066, 2024; abstract) find by finite elements that near-perfect
clamped hemispheres buckle at their edge with a knock-down of 0.8. Computed here: 0.804 of the classical pressure
(`cases/benchmarks/cap/gna-hemisphere-clamped.toml`). Theirs / ours: 0.99, one value in one digit.

"""
HEADS = """\
## Torispherical heads under internal pressure: two tests

A. Kalnins and M. D. Rana, WRC Bulletin 414, 1996 (abstract): two heads of SA-516 grade 70, D = 60 in, crown radius
D, knuckle radius 0.06 D. D/t = 238: knuckle waviness first seen at about 600 psi, about 22 waves at the end, leak
at a weld at 700 psi; plastic limit calculated there 190 psi. D/t = 185: burst at 1080 psi, no waves; plastic limit
calculated there 240 psi. Both vessels ended at welds and not in a head: those pressures are what the heads have at
least carried, and no ratio to them tests a head. Assumed here: middle surface of the nominal dimensions, no nozzle, a
Voce curve from the least yield stress of the grade (38 ksi, from memory) or from an assumed 50 ksi to the same tensile
strength; the plastic limit (MNA) has that yield stress and no hardening. Pressures in psi.

"""
HEAD_COLUMNS = (
    "D/t",
    "yield",
    "plastic limit, MNA",
    "at twice the elastic slope",
    "plastic limit, authors'",
    "authors' / twice slope",
    "onset of waves, flow theory",
    "onset, deformation theory",
    "limit of the path",
    "waves seen",
    "carried at least",
)
HEAD_READING = (
    "Which yield stress and which definition the authors' plastic limit has, the abstract does not say. It lies above"
    " that of small displacements and near the pressure at which the apex has moved twice as far as at the elastic "
    "slope (the criterion of ASME VIII-2 in those years, from memory) where the plate is taken to yield at 50 ksi. "
    "Between the two heads it grows by {between} at twice the slope. Each head has carried more than three times its "
    "authors' plastic limit, as its stiffening shape lets it; the computed limits of the path are above what was "
    "carried, which contradicts nothing and confirms nothing. The thicker head showed no waves and none were "
    "computed. For the thinner head flow theory has no bifurcation at all, while deformation theory has one in about "
    "as many waves as were counted, at less than half of the pressure at which waves were first seen: the plastic "
    "buckling paradox, between whose two answers the test lies. This is why both are printed."
)
ENVELOPE = """\
## Torispherical heads under internal pressure: the lower envelope of tests

G. D. Galletly, J. Press. Vess. Technol. 108, 1986 (abstract; constants from memory, cross-checked against the form of
EN 13445-3, 2002 to 2021) gives p = 120 sigma_y (r/D)^0.825 / ((D/t)^1.5 (R/D)^1.15), with two thirds of it below all
known tests by a factor of at least 1.5: the formula is a lower envelope of tests. The onset of waves computed for a
perfect head should lie above it, by the imperfection of real heads and the step from onset to what is seen. Yield
stress 250 MPa without hardening, E = 200 GPa, pressures in bar.

"""
ENVELOPE_COLUMNS = (
    "crown R/D",
    "knuckle r/D",
    "D/t",
    "envelope",
    "onset, flow theory",
    "ratio",
    "onset, deformation theory",
    "ratio",
)
SERIES = """\
## An end with one dimension changed

Not a measurement, and not reproducible from this repository: limits of end E1 (`cases/benchmarks/end/e1-gmna.toml`)
from a separate elastic-plastic code, one dimension changed at a time, whose settings are not recorded. Its value for
the unchanged end (chuck wall 12 degrees) is 7.3 bar in this series and 7.43 +- 0.03 bar in that code's final run.
Pressures in bar.

"""
SERIES_COLUMNS = ("changed", "to", "separate code", "computed", "separate / computed")
SERIES_READING = (
    "The steepest chuck wall and the tightest countersink do not agree. Here these two limits move by less than "
    "0.02 % when the mesh is two or three times finer. Whether the series kept the panel's depth, the length of "
    "the chuck wall or the height of the end while it changed the dimension is not recorded, and its starting "
    "value is off as well."
)


def document() -> str:
    """The whole page."""
    parts = [
        INTRODUCTION + HEADS,
        *table(HEAD_COLUMNS, measured_heads()),
        paragraph(HEAD_READING.format(between=_between_heads())),
        ENVELOPE,
        *table(ENVELOPE_COLUMNS, plain_heads()),
        paragraph(_envelope_reading()),
        SERIES,
        *table(SERIES_COLUMNS, end_series()),
        paragraph(f"{_series_scatter()}. {SERIES_READING}"),
    ]
    return "".join(parts).rstrip("\n") + "\n"


def paragraph(text: str) -> str:
    """Text filled to the width of the page, with a blank line before and after it."""
    return f"\n{fill(text, 120, break_on_hyphens=False)}\n\n"


def _of(rows: tuple[tuple[str, ...], ...], at: int) -> str:
    return scatter([float(row[at]) for row in rows if row[at]])


def _between_heads() -> str:
    """Plastic limits of the thick head over those of the thin one: the authors', then ours at one yield stress."""
    thin, thick = (next(row for row in measured_heads() if row[0] == f"{ratio}") for ratio in MEASURED)
    theirs, small, twice = (float(thick[at]) / float(thin[at]) for at in (4, 2, 3))
    return f"{theirs:.2f}; here by {small:.2f} at small displacements and by {twice:.2f}"


def _envelope_reading() -> str:
    ratios = [float(row[at]) for row in plain_heads() for at in (5, 7) if row[at]]
    last = any(row[4].endswith(f", n = {HIGHEST_WAVE}") for row in plain_heads())
    return (
        f"Flow theory / envelope: {_of(plain_heads(), 5)}; deformation theory / envelope: {_of(plain_heads(), 7)}. "
        f"{sum(ratio > 1.0 for ratio in ratios)} of {len(ratios)} onsets lie above the lower envelope of tests. "
        + (f"An onset at n = {HIGHEST_WAVE} stands at the end of the range examined." if last else "")
    ).strip()


def _series_scatter() -> str:
    near = tuple(row for row in end_series() if row[0] == "chuck_wall_angle_deg" and row[1] != "0")
    return f"All: {_of(end_series(), 4)}; chuck wall at 6 to 30 degrees: {_of(near, 4)}"
