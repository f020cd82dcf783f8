"""How fast batches are and how they end: python -m scripts.study.batch [--jobs N].

Writes the measured part of docs/batches.md.

Runs the populations of cases/studies, 256 designs each, and 1,024 bases for every analysis that is timed. Takes about
ten minutes on two processors that do nothing else.
"""

import os

os.environ.update(dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1"))

import argparse

from scripts.study.batch.page import PAGE, measured
from scripts.study.batch.runs import POPULATIONS, TIMED, run
from scripts.tables.measured import write_measured


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--jobs", type=int, default=2, help="worker processes")
    jobs = parser.parse_args().jobs
    populations = [run(name, jobs) for name in POPULATIONS]
    timed = [run(name, jobs, count=count, kind=kind) for name, kind, count in TIMED]
    text = measured(populations, timed, jobs)
    write_measured(PAGE, "batch", text)
    print(text)


if __name__ == "__main__":
    main()
