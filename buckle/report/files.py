"""The files of a run: record, tables, pictures, surfaces, the margin sheet."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import chain
from pathlib import Path

from buckle.case import Case
from buckle.container.container import Container
from buckle.record.artefacts import DRAWING, RECORD, SHEET
from buckle.record.container import container_record
from buckle.record.directory import check_target, replaced
from buckle.record.quantities import Fields, Record, record
from buckle.record.seal import analysis_time, case_bytes, kept_name, sealed, with_origin
from buckle.record.sheet.container import container_sheet
from buckle.record.sheet.head import sheet_date
from buckle.record.solved import Solved
from buckle.record.surfaces import surfaces, write_vtu
from buckle.record.tables import path_table, wave_table
from buckle.report.container.page import container_html
from buckle.report.figures.all import SVG, figures, save_figure
from buckle.report.figures.container import draw_container
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


def write_container(
    directory: str | Path,
    container: Container,
    solved: Mapping[str, Solved],
    failed: Mapping[str, str],
    joint: Fields | None,
    *,
    shown: Shown = Shown(),
) -> Record:
    """Write what a run of a container leaves, each part in a directory of its own, and return the record of the whole.

    `failed` tells why a part has none, `joint` what the parts came to as one shell. The directory holds what it held
    before or the new results. Raises CaseError as `write_results` does.
    """
    target = Path(directory).resolve()
    check_target(target)
    with replaced(target) as fresh:
        directories = {name: fresh / name for name in solved}
        records = {
            name: write_results(
                directories[name], each.case, each.outcomes, each.verdict, each.expectations, each.when, shown=shown
            )
            for name, each in solved.items()
        }
        when = max((each.when for each in solved.values()), default=analysis_time())
        recorded = with_origin(container_record(container, records, failed, joint), container, when)
        if shown.formats:
            save_figure(draw_container(container, shown.units), fresh, DRAWING, shown.formats, shown.units)
        sheet = container_sheet(recorded, records, sheet_date())
        _write_text(fresh / f"{SHEET}.html", container_html(sheet, directories, fresh, shown.units))
        recorded = sealed(recorded, [path for path in fresh.iterdir() if path.is_file()])
        (fresh / kept_name(container)).write_bytes(case_bytes(container))
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
            save_figure(figure, directory, name, shown.formats, shown.units)
    for name, surface in surfaces(case.meridian, outcomes):
        write_vtu(directory / f"{name}.vtu", surface)
    write_html(directory, kept, shown.units)


def _write_text(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8", newline="\n")
