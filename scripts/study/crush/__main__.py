"""Crush of the stand by hand against finite elements on random bases: python -m scripts.study.crush [--count N].

Computes the limits of MNA and GMNA, without waves, as the axial force increases on a stand that is free to widen,
empty and under two pressures; writes the table docs/crush-of-the-stand.csv and the measured part of
docs/crush-of-the-stand.md. About five minutes for 40 bases on one thread.
"""

import os

os.environ.update(dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1"))

import argparse

from scripts.study.crush.bodies import COUNT, bodies, row
from scripts.study.crush.table import PAGE, measured, write_table
from scripts.tables.measured import write_measured


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=COUNT, help="bases")
    rows = [row(*body) for body in bodies(parser.parse_args().count)]
    write_table(rows)
    write_measured(PAGE, "crush", text := measured(rows))
    print(text)


if __name__ == "__main__":
    main()
