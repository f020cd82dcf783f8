"""The files of a run: record, tables, pictures, surfaces, the margin sheet."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain
from pathlib import Path

from buckle.case import Case
from buckle.record.artefacts import RECORD
from buckle.record.directory import check_target, replaced
from buckle.record.quantities import Fields, Record, record
from buckle.record.seal import analysis_time, case_bytes, kept_name, sealed, with_origin
from buckle.record.surfaces import surfaces, write_vtu
from buckle.record.tables import path_table, wave_table
from buckle.report.figures.all import SVG, figures, save_figure
from buckle.report.figures.sheet import sheet_figures
from buckle.report.sheet.page import write_html
from buckle.results import Outcome
from buckle.units import RECORDED, Units


@dataclass(frozen=True)
class Shown:
    """How people see a run: formats of every picture, and the units of pictures and sheet."""

    formats: Sequence[str] = (SVG,)
    units: Units = RECORDED


def write_results(
    directory: str | Path,
    case: Case,
    outcomes: Sequence[Outcome],
    verdict: Fields,
    expectations: Sequence[Fields] = (),
    when: str | None = None,
    *,
    shown: Shown = Shown(),
) -> Record:
    """Write everything that a run leaves behind and return the record of it; `when` is the time of the analysis.

    The margin sheet takes in the pictures that are SVG. Interrupted at any time, the directory holds what it held
    before or the new results, never a mixture. Raises CaseError if it cannot be written, or if it holds something that
    is not the results of a run.
    """
    target = Path(directory).resolve()
    check_target(target)
    recorded = with_origin(record(case, outcomes, verdict, expectations), case, when or analysis_time())
    with replaced(target) as fresh:
        _write_artefacts(fresh, case, outcomes, recorded, shown)
        recorded = sealed(recorded, fresh.iterdir())
        (fresh / kept_name(case)).write_bytes(case_bytes(case))
        _write_text(fresh / RECORD, json.dumps(recorded, indent=1, allow_nan=False, ensure_ascii=False) + "\n")
    return recorded


def _write_artefacts(directory: Path, case: Case, outcomes: Sequence[Outcome], kept: Record, shown: Shown) -> None:
    """Write tables, pictures, surfaces and the sheet: all that the record holds the SHA-256 of."""
    tables = {"path.csv": path_table(outcomes), "by_wave_number.csv": wave_table(outcomes)}
    for name, text in tables.items():
        if text:
            _write_text(directory / name, text)
    if shown.formats:
        for name, figure in chain(
            figures(case, outcomes, shown.units), sheet_figures(case, outcomes, kept, shown.units)
        ):
            save_figure(figure, directory, name, shown.formats)
    for name, surface in surfaces(case.meridian, outcomes):
        write_vtu(directory / f"{name}.vtu", surface)
    write_html(directory, kept, shown.units)


def _write_text(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8", newline="\n")
