"""Sharing a compiled loop among threads."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["share"]


def share(work: Callable[[int, int], None], count: int, threads: int, block: int = 256) -> None:
    """Cut ``0 … count`` into one range per thread; small jobs stay in this thread.

    Parameters
    ----------
    work : callable
        Called with the first index of a range and the one past its last.
    count, threads : int
        Number of items; threads to share them.
    block : int
        Fewer items than this are not worth a thread.
    """
    blocks = max(1, min(int(threads), count // block))
    edges = [count * k // blocks for k in range(blocks + 1)]
    if blocks == 1:
        work(0, count)
        return
    with ThreadPoolExecutor(blocks) as pool:
        for done in [pool.submit(work, a, b) for a, b in pairwise(edges)]:
            done.result()
