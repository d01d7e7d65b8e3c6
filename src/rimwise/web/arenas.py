"""How a server that many threads serve takes its memory."""

from __future__ import annotations

import sys

__all__ = ["share_one_arena"]

#: The parameter of mallopt for the number of arenas, as glibc's malloc.h has it.
_ARENA_MAX = -8


def share_one_arena() -> bool:
    """Let all threads of this process take memory from one arena; tell whether that could be set.

    glibc gives every new thread an arena of its own and hands back little of what was freed in it,
    so that the memory of a server grows for hours by what nobody holds (docs/soak.md). Other C
    libraries do not, and are left alone.
    """
    if sys.platform != "linux":
        return False
    import ctypes

    mallopt = getattr(ctypes.CDLL(None), "mallopt", None)
    return mallopt is not None and mallopt(_ARENA_MAX, 1) == 1
