"""Is an onset of waves ever missed: python -m scripts.study.watch [--count N] [--jobs N].

Watches the paths of random ends as an analysis does, and looks at every state of them in every wave number. Writes the
measured part of docs/errors.md about it. About ten minutes for 1,000 on two cores.
"""

import os

os.environ.update(dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1"))

import argparse
from concurrent.futures import ProcessPoolExecutor

from scripts.study.errors.table import PAGE
from scripts.study.watch.runs import ends, measured, watched
from scripts.tables.measured import write_measured


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=1000, help="ends")
    parser.add_argument("--jobs", type=int, default=os.cpu_count(), help="processes")
    options = parser.parse_args()
    with ProcessPoolExecutor(options.jobs) as workers:
        text = measured(list(workers.map(watched, ends(options.count))))
    write_measured(PAGE, "watch", text)
    print(text)


if __name__ == "__main__":
    main()
