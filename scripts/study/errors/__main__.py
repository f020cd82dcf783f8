"""Estimates of numerical errors against the errors themselves, on random bodies: python -m scripts.study.errors

Runs every kind of analysis of each body as a user would, and again with four times the mesh density, twice the layers
and a quarter of the step, which counts as true. Writes docs/errors.csv and the measured part of docs/errors.md. About
two hours on two cores; with --every N only every Nth body is run and nothing is written.
"""

import os

os.environ.update(dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1"))

import argparse
from concurrent.futures import ProcessPoolExecutor

from scripts.study.errors.bodies import bodies
from scripts.study.errors.runs import rows_of
from scripts.study.errors.table import PAGE, measured, write_table
from scripts.tables.measured import write_measured


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--every", type=int, default=1, help="take every Nth body only, and write nothing")
    parser.add_argument("--jobs", type=int, default=os.cpu_count(), help="processes")
    options = parser.parse_args()
    rows = []
    with ProcessPoolExecutor(options.jobs) as workers:
        for found in workers.map(rows_of, *zip(*list(bodies())[:: options.every], strict=True)):
            print(*found, sep="\n", flush=True)
            rows += found
    text = measured(rows)
    print(text)
    if options.every == 1:
        write_table(rows)
        write_measured(PAGE, "errors", text)


if __name__ == "__main__":
    main()
