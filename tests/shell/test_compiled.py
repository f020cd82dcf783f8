"""Compiled code is kept where something may be written, and works where nothing may."""

import numba
import pytest

from buckle.shell.compiled import njit
from tests.helpers.paths import ROOT


def test_without_a_folder_for_its_cache_a_function_is_compiled_anyway(monkeypatch: pytest.MonkeyPatch) -> None:
    """As in a read-only checkout of a user without a home, where numba refuses to compile with a cache at all."""
    real = numba.njit
    asked = []

    def refusing(*function: object, cache: bool = False, **options: object):
        asked.append(cache)
        if cache:
            raise RuntimeError("cannot cache function 'doubled': no locator available for file 'x.py'")
        return real(*function, **options)

    monkeypatch.setattr(numba, "njit", refusing)

    @njit(cache=True, error_model="numpy")
    def doubled(value):
        return 2.0 * value

    assert doubled(1.5) == 3.0
    assert asked[:2] == [True, False]  # what follows are numba's own


def test_nothing_else_asks_numba_for_a_cache() -> None:
    users = [path for path in (ROOT / "buckle").rglob("*.py") if "import numba" in path.read_text("utf-8")]
    users += [path for path in (ROOT / "buckle").rglob("*.py") if "from numba" in path.read_text("utf-8")]
    assert [path.name for path in users] == ["compiled.py"]
