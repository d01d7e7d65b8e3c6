"""Make many years of records, and time what reads them as they grow.

Usage: ``python tools/grow_records.py [--years 0 1 5 20] [--draw FILE] [--only WORD ...]``. Twenty
years of heavy use are 5,000 rounds, 200,000 throws and 100,000 putts, each putt noted by itself.
They are the demo's, thrown again with noise. Figures are processor seconds of one process, which
other work on the computer changes little; each thing is done twice, and the second time is shown.
What takes long (a plan, a hole solved for the tee, the check of the last month, the import of all
throws in one file) is done once, after all was compiled on the records of no year.
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
from itertools import count
from pathlib import Path
from typing import Any

import httpx
from growth_picture import growth_svg

from rimwise.app.backing import back_up, check_records, export_records
from rimwise.app.believing import believed
from rimwise.app.box import assumptions_of, fleet_of
from rimwise.app.bring import bring_file
from rimwise.app.checking import check_log
from rimwise.app.noted import evidence_page, list_evidence
from rimwise.app.noting import When, note_putts, note_throw
from rimwise.app.planning import Asked, make_plan
from rimwise.app.putting import putting_model
from rimwise.app.solving import Question
from rimwise.app.tee import tell_tee
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


_Task = tuple[str, Callable[[], Any]]


def with_store(data: Path, do: Callable[[Store], Any]) -> Callable[[], Any]:
    """Return a call that opens the data file for what it does."""

    def run() -> Any:
        with open_store(data) as store:
            return do(store)

    return run


def tasks(data: Path, folder: Path) -> Iterator[_Task]:
    """Return what is timed: pages, notes, what a plan begins with, and safekeeping."""
    app = build_app(data)

    def asked(path: str) -> None:
        async def answer() -> httpx.Response:
            transport = httpx.ASGITransport(app=app)
            async with httpx.AsyncClient(transport=transport, base_url="http://127.0.0.1") as one:
                return await one.get(path)

        asyncio.run(answer()).raise_for_status()

    when, now = When(LAST), datetime(2026, 6, 1)
    for path in PAGES:
        yield f"page {path}", lambda path=path: asked(path)  # type: ignore[misc]
    did: dict[str, Callable[[Store], Any]] = {
        "note a throw": lambda s: note_throw(s, "nh27-gold", "60m 3L", when),
        "note putts": lambda s: note_putts(s, ["6m", "13/20"], when),
        "log list, the latest 100": lambda s: evidence_page(s, size=100),
        "last page of the log": lambda s: evidence_page(s, at=10**6, size=25),
        "discs as worn by now": lambda s: fleet_of(s, assumptions_of(s)),
        "putting": lambda s: putting_model(s, s.throwers.all()[0], assumptions_of(s)),
        "learn discs and arm": lambda s: believed(s, s.throwers.all()[0], assumptions_of(s)),
        "back up": lambda s: back_up(s, now, folder / "backups of it"),
        "export": lambda s: export_records(s, folder / "out.zip"),
    }
    yield from ((name, with_store(data, do)) for name, do in did.items())
    yield "look for faults", lambda: check_records(data, now)


def long_tasks(data: Path, folder: Path, throws: int) -> Iterator[_Task]:
    """Return what takes long: the whole main job, and what reads or writes everything."""
    seeds = count()

    def anew(store: Store) -> None:
        tell_tee(store, "1", Question(conditions="winter", seed=next(seeds)))

    did: dict[str, Callable[[Store], Any]] = {
        "plan winter": lambda s: make_plan(s, "winter", Asked(), seed=1),
        "tee, the hole solved anew": anew,
        "tee, the hole on file": lambda s: tell_tee(s, "1", Question(conditions="winter", seed=0)),
        "check the last ten days' throws": lambda s: check_log(s, scores=False),
        "log list --all": list_evidence,
    }
    yield from ((name, with_store(data, do)) for name, do in did.items())
    if throws:
        table = throws_table(data, folder / "throws.csv", throws)
        fresh = folder / "fresh.db"
        with_store(fresh, bring_demo)()
        yield "import all throws", with_store(fresh, lambda s: bring_file(s, table, today=LAST))
        yield "import them again", with_store(fresh, lambda s: bring_file(s, table, today=LAST))


def throws_table(data: Path, table: Path, count: int) -> Path:
    """Write the throws of a data file into a table."""
    with open_store(data) as store, table.open("w", encoding="utf-8") as file:
        file.write("on,disc,style,hyzer_deg,launch_deg,effort,distance_m,left_m\n")
        for _, one in store.throws.all()[:count]:
            line = one.line
            cells = (line.style.value, line.hyzer_deg, line.launch_deg, line.effort)
            row = (one.on, one.disc_id, *cells, one.distance_m, one.left_m)
            file.write(",".join(map(str, row)) + "\n")
    return table


def timed(do: Callable[[], Any], times: int) -> float:
    """Return the processor seconds of the last of some times."""
    for _ in range(times - 1):
        do()
    began = time.process_time()
    do()
    return time.process_time() - began


def main() -> None:
    """Grow, time, print a table."""
    asking = argparse.ArgumentParser(description=__doc__)
    asking.add_argument("--years", type=float, nargs="+", default=[0.0, 1.0, 2.0, 5.0, 10.0, 20.0])
    asking.add_argument("--only", nargs="*", default=[""], help="What has one of these words.")
    asking.add_argument("--draw", type=Path, default=None, help="Draw the curves here (.svg).")
    given = asking.parse_args()
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    found: dict[str, dict[float, float]] = {}
    for years in given.years:
        with tempfile.TemporaryDirectory() as place:
            folder = Path(place)
            data = folder / "grown.db"
            with open_store(data) as store:
                bring_demo(store)
                if years:
                    grow(store, years)
            found.setdefault("file, MB", {})[years] = data.stat().st_size / 1e6
            first = 2 if years == given.years[0] else 1  # compiles
            for often, some in (
                (2, tasks(data, folder)),
                (first, long_tasks(data, folder, int(THROWS * years))),
            ):
                for name, do in some:
                    if not any(word in name for word in given.only):
                        continue
                    took_s = timed(do, often)
                    found.setdefault(name, {})[years] = took_s
                    print(f"{years:g} years, {name}: {took_s:.2f}", flush=True)
    print("years".ljust(32) + "".join(f"{years:>9g}" for years in given.years))
    for name, values in found.items():
        cells = (f"{values[y]:9.2f}" if y in values else "        –" for y in given.years)
        with suppress(BrokenPipeError):
            print(name.ljust(32) + "".join(cells))
    if given.draw:
        drawn = {name: values for name, values in found.items() if "MB" not in name}
        given.draw.write_text(growth_svg(drawn), encoding="utf-8")


if __name__ == "__main__":
    main()
