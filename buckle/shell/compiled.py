"""Compilation that is kept where anything may be written, and done again at every start where nothing may."""

from collections.abc import Callable
from typing import Any

import numba

Function = Callable[..., Any]


def njit(*, cache: bool, **options: Any) -> Callable[[Function], Function]:
    """Return numba's decorator of these options, without a cache where it finds no folder for one."""

    def compiled(function: Function) -> Function:
        try:
            return numba.njit(cache=cache, **options)(function)
        except RuntimeError:  # how numba says so; the folder of the source, the user's and NUMBA_CACHE_DIR were tried
            return numba.njit(**options)(function)

    return compiled
