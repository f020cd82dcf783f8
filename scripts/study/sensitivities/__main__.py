"""Derivatives against central differences of whole runs, on random bodies: python -m scripts.study.sensitivities

With steps of 1e-3 and 1e-4 of each number, on 20 bodies of every family, elastic, elastic-plastic and linear. Writes
docs/sensitivities.csv and the measured part of docs/sensitivities.md. About an hour on one core; with --every N only
every Nth body is run and nothing is written.
"""

import os

os.environ.update(dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1"))

import argparse

from scripts.study.sensitivities.bodies import bodies
from scripts.study.sensitivities.rows import exactly_again, rows_of
from scripts.study.sensitivities.table import PAGE, measured, read_table, write_table
from scripts.tables.measured import write_measured


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--every", type=int, default=1, help="take every Nth body only, and write nothing")
    parser.add_argument("--stored", action="store_true", help="write the page from the stored table alone")
    parser.add_argument("--body", help="work out one body anew, and put its rows into the stored table")
    parser.add_argument("--exact", action="store_true", help="derive anew, and keep the stored differences")
    options = parser.parse_args()
    if options.exact:
        stored = read_table()
        write_table(
            [new for name, case in bodies() for new in exactly_again(name, case, [r for r in stored if r.body == name])]
        )
        options.stored = True
    if options.body:
        case = next(case for name, case in bodies() if name == options.body)
        new, stored = rows_of(options.body, case), read_table()
        at = next(index for index, row in enumerate(stored) if row.body == options.body)
        write_table([*stored[:at], *new, *(row for row in stored[at:] if row.body != options.body)])
        options.stored = True
    if options.stored:
        write_measured(PAGE, "sensitivities", measured(read_table()))
        return
    rows = []
    for name, case in list(bodies())[:: options.every]:
        rows += rows_of(name, case)
        print(measured(rows), flush=True)
        if options.every == 1:
            write_table(rows)
    if options.every == 1:
        write_measured(PAGE, "sensitivities", measured(rows))


if __name__ == "__main__":
    main()
