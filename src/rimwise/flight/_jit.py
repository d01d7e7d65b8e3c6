"""The one way functions are compiled: fixed options, typed, and a cache of the user's own.

numba's cache notices a change only in a function's own file. A compiled function therefore only
calls compiled functions of its own file, and only uses its own constants, or those of the files
in ``SHARED``: what they say decides in which folder the cache is.
"""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar, cast

import numba
import platformdirs

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["SHARED", "compiled", "compiled_exactly", "inlined"]

#: Files of the package whose constants and compiled functions others use.
SHARED = ("flight/_lanes.py", "flight/_paths.py", "decide/_aiming.py", "decide/_terrain.py")

_Function = TypeVar("_Function", bound="Callable[..., Any]")

# numba reads NUMBA_CACHE_DIR itself; without it the cache must not land in the package folder.
_config: Any = numba.config
_said = b"".join((Path(__file__).parents[1] / name).read_bytes() for name in SHARED)
_config.CACHE_DIR = str(
    Path(_config.CACHE_DIR or platformdirs.user_cache_dir("rimwise", appauthor=False))
    / hashlib.sha256(_said).hexdigest()[:12]
)

_njit: Any = numba.njit
# Sums in any order, but what is not a number stays one: blown-up steps are seen and taken back.
_FAST = {"reassoc", "nsz", "arcp", "contract", "afn"}
_OPTIONS: dict[str, Any] = {"nogil": True, "error_model": "numpy", "fastmath": _FAST}


def compiled(function: _Function) -> _Function:
    """Compile a function on first call and keep the result on disk."""
    return cast("_Function", _njit(function, cache=True, **_OPTIONS))


def compiled_exactly(function: _Function) -> _Function:
    """Compile without fast-math: sums in the order written, for double-precision references."""
    return cast("_Function", _njit(function, cache=True, **{**_OPTIONS, "fastmath": False}))


def inlined(function: _Function) -> _Function:
    """Compile a small function that vanishes inside its callers, so that loops vectorise."""
    return cast("_Function", _njit(function, forceinline=True, **_OPTIONS))
