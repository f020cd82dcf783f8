"""How many bases fall short: python -m scripts.study.shortfall [--samples N] [--about N] [--jobs N] [--out DIR].

The demonstration base of a lighter gauge, with tolerances invented for this study: first order and weighted samples
beside many plain ones. Writes the measured part of docs/sizing.md and docs/sizing.samples.csv (into another directory
with --docs DIR, which holds a copy of the page). What is done is kept in --out, and the same command goes on from
there. Two idle cores do some eight samples a second: 20,000 take the better part of an hour.
"""

import os

os.environ.update(dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1"))

import argparse
from pathlib import Path

from buckle.batch.asked import asking
from buckle.shortfall.distribution import Effort
from buckle.shortfall.engine import scatter_of_case, shortfall
from scripts.paths import ROOT
from scripts.study.shortfall.page import PAGE, SAMPLES, table
from scripts.study.shortfall.runs import ASKED, SEED, case_of_study
from scripts.study.shortfall.samples import write_samples
from scripts.tables.measured import write_measured


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--samples", type=int, default=20_000, help="plain samples")
    parser.add_argument("--about", type=int, default=1000, help="samples about the design points")
    parser.add_argument("--jobs", type=int, default=os.cpu_count(), help="processes")
    parser.add_argument("--out", type=Path, default=Path("results/shortfall-study"), help="where designs are kept")
    parser.add_argument("--docs", type=Path, default=ROOT / "docs", help="where the page and the samples are written")
    options = parser.parse_args()
    case = case_of_study()
    scatter = scatter_of_case(case)
    with asking(case, options.out, "shortfall study", jobs=options.jobs) as designs:
        made, _ = shortfall(designs, scatter, ASKED, Effort(options.samples, options.about, SEED))
    text = table(made)
    write_measured(options.docs / PAGE, "shortfall", text)
    write_samples(options.docs / SAMPLES, scatter.keys, scatter.values(made.plain.scores), made.plain.reserves)
    print(text)


if __name__ == "__main__":
    main()
