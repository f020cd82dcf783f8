"""Crush of stands and necks by hand against finite elements: python -m scripts.study.crush [--count N].

Computes the limits of MNA and GMNA, without waves, as the axial force increases, empty and under pressures; writes the
tables docs/crush.*.csv and the measured part of docs/crush.md. About two minutes for 40 of each on one thread.
"""

import os

os.environ.update(dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1"))

import argparse

from scripts.study.crush.bodies import COUNT, WHAT, bodies, row
from scripts.study.crush.table import PAGE, measured, write_table
from scripts.tables.measured import write_measured


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=COUNT, help="bodies of each kind")
    count = parser.parse_args().count
    tables = {what: [row(*body) for body in bodies(what, count)] for what in WHAT}
    for what, rows in tables.items():
        write_table(what, rows)
    write_measured(PAGE, "crush", text := measured(tables))
    print(text)


if __name__ == "__main__":
    main()
