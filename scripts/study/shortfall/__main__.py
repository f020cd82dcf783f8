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
from buckle.case import case_from_dict, read_case, replace_keys
from buckle.shortfall.distribution import SHARES, Effort
from buckle.shortfall.engine import scatter_of_case, shortfall
from buckle.shortfall.words import ppm, second_words
from scripts.paths import ROOT
from scripts.study.shortfall.samples import row_of, write_samples
from scripts.tables.measured import write_measured

PAGE, SAMPLES = "sizing.md", "sizing.samples.csv"
ASKED, SEED = 1.0, 2026
GAUGE = 0.235  # mm: of which some fall short
TOLERANCES = {
    "shape.gauge_mm": {"law": "normal", "standard_deviation": 0.0025},
    "shape.dome_depth_mm": {"law": "truncated", "standard_deviation": 0.06, "minus": 0.15, "plus": 0.15},
    "shape.nose_inner_radius_mm": {"law": "triangular", "minus": 0.08, "plus": 0.08},
    "shape.nose_outer_radius_mm": {"law": "uniform", "minus": 0.08, "plus": 0.08},
    "material.yield_stress_MPa": {"law": "lognormal", "standard_deviation": 6.0},
}


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


def case_of_study():
    base = replace_keys(read_case(ROOT / "cases/demo/base.toml").tables, {"shape.gauge_mm": GAUGE})
    return case_from_dict({**base, "tolerances": TOLERANCES})


def table(made):
    """The ways side by side, as Markdown."""
    heads = ["way", "below 1", *(f"{100 * share:g} % are below" for share in SHARES)]
    rows = [
        ["first order", ppm(made.first_share), *(f"{each:.4f}" for each in made.first_levels)],
        ["second order", second_words(made), *("" for _ in SHARES)],
    ]
    for sample, name in ((made.weighted, "about the design points"), (made.plain, "plain samples")):
        rows.append(row_of(name, sample, made.asked, made.levels(sample)))
    lines = [" | ".join(row) for row in (heads, ["---"] * len(heads), *rows)]
    said = made.disagreements or ["They agree within their intervals"]
    if made.second_share is None:
        said = [*said, f"Second order has no value: {made.why_no_second}"]
    return "\n".join([*(f"| {line} |" for line in lines), "", *(f"{each}." for each in said)]) + "\n"


if __name__ == "__main__":
    main()
