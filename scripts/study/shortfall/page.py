"""The page of the study, and the file of its samples."""

from buckle.shortfall.distribution import SHARES
from buckle.shortfall.words import ppm, second_words
from scripts.study.shortfall.samples import row_of

PAGE, SAMPLES = "sizing.md", "sizing.samples.csv"


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
