"""What a process of ours is set to, and that a process of others is left as it was."""

import gc
import subprocess
import sys

import pytest

from buckle.cli import main
from buckle.process import OFTEN

PYTHONS = "(700, 10, 10)"
"""What the processes of this test begin with, whatever the version of Python begins with."""


@pytest.mark.parametrize(
    ("code", "left"),
    [
        ("import sys; sys.argv = ['buckle', 'formula']; from buckle.cli import main; main()", str(OFTEN)),
        ("import os; from buckle.batch.processors import serve; serve(os.getppid())", str(OFTEN)),
        ("import buckle; buckle.run, buckle.sweep", PYTHONS),
    ],
    ids=["a command", "a worker", "the library"],
)
def test_cycles_are_looked_for_rarely_where_the_process_is_ours(code: str, left: str) -> None:
    code = f"import gc; gc.set_threshold(*{PYTHONS}); {code}; print('LEFT', gc.get_threshold())"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split("LEFT")[1].strip() == left


def test_a_command_called_from_python_sets_nothing() -> None:
    before = gc.get_threshold()
    gc.set_threshold(700, 10, 10)
    try:
        main(["formula", "sphere"])
        assert str(gc.get_threshold()) == PYTHONS
    finally:
        gc.set_threshold(*before)
