"""What dents along the meridian cost, against their depth and width: python -m scripts.study.deviations.

A complete sphere (elastic), the demonstration base and end (elastic-plastic) with a dimple at the apex, and the class
sets of base and end. Writes docs/deviations.csv, the measured part of docs/deviations.md and its figure. About five
minutes on one thread.
"""

import os

os.environ.update(dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1"))

from scripts.study.deviations.page import PAGE, draw, measured, write_rows
from scripts.study.deviations.runs import class_rows, dimple_rows
from scripts.tables.measured import write_measured


def main():
    rows = [*dimple_rows(), *class_rows()]
    write_rows(rows)
    draw(rows)
    text = measured(rows)
    write_measured(PAGE, "deviations", text)
    print(text)


if __name__ == "__main__":
    main()
