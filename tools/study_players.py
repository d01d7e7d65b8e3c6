"""Study many invented players here, in processes and on a Dask cluster of this computer.

Usage: ``python tools/study_players.py [--players N] [--workers N]``. Prints how long each takes,
whether their results are equal to the bit, and what the carries come to.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import AbstractContextManager

import numpy as np

from rimwise.app.studying import Studied, study_player, study_players


def timed(
    players: int, workers: int, opened: Callable[[], AbstractContextManager[Executor]]
) -> tuple[list[Studied], float]:
    """Return results and seconds, the start of the workers left out."""
    with opened() as executor:
        list(study_players(range(workers), executor))  # load and compile
        began = time.perf_counter()
        return list(study_players(range(players), executor)), time.perf_counter() - began


def main() -> None:
    """Run the study in three ways."""
    asking = argparse.ArgumentParser(description=__doc__)
    asking.add_argument("--players", type=int, default=200)
    asking.add_argument("--workers", type=int, default=2)
    given = asking.parse_args()
    study_player(0)
    began = time.perf_counter()
    here = list(study_players(range(given.players)))
    alone = time.perf_counter() - began
    print(f"{given.players} players here: {alone:.1f} s, {alone / given.players:.2f} s each")
    pooled, seconds = timed(
        given.players, given.workers, lambda: ProcessPoolExecutor(given.workers)
    )
    print(f"{given.workers} processes: {seconds:.1f} s, {alone / seconds:.2f} times as fast; "
          f"equal to the bit: {pooled == here}")  # fmt: skip
    from distributed import Client, LocalCluster

    cluster = LocalCluster(n_workers=given.workers, threads_per_worker=1, dashboard_address=":0")
    with cluster, Client(cluster) as client:
        spread, seconds = timed(given.players, given.workers, client.get_executor)
    print(f"Dask, {given.workers} workers: {seconds:.1f} s, {alone / seconds:.2f} times as fast; "
          f"equal to the bit: {spread == here}")  # fmt: skip
    lost = np.array([one.lost for one in here])
    print(f"carrying 8 of 20 discs costs {lost.mean():.3f} strokes over nine holes, "
          f"{np.quantile(lost, 0.9):.3f} for one in ten")  # fmt: skip


if __name__ == "__main__":
    main()
