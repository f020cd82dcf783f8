"""The mutator makes every change it knows, repeats them by their seed, and never returns what it was given."""

from pathlib import Path

import pytest

from tests.faults.mutator import CHANGES, mutated

BASE = (Path(__file__).parents[2] / "cases/demo/base.toml").read_bytes()


def test_every_change_is_made_and_none_leaves_the_file_as_it_was():
    made = [mutated(BASE, seed) for seed in range(400)]
    assert all(data != BASE for data, _ in made)
    assert {name for _, names in made for name in names.split(", ")} == set(CHANGES)


def test_a_seed_repeats_its_changes():
    assert mutated(BASE, 7) == mutated(BASE, 7)
    assert len({mutated(BASE, seed)[0] for seed in range(50)}) > 40  # a few have too few ways to differ


def test_a_text_without_lines_is_refused():
    with pytest.raises(ValueError, match="some lines"):
        mutated(b"a = 1", 1)
