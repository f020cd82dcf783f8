"""The command line: arguments in, exit code out; each command loads its own stage."""

import argparse
import sys
from collections.abc import Sequence
from functools import cache, partial
from pathlib import Path
from typing import Any

from buckle.commands.codes import CRASHED, WRONG_INPUT
from buckle.errors import BuckleError, printable
from buckle.inputs import check_readable
from buckle.process import collect_rarely, keep_floating_warnings_off
from buckle.units import LENGTH_UNITS, PRESSURE_UNITS, Units

JOBS = "processes at a time (default: one a processor)"
FIGURES = {"svg": ("svg",), "both": ("svg", "png"), "none": ()}
"""Word of --figures -> formats of every picture; the margin sheet is made of the SVG."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns 0 all met, 1 a requirement missed, 2 wrong input, 3 no verdict, 4 a mistake of ours."""
    if arguments is None:  # the process is ours
        collect_rarely()
        if not sys.warnoptions:  # and nobody asked to see more
            keep_floating_warnings_off()
    options = _parser().parse_args(arguments)
    try:
        return int(options.command(options))
    except BuckleError as error:
        sys.stderr.write(printable(f"{error}\n", spaces="\n"))
        return WRONG_INPUT
    except Exception as error:  # a bug: told as such, and never with the exit code of a requirement that is missed
        sys.stderr.write(f"buckle made a mistake: {type(error).__name__}; {_kept()}\n")
        return CRASHED


def _kept() -> str:
    """Keep the traceback in a file of its own and say where; where no file can be written, the traceback itself."""
    import tempfile
    import traceback

    text = traceback.format_exc()
    try:
        with tempfile.NamedTemporaryFile("w", prefix="buckle-", suffix=".txt", delete=False, encoding="utf-8") as file:
            file.write(text)
    except OSError:
        return f"\n{text}"
    return f"please report {file.name}, which holds where"


class _Version(argparse.Action):
    """Print the version and end; it is looked up when it is asked for."""

    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> None:
        from importlib.metadata import version

        sys.stdout.write(f"buckle {version('buckle')}\n")
        parser.exit()


@cache
def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="buckle",
        description="Buckling of domed bases and ends of thin-walled containers.",
        epilog="Exit code: 0 all met; 1 a requirement or expectation is missed or met with doubt; 2 the input is "
        "wrong; 3 no verdict: an analysis did not finish, or none that was run sees what governs; 4 a mistake of "
        "the program.",
    )
    parser.add_argument("--version", action=_Version, nargs=0, help="the version, and nothing else")
    commands = parser.add_subparsers(metavar="COMMAND", required=True)
    draw = commands.add_parser("draw", help="the section with its named dimensions, mass, volume")
    draw.add_argument("case", metavar="CASE", type=Path, help="case file (TOML or JSON)")
    _figures(draw)
    _common(draw)
    draw.set_defaults(command=_draw)
    run = commands.add_parser("run", help="the analyses of a case, or of all parts of a container, and the margins")
    run.add_argument("cases", metavar="CASE", type=Path, nargs="+", help="file of a case or container (TOML or JSON)")
    run.add_argument(
        "--sensitivities",
        action="store_true",
        help="also how everything changes with each dimension, gauge and metal property; always with [tolerances]",
    )
    words = "processes at a time for the parts of a container (default: 1)"
    run.add_argument("--jobs", metavar="N", type=_count, default=1, help=words)
    _figures(run)
    _common(run)
    run.set_defaults(command=_run)
    bench = commands.add_parser("bench", help="rerun benchmark cases and compare")
    bench.add_argument(
        "path", metavar="PATH", type=Path, nargs="?", help="case file or folder (default: cases/benchmarks)"
    )
    bench.add_argument("--junit", metavar="FILE", type=Path, help="the same content as JUnit XML")
    bench.add_argument("--jobs", metavar="N", type=_count, help="processes at a time (default: one a processor)")
    _printing(bench)
    bench.set_defaults(command=_bench)
    review = commands.add_parser(
        "review",
        help="the margin sheet; of two: what changed",
        description="Runs a case into DIR, or reads the results directory of one, and writes its margin sheet there as "
        "margin-sheet.html, .json and .md. Of several, taken as successive revisions, also what changed from each to "
        "the next, as comparison.html, .json and .md in DIR.",
        epilog="Exit code: 0 all met; 1 a requirement or expectation of any is missed or met with doubt; 2 the input "
        "is wrong; 3 no verdict: an analysis did not finish, or none that was run sees what governs.",
    )
    review.add_argument("paths", metavar="CASE_OR_DIR", type=Path, nargs="+", help="case file or results directory")
    review.add_argument("--revision", metavar="TEXT", help="revision to print on the sheet (default: a blank line)")
    _common(review)
    review.set_defaults(command=_review)
    sweep = commands.add_parser(
        "sweep",
        help="a batch of designs; resumes what DIR already holds",
        epilog="Exit code: 0 every design has its row and none is without results but those that cannot be built; "
        "3 interrupted, or an analysis failed or a worker died; 2 the input is wrong.",
    )
    sweep.add_argument("study", metavar="STUDY", type=Path, help="study file (TOML or JSON)")
    sweep.add_argument("--jobs", metavar="N", type=_count, help="processes at a time (default: one a processor)")
    sweep.add_argument("--executor", choices=("processes", "dask"), default="processes", help="who does the work")
    sweep.add_argument("--address", metavar="URL", help="of the dask scheduler")
    _figures(sweep)
    sweep.add_argument("--dry-run", action="store_true", help="how many designs, how long, the first of them")
    _common(sweep)
    sweep.set_defaults(command=_sweep)
    table = commands.add_parser("table", help="looks at a batch")
    table.add_argument("directory", metavar="DIR", type=Path, help="what buckle sweep wrote to")
    table.add_argument("--where", metavar="EXPR", help="rows to keep, such as 'GMNA.limit_pressure_bar > 6.2'")
    table.add_argument("--csv", metavar="FILE", type=Path, help="all columns as comma-separated values")
    _printing(table)
    table.set_defaults(command=_table)
    check = commands.add_parser(
        "crosscheck",
        help="shell beside a solid of revolution that shares no mechanics with it",
        description="Follows the decisive path of a case (GMNA; GNA of a metal that does not yield) by the shell and "
        "by a solid of revolution: limit, capacity, pressures at growths, onsets of waves.",
        epilog="Exit code: 0 they agree within the bands; 3 something differs by more, or one of them could not be "
        "followed; 2 the input is wrong, or the solid cannot be made of it.",
    )
    check.add_argument("case", metavar="CASE", type=Path, help="case file (TOML or JSON)")
    check.add_argument("--full", action="store_true", help="also how far each moves when it is twice as fine")
    _printing(check)
    check.set_defaults(command=_crosscheck)
    demand = commands.add_parser(
        "demand",
        help="the pressure the contents make",
        description="Works out the gauge pressure that [contents] of a case make in each of its conditions, with the "
        "steps of the one that governs.",
        epilog="Exit code: 0; 2 the input is wrong, or the case says nothing of its contents.",
    )
    demand.add_argument("case", metavar="CASE", type=Path, help="case file (TOML or JSON)")
    demand.add_argument("--out", metavar="DIR", type=Path, help="where to draw the pressure against temperature")
    demand.add_argument(
        "--compliance", action="store_true", help="let the case's own body give way, by the volume that its path gains"
    )
    _printing(demand)
    demand.set_defaults(command=_demand)
    size = commands.add_parser(
        "size",
        help="the lightest shape that passes; what value of one key just does",
        description="The design with the least mass (blank area, cost) that meets all that the case requires, in the "
        "bounds of its [size]; with --vary the value of one key at which the least reserve factor is what is asked.",
        epilog="Exit code: 0 an answer; 1 none: nothing within the bounds meets what is asked, or all does; 2 the "
        "input is wrong; 3 none: analyses stopped.",
    )
    size.add_argument("case", metavar="CASE", type=Path, help="file of a case or container (TOML or JSON)")
    size.add_argument("--vary", metavar="KEY", help="the one that moves: shape.gauge_mm, parts.end.shape.gauge_mm")
    size.add_argument("--between", metavar=("LOW", "HIGH"), type=float, nargs=2, help="where it may lie, in its unit")
    _numbers(size, reserve="what is asked (default: that of [size], or 1)", jobs=JOBS)
    _numbers(size, 0, check="look at so many designs about the lightest", front="N of more reserve, N of less growth")
    _figures(size)
    _common(size)
    size.set_defaults(command=_size)
    short = commands.add_parser(
        "shortfall",
        help="how many of all that are made will fall short, by the tolerances of the case",
        description="Works out the distribution of the least reserve factor over all that the case requires, from the "
        "laws in its [tolerances]: by first order, by sampling about the design points, and by plain sampling.",
        epilog="Exit code: 0 whatever the answer; 2 the input is wrong, or a tolerance has no law.",
    )
    short.add_argument("case", metavar="CASE", type=Path, help="file of a case or container (TOML or JSON)")
    _numbers(short, reserve="what falls short is below this (default: 1)", jobs=JOBS)
    _numbers(short, 400, samples="plain samples (default: 400)")
    _numbers(short, 240, about="samples about the design points (default: 240)", seed="of the samples (default: 240)")
    _figures(short)
    _common(short)
    short.set_defaults(command=_shortfall)
    examples = commands.add_parser("examples", help="copies the demonstration cases and studies, to begin from")
    examples.add_argument(
        "--out", metavar="DIR", type=Path, default=Path("examples"), help="where to write (default: examples)"
    )
    examples.add_argument("--quiet", action="store_true", help="print nothing but errors")
    examples.set_defaults(command=_examples)
    formula = commands.add_parser(
        "formula",
        help="lists the hand calculations; works one out",
        description="Without words: the list; with a body such as 'sphere': its part. With a NAME and its numbers: the "
        "calculation as a sheet. Keys end in their unit as in a case file. Options stand first or last.",
        epilog="Exit code: 0 also outside a formula's range, where the sheet gives the reason and no value; "
        "2 the name, a key or a number is wrong.",
    )
    formula.add_argument(
        "words", metavar="NAME key=value", nargs="*", help="such as sphere.squash_pressure yield_stress_MPa=262 ..."
    )
    _printing(formula)
    formula.set_defaults(command=_formula)
    return parser


def _numbers(parser: argparse.ArgumentParser, default: int | None = None, **words: str) -> None:
    for name, help_words in words.items():
        kind = _positive if name == "reserve" else _count
        parser.add_argument(f"--{name}", metavar="N", type=kind, default=default, help=help_words)


def _figures(parser: argparse.ArgumentParser) -> None:
    words = "pictures as SVG (default), as SVG and PNG, or none"
    parser.add_argument("--figures", choices=FIGURES, default="svg", help=words)


def _common(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--out", metavar="DIR", type=Path, default=Path("results"), help="where to write (default: results)"
    )
    _printing(parser)


def _printing(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", metavar="FILE", help="the same content machine-readable; - is standard output")
    parser.add_argument("--quiet", action="store_true", help="print nothing but errors")
    for what, known in (("pressure", PRESSURE_UNITS), ("length", LENGTH_UNITS)):
        words = f"unit in which people read {what}s (default: {known[0]}); machine-readable content keeps its own"
        parser.add_argument(f"--{what}-unit", choices=known, default=known[0], help=words)


def _units(options: argparse.Namespace) -> Units:
    return Units(options.pressure_unit, options.length_unit)


def _count(text: str) -> int:
    if not text.isdecimal() or int(text) < 1:
        raise argparse.ArgumentTypeError(f"{text!r} is not a whole number of at least 1")
    return int(text)


def _positive(text: str) -> float:
    value = float(text)
    if not 0.0 < value < 1e6:
        raise argparse.ArgumentTypeError(f"{text!r} is no number above 0")
    return value


def _draw(options: argparse.Namespace) -> int:
    check_readable([options.case])
    from buckle.commands.draw import draw_case

    return draw_case(
        options.case, options.out, FIGURES[options.figures], options.json, _units(options), quiet=options.quiet
    )


def _run(options: argparse.Namespace) -> int:
    check_readable(options.cases)
    from buckle.commands.run import Request, run_cases

    asked = options.quiet, options.jobs, options.sensitivities
    request = Request(options.cases, options.out, options.json, _units(options), *asked)
    shown = FIGURES[options.figures], request.units
    return run_cases(request, partial(_write_results, *shown), partial(_write_container, *shown))


def _write_results(formats: tuple[str, ...], units: Units, *made: Any) -> Any:
    """Leave the files of a run; what draws is loaded when the verdict stands on the screen."""
    from buckle.report.files import Shown, write_results

    return write_results(*made, shown=Shown(formats, units))


def _write_container(formats: tuple[str, ...], units: Units, *made: Any) -> Any:
    """Leave the files of a container's run, as those of a case's."""
    from buckle.report.files import Shown, write_container

    return write_container(*made, shown=Shown(formats, units))


def _bench(options: argparse.Namespace) -> int:
    from buckle.commands.bench import Bench, run_benchmarks

    return run_benchmarks(
        Bench(options.path, options.junit, options.json, _units(options), options.jobs, options.quiet)
    )


def _review(options: argparse.Namespace) -> int:
    if not any(path.exists() for path in options.paths):  # else the faults of all are told at once
        check_readable(options.paths)
    from buckle.commands.review import Review, review

    return review(
        options.paths, Review(options.out, options.json, _units(options), options.revision or "", options.quiet)
    )


def _sweep(options: argparse.Namespace) -> int:
    check_readable([options.study])
    from buckle.commands.sweep import Request, sweep_study

    request = Request(
        options.study,
        options.out,
        options.jobs,
        options.executor,
        options.address,
        dry_run=options.dry_run,
        formats=FIGURES[options.figures],
        json_file=options.json,
        units=_units(options),
        quiet=options.quiet,
    )
    code, finished = sweep_study(request)
    if finished is not None:
        from buckle.commands.sweep_pages import write_pages

        write_pages(request, finished)
    return code


def _table(options: argparse.Namespace) -> int:
    from buckle.commands.sweep import show_table

    how = (options.where, options.csv, options.json, _units(options))
    return show_table(options.directory, *how, quiet=options.quiet)


def _crosscheck(options: argparse.Namespace) -> int:
    check_readable([options.case])
    from buckle.commands.crosscheck import Request, crosscheck_case

    return crosscheck_case(
        Request(options.case, options.full, options.json, units=_units(options), quiet=options.quiet)
    )


def _demand(options: argparse.Namespace) -> int:
    check_readable([options.case])
    from buckle.commands.demand import show_demand

    return show_demand(
        options.case,
        options.out,
        options.json,
        _units(options),
        quiet=options.quiet,
        compliance=options.compliance,
    )


def _size(options: argparse.Namespace) -> int:
    check_readable([options.case])
    from buckle.commands.size import Request, size_case

    between = tuple(options.between) if options.between else None
    asked = (options.vary, options.reserve, between, options.check, options.front)
    return size_case(Request(options.case, options.out, *asked, *_how(options)))


def _shortfall(options: argparse.Namespace) -> int:
    check_readable([options.case])
    from buckle.commands.shortfall import Request, count_shortfall
    from buckle.shortfall.distribution import Effort

    effort = Effort(options.samples, options.about, options.seed)
    return count_shortfall(Request(options.case, options.out, options.reserve, effort, *_how(options)))


def _how(options: argparse.Namespace) -> tuple[Any, ...]:
    return options.jobs, options.json, _units(options), options.quiet, FIGURES[options.figures]


def _examples(options: argparse.Namespace) -> int:
    from buckle.commands.examples import copy_examples

    return copy_examples(options.out, quiet=options.quiet)


def _formula(options: argparse.Namespace) -> int:
    from buckle.commands.formula import show_formulas

    return show_formulas(options.words, options.json, _units(options), quiet=options.quiet)


if __name__ == "__main__":
    sys.exit(main())
