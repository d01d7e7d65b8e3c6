"""Let commands, a server and several browsers write into one file at once, and miss nothing.

Usage: ``python tools/write_together.py [--seconds N]``. Two browsers note, correct and delete
through the pages; a program notes as fast as it can; commands are run one after the other; and two
browsers edit the same disc and the same throw at the same moment. Nothing that was acknowledged may
be missing or there twice, nobody may be told of a lock, and of two edits of one thing exactly one
wins, while the other is refused and shown both versions. Ends with 1 otherwise.
"""

from __future__ import annotations

import argparse
import re
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from html import unescape
from pathlib import Path

import httpx
from trial_server import PROGRAM, Server, serving, trial_data

from rimwise.store.opening import integrity_check, open_store

DISCS = ("nh3-yellow", "kv15-red", "nh27-blue", "nh27-gold")

#: Notes throws as fast as it can, and tells each on standard output once it is saved.
_LOGGER = """
import sys, itertools
from datetime import date
from rimwise.app.noting import When, note_throw
from rimwise.store.opening import open_store
for n in itertools.count():
    with open_store(sys.argv[1]) as store:
        note_throw(store, "nh3-yellow", "60m 4L", When(date.today()), note=f"program {n}")
    print(f"program {n}", flush=True)
"""


class Trial:
    """What everybody writes, and what went wrong."""

    def __init__(self, data: Path, server: Server, seconds: float) -> None:
        self.data = data
        self.server = server
        self.until = time.monotonic() + seconds
        self.told: Counter[str] = Counter()
        self.counts: Counter[str] = Counter()
        self.wrong: list[str] = []
        self._busy = threading.Lock()

    @property
    def over(self) -> bool:
        """Whether the time is up."""
        return time.monotonic() > self.until

    def kept(self, note: str) -> None:
        """Remember what was acknowledged."""
        with self._busy:
            self.told[note] += 1

    def count(self, what: str) -> None:
        """Count something that was done."""
        with self._busy:
            self.counts[what] += 1

    def complain(self, words: str) -> None:
        """Keep what went wrong."""
        with self._busy:
            self.wrong.append(words)


def browse(trial: Trial, name: str) -> None:
    """Note throws through the page, and now and then correct or delete one."""
    with httpx.Client(base_url=trial.server.address, timeout=90.0) as client:
        n = 0
        while not trial.over:
            note = f"{name} {n}"
            sent = {"disc": DISCS[n % 4], "text": "61m 3L", "note": note}
            answer = client.post("/log/throw", data=sent)
            if answer.status_code != 303:
                trial.complain(f"{note}: {answer.status_code} {words_of(answer)[:200]}")
                continue
            trial.kept(note)
            trial.count("notes in browsers")
            if n % 5 == 4:
                called = answer.headers["location"].rpartition("kept=")[2]
                gone = client.post("/log/delete", data={"id": called})
                back = client.post("/log/undelete", data={"id": called})
                trial.count("deletions brought back")
                if (gone.status_code, back.status_code) != (303, 303):
                    trial.complain(f"{note}: deleting {gone.status_code}, {back.status_code}")
            n += 1


def run_commands(trial: Trial) -> None:
    """Run commands, one after the other, as somebody at a terminal does."""
    n = 0
    while not trial.over:
        note = f"command {n}"
        words = ["log", "throw", DISCS[n % 4], "62m 2L", "--note", note]
        done = subprocess.run(
            [*PROGRAM, "--data", str(trial.data), *words], capture_output=True, text=True
        )
        trial.count("commands")
        if done.returncode != 0 or done.stderr:
            trial.complain(f"{note}: {done.returncode} {done.stderr[:200]}")
        else:
            trial.kept(note)
        n += 1


def run_a_program(trial: Trial) -> None:
    """Run a program that writes as fast as it can."""
    child = subprocess.Popen(
        [sys.executable, "-c", _LOGGER, str(trial.data)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    threading.Timer(max(trial.until - time.monotonic(), 0.1), child.terminate).start()
    assert child.stdout is not None  # noqa: S101 - it was asked for
    assert child.stderr is not None  # noqa: S101 - it was asked for
    for line in child.stdout:
        trial.kept(line.strip())
        trial.count("notes of a program")
    if complaint := child.stderr.read():
        trial.complain(f"the program: {complaint[-300:]}")
    child.wait()


def edit_the_same(trial: Trial) -> None:
    """Send two edits of one disc, and of one throw, made from the same version, at once."""
    with (
        httpx.Client(base_url=trial.server.address, timeout=90.0) as client,
        ThreadPoolExecutor(2) as pool,
    ):
        noted = client.post("/log/throw", data={"disc": DISCS[0], "text": "61m 3L"})
        called = noted.headers["location"].rpartition("kept=")[2]
        pages = {"a disc": f"/disc/{DISCS[0]}", "a throw": f"/log/edit/{called}"}
        n = 0
        while not trial.over:
            for what, path in pages.items():
                version = field_of(client.get(path).text, "version")
                sent = [{"version": version, "note": f"{what} {n} {who}"} for who in ("A", "B")]
                answers = list(pool.map(lambda one, path=path: client.post(path, data=one), sent))
                trial.count(f"edits of {what} at once")
                _judge(trial, what, sent, answers, client.get(path).text)
            n += 1


def _judge(
    trial: Trial, what: str, sent: list[dict[str, str]], answers: list[httpx.Response], now: str
) -> None:
    """See that one edit won, and that the other one's sender was shown both."""
    statuses = [one.status_code for one in answers]
    if sorted(statuses) != [303, 409]:
        trial.complain(f"{what}: both edits were answered {statuses}")
        return
    won = statuses.index(303)
    if field_of(now, "note") != sent[won]["note"]:
        trial.complain(f"{what}: {sent[won]['note']} won, {field_of(now, 'note')!r} is there")
    refused = words_of(answers[1 - won])
    for one in sent:
        if one["note"] not in refused:
            trial.complain(f"{what}: the refusal does not show {one['note']!r}")


def field_of(text: str, name: str) -> str:
    """Return what stands in a field of a page's form."""
    found = re.search(f'name="{name}"[^>]*value="([^"]*)"', text)
    if found is None:
        found = re.search(f'<textarea[^>]*name="{name}"[^>]*>([^<]*)<', text)
    return unescape(found[1]).strip() if found else ""


def words_of(answer: httpx.Response) -> str:
    """Return the words of a page, with what stands in its fields."""
    fields = " ".join(re.findall('value="([^"]*)"', answer.text))
    return unescape(re.sub(r"<[^>]+>|\s+", " ", answer.text) + " " + fields)


def look(trial: Trial) -> None:
    """Hold what is in the file to what was acknowledged."""
    with open_store(trial.data) as store:
        trial.wrong += integrity_check(store)
        there = Counter(throw.note for _, throw in store.throws.all())
    for note in trial.told:
        if there[note] != 1:
            trial.wrong.append(f"{note!r} was acknowledged and is there {there[note]} times")
    trial.wrong += trial.server.complaints


def main() -> None:
    """Write together, then look."""
    asking = argparse.ArgumentParser(description=__doc__)
    asking.add_argument("--seconds", type=float, default=60.0)
    asking.add_argument("--data", type=Path, default=None, help="Copied; else a small season.")
    given = asking.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        data = trial_data(Path(folder), given.data)
        with serving(data) as server:
            trial = Trial(data, server, given.seconds)
            doing = [
                threading.Thread(target=browse, args=(trial, "browser A")),
                threading.Thread(target=browse, args=(trial, "browser B")),
                threading.Thread(target=run_commands, args=(trial,)),
                threading.Thread(target=run_a_program, args=(trial,)),
                threading.Thread(target=edit_the_same, args=(trial,)),
            ]
            for one in doing:
                one.start()
            for one in doing:
                one.join()
            look(trial)
    for what, number in sorted(trial.counts.items()):
        print(f"{number:6} {what}")
    for one in trial.wrong[:20]:
        print(f"wrong: {one}")
    print(f"{sum(trial.told.values())} notes acknowledged, {len(trial.wrong)} things wrong")
    with suppress(BrokenPipeError):
        sys.stdout.flush()
    sys.exit(1 if trial.wrong else 0)


if __name__ == "__main__":
    main()
