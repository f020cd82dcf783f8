"""What a picture of a batch leaves out, in words below it."""

from collections.abc import Sequence
from textwrap import wrap

from matplotlib.figure import Figure

from buckle.batch.numbers import Batch
from buckle.report.batch.labels import bare_label
from buckle.report.figures.style import GUIDE

_LETTERS = 20.0  # of the smallest text in an inch
_LINE = 0.12  # in


def add_note(figure: Figure, notes: Sequence[str]) -> None:
    """Write notes at the foot of a figure, which has room for two lines below its axes."""
    width, height = figure.get_size_inches()
    for row, line in enumerate(reversed(wrap("; ".join(notes), int(_LETTERS * (width - 0.3)))[:2])):
        figure.text(0.15 / width, (0.1 + _LINE * row) / height, line, fontsize=6.5, color=GUIDE)


def following_words(batch: Batch) -> list[str]:
    """Say which parameters have no graph since they follow from the others."""
    names = ", ".join(map(bare_label, batch.following))
    verb = "follow" if len(batch.following) > 1 else "follows"
    return [f"{names} {verb} from the others"] if names else []


def text_words(batch: Batch) -> list[str]:
    """Say which parameters are no numbers, for a picture that shows numbers alone."""
    names = ", ".join(map(bare_label, batch.texts))
    verb = "are no numbers and have" if len(batch.texts) > 1 else "is no number and has"
    return [f"{names} {verb} no graph here"] if names else []
