"""How far a batch is, on standard error if that is a terminal."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

from buckle.batch.progress import BatchProgress


@contextmanager
def progress_bar(total: int, *, quiet: bool) -> Iterator[Callable[[BatchProgress], None]]:
    """Lend a function that shows the state of a batch."""
    console = Console(stderr=True)
    columns = (TextColumn("designs"), BarColumn(), MofNCompleteColumn(), TextColumn("{task.description}"))
    with Progress(*columns, console=console, transient=True, disable=quiet or not console.is_terminal) as bar:
        task = bar.add_task("", total=total)
        yield lambda state: bar.update(task, completed=state.done, description=state.words)
