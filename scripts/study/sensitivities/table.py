"""The stored table of the study of sensitivities, and what its page says of it."""

import csv
import math
from dataclasses import astuple, fields
from pathlib import Path
from statistics import median

from scripts.study.sensitivities.rows import Row

DOCS = Path(__file__).parents[3] / "docs"
PAGE, TABLE = DOCS / "sensitivities.md", DOCS / "sensitivities.csv"


def write_table(rows):
    """Write all rows."""
    with TABLE.open("w", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow([field.name for field in fields(Row)])
        out.writerows([f"{each:.7g}" if isinstance(each, float) else each for each in astuple(row)] for row in rows)


def read_table():
    """The stored rows."""
    texts = {field.name for field in fields(Row) if field.type in (str, "str")}
    with TABLE.open(newline="") as file:
        return [
            Row(**{key: each if key in texts else float(each) for key, each in row.items()})
            for row in csv.DictReader(file)
        ]


def measured(rows):
    """How well derivatives and differences agree, by quantity."""
    lines = [
        "| quantity | derivatives | same steps: median | largest | above 1 % | whole runs: median | largest | none |"
    ]
    lines.append("|" + "---|" * 8)
    for name in dict.fromkeys(row.quantity for row in rows if row.quantity):
        own = [row for row in rows if row.quantity == name]
        known = [row for row in own if math.isfinite(row.exact)]
        cells = [_errors(known, of) for of in ("steps", "runs")]
        (median_steps, most_steps, above), (median_runs, most_runs, _) = cells
        lines.append(
            f"| {name} | {len(known)} | {median_steps} | {most_steps} | {above} | {median_runs} | {most_runs} |"
            f" {len(own) - len(known)} |"
        )
    worst = sorted((row for row in rows if row.error("steps") > 1.0), key=lambda row: -row.error("steps"))
    if worst:
        lines += ["", "Above 1 %, by the same steps:", ""]
        lines += [
            f"- {row.body}, {row.quantity} by {row.key}: {row.exact:.5g}; differences {row.steps_fine:.5g},"
            f" {row.steps_finest:.5g}; of whole runs {row.runs_coarse:.5g}, {row.runs_fine:.5g}"
            for row in worst
        ]
    return "\n".join(lines)


def _errors(rows, of):
    errors = sorted(error for row in rows if math.isfinite(error := row.error(of)))
    if not errors:
        return "", "", ""
    return f"{median(errors):.4f} %", f"{errors[-1]:.2f} %", sum(error > 1.0 for error in errors)
