"""Shell against solid on random bases and ends: python -m scripts.study.crosscheck [--bases N] [--ends N] [--resume]

Writes docs/crosscheck{,.thinner}.csv, the measured part of docs/crosscheck.md and its figure. About
a quarter of an hour on one thread; with --resume only what the tables do not hold yet.
"""

import os
import sys

os.environ.update(dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1"))

import argparse

from scripts.study.crosscheck.figure import draw
from scripts.study.crosscheck.runs import THINNED, bodies, row, thinner
from scripts.study.crosscheck.table import BODIES, PAGE, THIN, measured, read_rows, write_rows
from scripts.study.rolling.bodies import feasible
from scripts.tables.measured import write_measured


def compare_bodies(what, count, rows):
    """Add a row for each body that has none, and keep the table after each."""
    done = {each["number"] for each in rows if each["body"] == what}
    for number, case in bodies(what, count):
        if number not in done:
            rows.append(row(what, number, case))
            rows.sort(key=lambda each: (each["body"], each["number"]))
            write_rows(BODIES, rows)
            tell(what, number)


def compare_thinner(what, rows):
    done = {each["number"] for each in rows if each["body"] == what}
    for number, dimensions, _ in feasible(what, THINNED):
        if number not in done:
            rows.extend(thinner(what, number, dimensions))
            write_rows(THIN, rows)
            tell(f"thinner {what}", number)


def tell(what, number):
    print(f"{what} {number}", file=sys.stderr, flush=True)


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--bases", type=int, default=60, help="how many")
    parser.add_argument("--ends", type=int, default=30, help="how many")
    parser.add_argument("--resume", action="store_true", help="keep what the tables hold")
    options = parser.parse_args()
    rows, thin = (read_rows(path) if options.resume else [] for path in (BODIES, THIN))
    for what, count in (("ends", options.ends), ("bases", options.bases)):
        compare_bodies(what, count, rows)
        compare_thinner(what, thin)
    text = measured(read_rows(BODIES), read_rows(THIN))
    write_measured(PAGE, "crosscheck", text)
    draw()
    print(text)


if __name__ == "__main__":
    main()
