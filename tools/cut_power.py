"""Cut the power while Rimwise writes, on a model of the disk, and see that nothing told is lost.

Usage: ``python tools/cut_power.py [--cuts N] [--seed N] [--only NAME ...] [--careless]``. A child
does what ``kill_records.py`` lets it do, and strace writes down everything that it asks of the
disk. That is played again up to a random moment; what was flushed by then is there, and of what
was not, any part may be: none, all, the first sectors, or each sector of 512 bytes by the toss of a
coin. New names, removals and renamings in a folder that was not flushed are there up to a random
one of them; what is only in shared memory is noise. Then the same is asked as after a kill. Ends
with 1 when anything told is lost, half or damaged.

With ``--careless`` the child never flushes, and the trial must find losses. It is a model: a disk
that lies about flushing is not in it. Needs strace, so Linux.
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

import kill_records
from kill_records import ACTIVITIES, OLD_FILES, Trial
from traced_disk import Disk, Event, events_of

from rimwise.store import connection
from rimwise.store.opening import integrity_check, open_store

#: What is cut, and after how much was told the child ends.
TOLD = {"import": 4, "log": 40, "save": 12, "migrate": 12, "restore": 8, "backup": 14}
_TRACED = (
    "openat,write,pwrite64,ftruncate,fsync,fdatasync,rename,unlink,unlinkat,mkdir,rmdir,sendfile"
)


class _Telling(Trial):
    """Tells so often, then ends the process: nothing is closed or tidied."""

    left = 0

    def tell(self, *words: object) -> None:
        super().tell(*words)
        self.left -= 1
        if self.left < 0:
            os._exit(0)


def be_the_child(name: str, folder: Path, told: Path, *, careless: bool) -> None:
    """Work until enough was told."""
    if careless:
        _never_flush()
    if name == "save":
        kill_records.compute_plans(folder / "tiny.db", told.parent)
    pipe = os.open(told, os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    trial = _Telling(folder, folder / "tiny.db", pipe)
    trial.left = TOLD[name]
    ACTIVITIES[name].work(trial)


def _never_flush() -> None:
    plain = connection.connect

    def connect(*given: Any, **named: Any) -> Any:
        made = plain(*given, **named)
        made.raw.execute("PRAGMA synchronous = OFF")
        return made

    from rimwise.store import opening, restoring

    for module in (connection, opening, restoring):
        module.connect = connect  # type: ignore[attr-defined]


def traced(name: str, folder: Path, aside: Path, *, careless: bool) -> list[Event]:
    """Let a child work, and return what it asked of the disk and told."""
    told, trace = aside / "told", aside / "trace"
    words = [sys.executable, __file__, "--child", name, str(folder), str(told)]
    subprocess.run(
        [
            *("strace", "-y", "-xx", "-s", "100000000", "-e", f"trace={_TRACED}"),
            *("-e", "signal=none", "-o", str(trace), *words),
            *(["--careless"] if careless else []),
        ],
        check=True,
    )
    return list(events_of(trace, folder, told))


def cut(name: str, season: Path, cuts: int, chance: random.Random, careless: bool) -> list[str]:
    """Cut one activity so often; print how it went, and return what is wrong."""
    wrong: list[str] = []
    with tempfile.TemporaryDirectory() as place:
        folder, aside = Path(place) / "disk", Path(place) / "aside"
        folder.mkdir()
        aside.mkdir()
        shutil.copyfile(season, folder / "tiny.db")
        if name == "migrate":
            for n in range(TOLD[name] + 1):
                (folder / f"old{n}").mkdir()
                old = OLD_FILES[n % len(OLD_FILES)]
                shutil.copyfile(old, folder / f"old{n}" / old.name)
        disk = Disk(folder)
        events = traced(name, folder, aside, careless=careless)
        begun = next(n for n, event in enumerate(events) if event.what == "told")
        moments = sorted(chance.randrange(begun + 1, len(events) + 1) for _ in range(cuts))
        told: list[str] = []
        done = unflushed = 0
        for moment in moments:
            for event in events[done:moment]:
                if event.what == "told":
                    told += event.data.decode().splitlines()
                else:
                    disk.take(event)
            done = moment
            unflushed += disk.unflushed
            disk.leave(folder, chance)
            wrong += [f"{name}, cut at {moment}: {one}" for one in _looked_at(name, folder, told)]
    print(
        f"{name:9} {cuts:5} {len(told) - 1:13} {unflushed:27} {len(wrong):6}   "
        f"of {len(events)} requests",
        flush=True,
    )
    return wrong


def _looked_at(name: str, folder: Path, told: list[str]) -> list[str]:
    trial = Trial(folder, folder / "tiny.db")
    try:
        found = ACTIVITIES[name].check(trial, [line.split(" ") for line in told[1:]])
        with open_store(trial.data) as store:
            return [*found, *integrity_check(store)]
    except Exception as error:  # whatever it is, it is a loss
        return [repr(error)]


def main() -> None:
    """Cut, look, count."""
    asking = argparse.ArgumentParser(description=__doc__)
    asking.add_argument("--cuts", type=int, default=300)
    asking.add_argument("--seed", type=int, default=1)
    asking.add_argument("--only", nargs="*", choices=list(TOLD))
    asking.add_argument("--careless", action="store_true")
    asking.add_argument("--child", nargs=3, help=argparse.SUPPRESS)
    given = asking.parse_args()
    if given.child:
        name, folder, told = given.child
        be_the_child(name, Path(folder), Path(told), careless=given.careless)
        return
    from tiny_season import fresh_file

    chance = random.Random(given.seed)  # noqa: S311 - dice, no secret
    names = given.only or list(TOLD)
    wrong: list[str] = []
    print("activity   cuts  acknowledged   with something not flushed   wrong")
    with tempfile.TemporaryDirectory() as folder:
        season = fresh_file(Path(folder))
        for number, name in enumerate(names):
            cuts = given.cuts * (number + 1) // len(names) - given.cuts * number // len(names)
            wrong += cut(name, season, cuts, chance, given.careless)
    for one in wrong[:20]:
        print(one)
    print(f"{given.cuts} cuts, {len(wrong)} things lost, half or damaged")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
