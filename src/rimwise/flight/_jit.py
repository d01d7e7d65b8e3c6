"""The one way functions are compiled: fixed options, typed, and a cache of the user's own.

A compiled function only calls compiled functions of its own file, because numba's cache
notices a change only there.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeVar, cast

import numba
import platformdirs

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["compiled", "compiled_exactly", "inlined"]

_Function = TypeVar("_Function", bound="Callable[..., Any]")

# numba reads NUMBA_CACHE_DIR itself; without it the cache must not land in the package folder.
_config: Any = numba.config
if not _config.CACHE_DIR:
    _config.CACHE_DIR = platformdirs.user_cache_dir("rimwise", appauthor=False)

_njit: Any = numba.njit
_OPTIONS: dict[str, Any] = {"nogil": True, "error_model": "numpy", "fastmath": True}


def compiled(function: _Function) -> _Function:
    """Compile a function on first call and keep the result on disk."""
    return cast("_Function", _njit(function, cache=True, **_OPTIONS))


def compiled_exactly(function: _Function) -> _Function:
    """Compile without fast-math: sums in the order written, for double-precision references."""
    return cast("_Function", _njit(function, cache=True, **{**_OPTIONS, "fastmath": False}))


def inlined(function: _Function) -> _Function:
    """Compile a small function that vanishes inside its callers, so that loops vectorise."""
    return cast("_Function", _njit(function, forceinline=True, **_OPTIONS))
