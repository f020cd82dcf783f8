"""Buckling of the domed bases and the ends of thin-walled metal containers.

    import buckle

    case = buckle.read_case("cases/demo/base.toml")
    outcome = buckle.run(case, "GMNA")
    outcome.limit.pressure, outcome.governing.kind
    for margin in buckle.judge(case, [outcome]).margins:
        print(margin)
    table = buckle.sweep(case, {"shape.gauge_mm": [0.24, 0.26]})

Inside the library: mm, N, MPa, radians. Public names are those of `__all__`.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from buckle.analysis import run
    from buckle.batch.entry import sweep
    from buckle.case import Case, case_from_dict, read_case
    from buckle.container.container import Container
    from buckle.container.reader import read_input
    from buckle.errors import BuckleError, CaseError, ShapeError, SolveError
    from buckle.margins import Margin
    from buckle.margins.judge import judge
    from buckle.results import Outcome, Status
    from buckle.store import Table
    from buckle.study.reader import read_study
    from buckle.study.study import Study

_HOME = {
    "BuckleError": "errors",
    "Case": "case",
    "CaseError": "errors",
    "Container": "container.container",
    "Margin": "margins",
    "Outcome": "results",
    "ShapeError": "errors",
    "SolveError": "errors",
    "Status": "results",
    "Study": "study.study",
    "Table": "store",
    "case_from_dict": "case",
    "judge": "margins.judge",
    "read_case": "case",
    "read_input": "container.reader",
    "read_study": "study.reader",
    "run": "analysis",
    "sweep": "batch.entry",
}

__all__ = [
    "BuckleError",
    "Case",
    "CaseError",
    "Container",
    "Margin",
    "Outcome",
    "ShapeError",
    "SolveError",
    "Status",
    "Study",
    "Table",
    "case_from_dict",
    "judge",
    "read_case",
    "read_input",
    "read_study",
    "run",
    "sweep",
]


def __getattr__(name: str) -> Any:
    """Load a public name when it is first used, so that `buckle --help` and `import buckle` stay quick."""
    if name in _HOME:
        return getattr(import_module(f"buckle.{_HOME[name]}"), name)
    if name == "__version__":
        return import_module("importlib.metadata").version("buckle")
    raise AttributeError(f"module 'buckle' has no attribute {name!r}")


def __dir__() -> list[str]:
    """Names for completion, whether they are loaded or not."""
    return sorted([*globals(), *__all__, "__version__"])
