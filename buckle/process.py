"""What a process of ours is set to before it loads anything: that of a command, or a worker."""

import gc
import os
import warnings

OFTEN = (10_000, 20, 50)
"""Objects, and rounds of a generation, after which Python looks for cycles; a tenth as often as it would by itself.

The libraries are a million objects that stay; to go over them again and again took a twelfth of a run.
"""


def collect_rarely() -> None:
    """Look for cycles of objects a tenth as often as Python does."""
    gc.set_threshold(*OFTEN)


def keep_floating_warnings_off() -> None:
    """Let no warning of numpy or scipy reach standard error, here or in a worker.

    What overflows or is singular is seen where it matters: a state that is not finite is never taken, and a path that
    comes to none says why it ended. The tests make every warning an error.
    """
    warnings.simplefilter("ignore", RuntimeWarning)
    os.environ["PYTHONWARNINGS"] = "ignore::RuntimeWarning"
