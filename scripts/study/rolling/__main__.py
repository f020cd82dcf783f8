"""Rolling formula against finite elements on random bases and ends: python -m scripts.study.rolling [--count N].

Computes the GMNA limit of each without waves and the formula; writes the tables docs/rolling-of-the-stand.*.csv, the
measured part of docs/rolling-of-the-stand.md and its figure. About ten minutes for 300 of each on one thread.
"""

import os

os.environ.update(dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1"))

import argparse
import math

import buckle
from scripts.study.rolling.bodies import feasible, formula_of
from scripts.study.rolling.figure import draw
from scripts.study.rolling.table import PAGE, measured, write_table
from scripts.tables.measured import write_measured


def row(what, index, dimensions, case):
    limit = buckle.run(case, "GMNA", estimate_error=False, lower_bracket=False, pictures=False).axisymmetric
    return {"number": index, **dimensions, "computed_MPa": limit.pressure if limit else math.nan, **by_hand(what, case)}


def by_hand(what, case):
    formula = formula_of(what, case)
    hand = {"formula_MPa": formula.value, "parallel_MPa": formula.number("p_parallel")}
    if what == "bases":
        hand |= {"roll_MPa": formula.number("p_roll"), "snap_MPa": formula.number("p_snap")}
    return {key: math.nan if value is None else value for key, value in hand.items()}


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=300, help="bodies of each kind")
    count = parser.parse_args().count
    tables = {what: [row(what, *body) for body in feasible(what, count)] for what in ("bases", "ends")}
    for what, rows in tables.items():
        write_table(what, rows)
    text = measured(tables)
    write_measured(PAGE, "rolling", text)
    draw()
    print(text)


if __name__ == "__main__":
    main()
