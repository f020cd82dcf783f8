"""The measured part of docs/batches.md."""

from collections.abc import Iterator, Sequence

from scripts.paths import DOCS
from scripts.study.batch.runs import Run

PAGE = DOCS / "batches.md"
STATUSES = ("solved", "no limit found", "failed", "worker died", "not built")


def measured(populations: Sequence[Run], timed: Sequence[Run], jobs: int) -> str:
    """Tables of how designs ended, why some have no verdict, and how fast they went."""
    return "\n".join([*_endings(populations), "", *_causes(populations), "", *_speeds(timed, jobs)])


def _endings(runs: Sequence[Run]) -> Iterator[str]:
    yield "| population | designs | " + " | ".join(STATUSES) + " |"
    yield "|---" * (2 + len(STATUSES)) + "|"
    for run in runs:
        yield f"| {run.title} | {run.designs} | " + " | ".join(str(run.counts.get(one, 0)) for one in STATUSES) + " |"
    total = [sum(run.counts.get(one, 0) for run in runs) for one in STATUSES]
    yield f"| all | {sum(total)} | " + " | ".join(map(str, total)) + " |"


def _causes(runs: Sequence[Run]) -> Iterator[str]:
    yield "| population | designs | status | reason, such as |"
    yield "|---|---|---|---|"
    for run in runs:
        for cause in run.causes:
            yield f"| {run.title} | {cause.count} | {cause.status} | {cause.reason} |"


def _speeds(runs: Sequence[Run], jobs: int) -> Iterator[str]:
    yield (
        "| population | analysis | designs | analysed | wall, s | designs a second | analysed a second"
        " | overhead | memory of the parent, first and last fifth |"
    )
    yield "|---" * 9 + "|"
    for run in runs:
        first, last = run.memory.between(0.0, 0.2), run.memory.between(0.8, 1.0)
        memory = "not measured" if first is None or last is None else f"{first:.0f} and {last:.0f} MB"
        overhead = 100.0 * (run.wall * jobs / run.work - 1.0)
        yield (
            f"| {run.title} | {run.kind} | {run.designs} | {run.analysed} | {run.wall:.0f}"
            f" | {run.designs / run.wall:.1f} | {run.analysed / run.wall:.1f} | {overhead:.0f} % | {memory} |"
        )
