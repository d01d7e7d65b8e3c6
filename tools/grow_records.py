"""Make many years of records, and time what reads them as they grow.

Usage: ``python tools/grow_records.py [--years 0 1 5 20] [--without-learning]``. Twenty years of
heavy use are 5,000 rounds, 200,000 throws and 100,000 putts, each putt noted by itself. They are
the demo's, thrown again with noise. Figures are processor seconds of one process, which other work
on the computer changes little; each thing is done twice, and the second time is shown.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import random
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import httpx

from rimwise.app.backing import back_up, check_records, export_records
from rimwise.app.believing import believed
from rimwise.app.box import assumptions_of, fleet_of
from rimwise.app.noted import evidence_page
from rimwise.app.noting import When, note_putts, note_throw
from rimwise.app.putting import putting_model
from rimwise.demo.scenario import bring_demo
from rimwise.records.evidence import HoleScore, Putts, Round, Throw
from rimwise.store.opening import open_store
from rimwise.store.store import Store
from rimwise.web.server import build_app

#: A year of heavy use.
THROWS, ROUNDS, PUTTS = 10_000, 250, 5_000
LAST = date(2026, 6, 1)
PAGES = (
    "/discs",
    "/log",
    "/log/entries",
    "/log/entries?at=400",
    "/disc/nh27-gold",
    "/records/history",
)


def grow(store: Store, years: float, seed: int = 1) -> None:
    """Add years of throws, rounds and putts before the last day, oldest first."""
    chance = random.Random(seed)  # noqa: S311 - dice, no secret
    known = [throw for _, throw in store.throws.all()]
    course = store.courses.all()[0]

    def days(count: float) -> list[date]:
        span = int(365 * years)
        return sorted(LAST - timedelta(days=chance.randrange(span)) for _ in range(int(count)))

    def thrown(on: date) -> Throw:
        throw = chance.choice(known)
        far_m = round(throw.distance_m + chance.gauss(0.0, 3.0), 1)
        left_m = round(throw.left_m + chance.gauss(0.0, 2.0), 1)
        return replace(throw, on=on, distance_m=far_m, left_m=left_m)

    def played(on: date) -> Round:
        scores = tuple(HoleScore(hole.ref, chance.randint(2, 5)) for hole in course.holes)
        return Round(on, course.name, scores)

    with store.atomic():
        store.throws.add_all(thrown(on) for on in days(THROWS * years))
        store.rounds.add_all(played(on) for on in days(ROUNDS * years))
        store.putts.add_all(
            Putts(on, float(chance.randint(3, 12)), 1, chance.randint(0, 1))
            for on in days(PUTTS * years)
        )


def tasks(data: Path, folder: Path, *, learning: bool) -> Iterator[tuple[str, Callable[[], Any]]]:
    """Return what is timed: pages, notes, what a plan begins with, and safekeeping."""
    app = build_app(data)

    def asked(path: str) -> None:
        async def answer() -> httpx.Response:
            transport = httpx.ASGITransport(app=app)
            async with httpx.AsyncClient(transport=transport, base_url="http://127.0.0.1") as one:
                return await one.get(path)

        asyncio.run(answer()).raise_for_status()

    def with_store(do: Callable[[Store], Any]) -> Callable[[], Any]:
        def run() -> Any:
            with open_store(data) as store:
                return do(store)

        return run

    when, now = When(LAST), datetime(2026, 6, 1)
    for path in PAGES:
        yield f"page {path}", lambda path=path: asked(path)  # type: ignore[misc]
    yield "note a throw", with_store(lambda s: note_throw(s, "nh27-gold", "60m 3L", when))
    yield "note putts", with_store(lambda s: note_putts(s, ["6m", "13/20"], when))
    yield "last page of the log", with_store(lambda s: evidence_page(s, at=10**6, size=25))
    yield "discs as worn by now", with_store(lambda s: fleet_of(s, assumptions_of(s)))
    yield "putting", with_store(lambda s: putting_model(s, s.throwers.all()[0], assumptions_of(s)))
    if learning:
        yield (
            "learn discs and arm",
            with_store(lambda s: believed(s, s.throwers.all()[0], assumptions_of(s))),
        )
    yield "back up", with_store(lambda s: back_up(s, now, folder / "backups of it"))
    yield "look for faults", lambda: check_records(data, now)
    yield "export", with_store(lambda s: export_records(s, folder / "out.zip"))


def timed(do: Callable[[], Any]) -> float:
    """Return the processor seconds of the second time."""
    do()
    began = time.process_time()
    do()
    return time.process_time() - began


def main() -> None:
    """Grow, time, print a table."""
    asking = argparse.ArgumentParser(description=__doc__)
    asking.add_argument("--years", type=float, nargs="+", default=[0.0, 1.0, 5.0, 20.0])
    asking.add_argument("--without-learning", action="store_true")
    given = asking.parse_args()
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    found: dict[str, list[float]] = {}
    for years in given.years:
        with tempfile.TemporaryDirectory() as place:
            folder = Path(place)
            data = folder / "grown.db"
            with open_store(data) as store:
                bring_demo(store)
                if years:
                    grow(store, years)
            found.setdefault("file, MB", []).append(data.stat().st_size / 1e6)
            for name, do in tasks(data, folder, learning=not given.without_learning):
                found.setdefault(name, []).append(timed(do))
                print(f"{years:g} years, {name}: {found[name][-1]:.2f}", flush=True)
    print("years".ljust(26) + "".join(f"{years:>9g}" for years in given.years))
    for name, values in found.items():
        with suppress(BrokenPipeError):
            print(name.ljust(26) + "".join(f"{value:9.2f}" for value in values))


if __name__ == "__main__":
    main()
