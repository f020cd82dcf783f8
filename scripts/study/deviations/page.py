"""The stored table of the study of deviations, the measured part of its page and its figure."""

import csv
import math
import re
from collections.abc import Iterator, Mapping, Sequence

from buckle.marked import plain
from buckle.report.figures.plot import new_figure
from scripts.paths import DOCS
from scripts.study.deviations.runs import bodies

PAGE = DOCS / "deviations.md"
TABLE = DOCS / "deviations.csv"
Row = Mapping[str, object]
COLOURS = {1.0: "#0072B2", 2.0: "#D55E00", 3.0: "#009E73"}
TITLES = {"sphere": "complete sphere, elastic", "base": "demonstration base", "end": "demonstration end"}


def write_rows(rows: Sequence[Row]) -> None:
    with TABLE.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(
            {key: f"{value:.6g}" if isinstance(value, float) else value for key, value in row.items()} for row in rows
        )


def measured(rows: Sequence[Row]) -> str:
    """The measured part of the page."""
    lines = ["| body | deviation | capacity | of the perfect one | event | which |", "|---|---|---|---|---|---|"]
    return "\n".join([*lines, *_lines(rows)])


def _lines(rows: Sequence[Row]) -> Iterator[str]:
    for row in rows:
        if row["deviation"] == "dimple" and not (
            row["width"] == 2.0 and abs(float(str(row["depth"]))) in (0.1, 0.5, 1.0, 2.0)
        ):
            continue
        deviation = row["deviation"]
        if deviation == "dimple":
            deviation = f"dimple at the apex, width 2, {row['depth']:+g} walls"
        known = math.isfinite(float(str(row["share"])))
        found = f"{row['capacity_bar']:.4g} bar | {row['share']:.3f}" if known else "none known | "
        yield f"| {row['body']} | {deviation} | {found} | {row['event']} | {plain(str(row['note']))} |"


def _depth(note: str) -> float:
    """Depth [mm] of the dimple that carries least of a class set, which its note begins with."""
    return float(re.findall(r"a dimple of \[(\S+) mm\]", note)[0])


def draw(rows: Sequence[Row]) -> None:
    walls = {name: wall for name, _, _, wall, _ in bodies()}
    figure = new_figure(9.6, 3.6)
    axes = figure.subplots(1, 3, sharey=True)
    for axis, (name, title) in zip(axes, TITLES.items(), strict=True):
        for width, colour in COLOURS.items():
            for sense, dash in ((1.0, "-"), (-1.0, "--")):
                curve = [
                    (abs(row["depth"]), row["share"])
                    for row in rows
                    if row["body"] == name and row["width"] == width and row["depth"] * sense > 0.0
                ]
                if curve:
                    label = f"width {width:g}" + ("" if sense > 0.0 else ", outward") if name == "base" else None
                    axis.plot(*zip((0.0, 1.0), *curve, strict=True), dash, color=colour, lw=1.3, label=label)
        for row in rows:
            if row["body"] == name and str(row["deviation"]).startswith("class"):
                axis.axhline(row["share"], color="#888888", lw=0.8)
                axis.text(0.03, row["share"] + 0.008, row["deviation"], fontsize=7, color="#555555")
                depth = _depth(str(row["note"])) / walls[name]
                axis.axvline(depth, ymin=0.94, color="#888888", lw=0.8)
                axis.text(depth, 1.055, f" {str(row['deviation'])[-1]}", fontsize=7, va="top", color="#555555")
        axis.set_title(title, loc="left", fontsize=9)
        axis.set_xlabel("depth of the dimple / wall", fontsize=8)
        axis.set_xlim(0.0, 2.0)
        axis.set_ylim(0.15, 1.06)
        axis.tick_params(labelsize=8)
        axis.grid(alpha=0.25)
    axes[0].set_ylabel("capacity / that of the perfect shape", fontsize=8)
    axes[1].legend(fontsize=7, loc="lower left")
    figure.tight_layout()
    figure.savefig(DOCS / "deviations.svg", metadata={"Date": None})
