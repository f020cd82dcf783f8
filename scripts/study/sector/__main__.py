"""Waves beyond their onset in three-dimensional solids, beside the shell's: python -m scripts.study.sector.

Half a wave of E2 and of E3 (cases/benchmarks/end) in bricks with the deviations of the shell, on several meshes. Writes
docs/deviations.sector.csv and the measured part of docs/deviations.md about it. About half an hour on one thread.
"""

import os

os.environ.update(dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1"))

from scripts.study.sector.runs import rows
from scripts.study.sector.table import PAGE, measured, read_rows, write_rows
from scripts.tables.measured import write_measured


def main():
    found = []
    for row in rows():
        found.append(row)
        print(row, flush=True)
        write_rows(found)
    write_measured(PAGE, "sector", measured(read_rows()))


if __name__ == "__main__":
    main()
