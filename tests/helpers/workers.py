"""What workers do in place of their work; a module that loads little, since every worker loads it."""

import os
import signal

from buckle.batch.task import Task
from buckle.batch.work import solve_all
from buckle.store import Result

DEADLY = (2, 5)
"""Designs of which a worker dies."""


def deadly(tasks: list[Task]) -> list[Result]:
    """Solve, but die of two designs as if the system had killed the process for its memory."""
    if any(task.number in DEADLY for task in tasks):
        os.kill(os.getpid(), signal.SIGKILL)
    return solve_all(tasks)


def faulty(tasks: list[Task]) -> list[Result]:
    """Have a fault of the program."""
    raise ZeroDivisionError("a fault of the program")
