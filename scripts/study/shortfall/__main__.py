"""How many bases fall short: python -m scripts.study.shortfall [--samples N] [--about N] [--jobs N] [--out DIR].

The demonstration base of a lighter gauge, with tolerances invented for this study: first order and weighted samples
beside many plain ones. Writes the measured part of docs/sizing.md. What is done is kept in DIR, and the same command
goes on from there. Two idle cores do some eight samples a second: 20,000 take the better part of an hour.
"""

import os

os.environ.update(dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1"))

import argparse
from pathlib import Path

from buckle.batch.asked import asking
from buckle.case import case_from_dict, read_case, replace_keys
from buckle.shortfall.distribution import SHARES, Effort
from buckle.shortfall.engine import scatter_of_case, shortfall
from buckle.shortfall.words import interval, ppm, second_words
from scripts.paths import ROOT
from scripts.tables.measured import write_measured

PAGE = ROOT / "docs/sizing.md"
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
    options = parser.parse_args()
    base = replace_keys(read_case(ROOT / "cases/demo/base.toml").tables, {"shape.gauge_mm": GAUGE})
    case = case_from_dict({**base, "tolerances": TOLERANCES})
    scatter = scatter_of_case(case)
    with asking(case, options.out, "shortfall study", jobs=options.jobs) as designs:
        made, _ = shortfall(designs, scatter, 1.0, Effort(options.samples, options.about, 2026))
    text = table(made)
    write_measured(PAGE, "shortfall", text)
    print(text)


def table(made):
    """The ways side by side, as Markdown."""
    heads = ["way", "below 1", *(f"{100 * share:g} % are below" for share in SHARES)]
    rows = [
        ["first order", ppm(made.first_share), *(f"{each:.4f}" for each in made.first_levels)],
        ["second order", second_words(made), *("" for _ in SHARES)],
    ]
    for sample, name in ((made.weighted, "about the design points"), (made.plain, "plain samples")):
        share = interval(sample.share_below(made.asked))
        rows.append([f"{len(sample.reserves)} {name}", share, *levels(made, sample)])
    lines = [" | ".join(row) for row in (heads, ["---"] * len(heads), *rows)]
    said = made.disagreements or ["They agree within their intervals"]
    if made.second_share is None:
        said = [*said, f"Second order has no value: {made.why_no_second}"]
    return "\n".join([*(f"| {line} |" for line in lines), "", *(f"{each}." for each in said)]) + "\n"


def levels(made, sample):
    return [
        f"{each.value:.4f} ({each.low:.4f} to {each.high:.4f})" if each.low > 0.0 else "too few samples"
        for each in made.levels(sample)
    ]


if __name__ == "__main__":
    main()
