"""Is the capacity continuous in what is drawn, and the same in any mesh: python -m scripts.study.capacity [--count N].

Sweeps bases and ends in steps of 0.3 % and less, and computes N bases and N ends again with other meshes, steps and
layers. Writes the tables docs/capacity.*.csv, the measured part of docs/capacity.md and its figure. About half an hour
on two cores for 300 of each.
"""

import os

os.environ.update(dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1"))

import argparse
from concurrent.futures import ProcessPoolExecutor

from scripts.study.capacity.bodies import levels, series, sweeps
from scripts.study.capacity.figure import draw
from scripts.study.capacity.runs import at_levels, swept
from scripts.study.capacity.table import PAGE, measured, write_table
from scripts.tables.measured import write_measured


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=300, help="bodies of each kind at other meshes, steps and layers")
    parser.add_argument("--jobs", type=int, default=os.cpu_count(), help="processes")
    options = parser.parse_args()
    with ProcessPoolExecutor(options.jobs) as workers:
        lines = list(workers.map(swept, [*series(), *sweeps()]))
        tables = {
            "sweeps": [row for line in lines for row in line],
            "levels": list(workers.map(at_levels, levels(options.count))),
        }
    for name, rows in tables.items():
        write_table(name, rows)
    text = measured(tables)
    write_measured(PAGE, "capacity", text)
    draw(tables["sweeps"])
    print(text)


if __name__ == "__main__":
    main()
