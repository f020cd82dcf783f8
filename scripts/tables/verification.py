"""Write docs/verification.md and README's summary from a run of the benchmark cases: scripts/pages

Run it with an interpreter that has the package's dependencies.
"""

import json

from buckle.batch.processors import available_processors
from buckle.commands.bench import find_benchmarks, try_all
from buckle.record.quantities import SUITE
from scripts.paths import ROOT
from scripts.tables.verification_rows import counts, document, read_back, with_summary


def main() -> None:
    folder = ROOT / "cases" / "benchmarks"
    paths, _ = find_benchmarks(folder)
    trials = try_all(folder, paths, available_processors(), lambda: None)
    page = ROOT / "docs" / "verification.md"
    page.write_text(document(trials), encoding="utf-8")
    suite = ROOT / "buckle" / "record" / SUITE
    suite.write_text(json.dumps(counts(trials)) + "\n", encoding="utf-8")
    readme = ROOT / "README.md"
    rows = read_back(page.read_text(encoding="utf-8"))
    readme.write_text(with_summary(readme.read_text(encoding="utf-8"), rows), encoding="utf-8")
    print(f"{page}: {sum(trial.met for trial in trials)} of {len(trials)} cases met")


if __name__ == "__main__":
    main()
