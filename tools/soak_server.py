"""Use the pages for a long time from several sides: memory must stay flat and nothing may fail.

Usage: ``python tools/soak_server.py [--minutes N] [--data FILE] [--plan-every S]``. Readers go
round the pages, one browser notes, corrects and deletes, one plans now and then; after a first
round, when all code is loaded, the memory of the server is measured every few seconds. Prints how
long answers took and how memory went. Ends with 1 when an answer failed or, in a trial of five
minutes and more, when memory grew by more than a tenth in its second half.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import threading
import time
from collections import defaultdict
from datetime import date, timedelta
from pathlib import Path

import httpx
import numpy as np
from trial_server import Server, serving, trial_data

from rimwise.store.opening import integrity_check, open_store

PAGES = (
    *("/", "/discs", "/log", "/log/entries", "/log/field", "/log/new/throw", "/weather", "/plan"),
    *("/pack", "/sheet", "/carries", "/more", "/settings", "/settings/assumptions", "/help"),
    *("/import", "/discs/new", "/start", "/records", "/records/history", "/disc/nh27-gold"),
)
READERS = 3
#: A reader rests so long between two pages, as people do; seconds.
REST_S = 0.15
#: From such a length on, in minutes, the growth of memory is judged.
JUDGED_MIN = 5.0


class Soak:
    """What was asked, how long it took, and what went wrong."""

    def __init__(self, server: Server, seconds: float) -> None:
        self.server = server
        self.until = time.monotonic() + seconds
        self.took_s: dict[str, list[float]] = defaultdict(list)
        self.wrong: list[str] = []
        self.memory: list[tuple[float, float]] = []
        self._busy = threading.Lock()

    @property
    def over(self) -> bool:
        """Whether the time is up."""
        return time.monotonic() > self.until

    def ask(self, client: httpx.Client, method: str, path: str, **sent: str) -> httpx.Response:
        """Send one request and keep how long it took."""
        began = time.perf_counter()
        try:
            answer = client.request(method, path, data=sent or None)
        except httpx.TransportError as error:
            answer = httpx.Response(503, text=repr(error))
        took = time.perf_counter() - began
        with self._busy:
            if not path.startswith("/job/"):  # asked again and again while a plan is made
                self.took_s["reading" if method == "GET" else "writing"].append(took)
                self.took_s[f"{method} {path.split('?')[0]}"].append(took)
            if answer.status_code not in (200, 303):
                self.wrong.append(f"{method} {path}: {answer.status_code}")
        return answer


def read_on(soak: Soak, first: int) -> None:
    """Go round the pages."""
    with httpx.Client(base_url=soak.server.address, timeout=120.0) as client:
        at = first
        while not soak.over:
            soak.ask(client, "GET", PAGES[at % len(PAGES)])
            at += 1
            time.sleep(REST_S)


def write_on(soak: Soak) -> None:
    """Note a throw, delete and bring back every third, change a disc now and then."""
    with httpx.Client(base_url=soak.server.address, timeout=120.0) as client:
        n = 0
        while not soak.over:
            # Over a year's days: a page that draws one day's throws is not made to draw thousands.
            on = (date.today() - timedelta(days=n % 365)).isoformat()
            sent = {"disc": "nh27-gold", "text": "60m 3L", "note": f"soak {n}", "on": on}
            noted = soak.ask(client, "POST", "/log/throw", **sent)
            called = noted.headers.get("location", "").rpartition("kept=")[2]
            if n % 3 == 0:
                soak.ask(client, "POST", "/log/delete", id=called)
            if n % 6 == 0:
                soak.ask(client, "POST", "/log/undelete", id=called)
            n += 1
            time.sleep(4.0 * REST_S)


def plan_on(soak: Soak, every_s: float) -> None:
    """Plan, wait until it is chosen, rest, plan again."""
    with httpx.Client(base_url=soak.server.address, timeout=120.0) as client:
        n = 0
        while not soak.over:
            plan_once(soak, client, ("winter", "summer")[n % 2])
            n += 1
            rest = time.monotonic() + every_s
            while not soak.over and time.monotonic() < rest:
                time.sleep(0.2)


def plan_once(soak: Soak, client: httpx.Client, conditions: str) -> None:
    """Plan for some conditions and wait for it."""
    began = time.perf_counter()
    started = soak.ask(client, "POST", "/plan", conditions=conditions, limit="4")
    place = started.headers.get("location", "")
    while place.startswith("/job/"):
        answer = soak.ask(client, "GET", place)
        if answer.status_code != 200:
            place = answer.headers.get("location", "")
        elif "Cancelled" in answer.text:
            break
        time.sleep(0.2)
    if not place.startswith("/?plan="):
        soak.wrong.append(f"a plan ended at {place!r}")
    soak.took_s["plans"].append(time.perf_counter() - began)


def watch(soak: Soak) -> None:
    """Measure the server's memory."""
    began = time.monotonic()
    while not soak.over:
        soak.memory.append((time.monotonic() - began, soak.server.memory_mb))
        time.sleep(2.0)


def tell(soak: Soak, minutes: float) -> None:
    """Print what was measured, and judge it."""
    print("                         number    median      p99  slowest  (seconds)")
    for kind in ("reading", "writing", "plans"):
        took = np.array(soak.took_s.pop(kind, [np.nan]))
        median, p99 = np.quantile(took, [0.5, 0.99])
        print(f"{kind:22} {len(took):8} {median:9.3f} {p99:8.3f} {took.max():8.3f}")
    slowest = sorted(soak.took_s.items(), key=lambda one: -float(np.quantile(one[1], 0.99)))[:5]
    for kind, times in slowest:
        took = np.array(times)
        median, p99 = np.quantile(took, [0.5, 0.99])
        print(f"  {kind:20} {len(took):8} {median:9.3f} {p99:8.3f} {took.max():8.3f}")
    at_s, held = (np.array(column) for column in zip(*soak.memory, strict=True))
    quarters = [float(np.median(part)) for part in np.array_split(held, 4)]
    print("memory, MB, median of each quarter:", " ".join(f"{one:.0f}" for one in quarters))
    if minutes < JUDGED_MIN:
        return
    late = at_s > at_s[-1] / 2.0
    slope = float(np.polyfit(at_s[late], held[late], 1)[0]) * 3600.0
    print(f"memory in the second half: {slope:+.1f} MB an hour; most {held.max():.0f} MB")
    if quarters[3] > 1.1 * quarters[1]:
        soak.wrong.append(f"memory grew from {quarters[1]:.0f} to {quarters[3]:.0f} MB")


def main() -> None:
    """Soak, then tell."""
    asking = argparse.ArgumentParser(description=__doc__)
    asking.add_argument("--minutes", type=float, default=20.0)
    asking.add_argument("--data", type=Path, default=None, help="Copied; else a small season.")
    asking.add_argument("--plan-every", type=float, default=60.0, help="Seconds of rest.")
    given = asking.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        data = trial_data(Path(folder), given.data)
        with serving(data) as server:
            warm = Soak(server, 0.0)
            with httpx.Client(base_url=server.address, timeout=120.0) as client:
                for path in PAGES:
                    warm.ask(client, "GET", path)
                plan_once(warm, client, "winter")
            soak = Soak(server, 60.0 * given.minutes)
            doing = [
                *(
                    threading.Thread(target=read_on, args=(soak, len(PAGES) * n // READERS))
                    for n in range(READERS)
                ),
                threading.Thread(target=write_on, args=(soak,)),
                threading.Thread(target=plan_on, args=(soak, given.plan_every)),
                threading.Thread(target=watch, args=(soak,)),
            ]
            for one in doing:
                one.start()
            for one in doing:
                one.join()
            soak.wrong += warm.wrong + server.complaints
        with open_store(data) as store:
            soak.wrong += integrity_check(store)
    tell(soak, given.minutes)
    for one in soak.wrong[:20]:
        print(f"wrong: {one}")
    print(f"{given.minutes:g} minutes, {len(soak.wrong)} things wrong")
    sys.exit(1 if soak.wrong else 0)


if __name__ == "__main__":
    main()
