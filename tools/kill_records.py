"""Kill Rimwise while it writes, again and again, and see that nothing it acknowledged is lost.

Usage: ``python tools/kill_records.py [--kills N] [--seed N]``. A child imports, logs, plans, saves
plans that are computed already, brings old files up to date, backs up or restores; it tells each
thing on a pipe once it is saved, and is ended by SIGKILL at a random moment, or at a random moment
of one phase of its work. After every kill the file must open, every row must be read, what was told
must be there, and what was saved together must be there whole or not at all. Ends with 1 otherwise.

The kill takes the process and not the computer; for that see ``tools/cut_power.py``. Works where a
process can fork.
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import sqlite3
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from kill_phases import ANY, COMMIT, INSIDE, Marked, kill_within, mark_phases

from rimwise.app import backing, bring, history, noted, noting, showing
from rimwise.app.asking import load_asked
from rimwise.app.bring import bring_many
from rimwise.app.reports import load_plan, plan_names
from rimwise.records.evidence import Putts
from rimwise.store import backup, migrate, restoring
from rimwise.store.backup import rotate
from rimwise.store.journal import Journal
from rimwise.store.opening import integrity_check, open_store
from rimwise.store.restoring import restore_from

ROOT = Path(__file__).parents[1]
OLD_FILES = sorted((ROOT / "tests" / "data" / "schemas").glob("*.db"))
TODAY = date(2026, 6, 1)
GROUP = 120

sys.path.insert(0, str(ROOT / "tests"))  # the tests' small season


@dataclass
class Trial:
    """One child: its folder, its data file, and where it tells what is saved."""

    folder: Path
    data: Path
    pipe: int = -1

    def tell(self, *words: object) -> None:
        """Acknowledge something that is saved."""
        os.write(self.pipe, (" ".join(map(str, words)) + "\n").encode())


@dataclass
class Count:
    """What was tried and what was found, of one activity."""

    kills: int = 0
    told: int = 0
    phases: Counter[str] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)


# -- what the child does, without end -------------------------------------------------------------


def import_groups(trial: Trial) -> None:
    """Import tables of discs and of throws with them, each pair in one transaction."""
    with open_store(trial.data) as store:
        for group in range(10_000):
            discs, throws = trial.folder / "discs.csv", trial.folder / "throws.csv"
            rows = [f"g{group}x{n},NH 3,soft base,17{n % 10},red" for n in range(GROUP // 4)]
            discs.write_text("\n".join(["disc,mold,plastic,weight,colour", *rows]) + "\n", "utf-8")
            rows = [
                f"2026-05-01,g{group}x0,{60 + n / 8},{n / 50},group {group}" for n in range(GROUP)
            ]
            throws.write_text(
                "\n".join(["date,disc,distance_m,left_m,note", *rows]) + "\n", "utf-8"
            )
            if group == 0:
                trial.tell("begin")
            bring_many(store, [discs, throws], today=TODAY)
            trial.tell("group", group)


def log_things(trial: Trial) -> None:
    """Note throws, correct, delete and take back, one after the other."""
    disc = "nh3-yellow"
    with open_store(trial.data) as store:
        trial.tell("begin")
        for n in range(100_000):
            when = noting.When(TODAY)
            kept = noting.note_throw(store, disc, f"{60 + n % 20}m 4L", when, note=f"n{n}")
            trial.tell("throw", kept.id, n)
            if n % 4 == 1:
                noted.edit_evidence(
                    store, kept.id, noted.Change(note=f"edited {n}"), when, datetime(2026, 6, 1)
                )
                trial.tell("edited", kept.id, n)
            if n % 4 == 2:
                noted.delete_evidence(store, [kept.id], datetime(2026, 6, 1))
                trial.tell("deleted", kept.id, n)
            if n % 4 == 3:
                showing.change_disc(store, disc, f"wear={n % 97 / 100}", TODAY)
                trial.tell("wear", n % 97 / 100)
                history.undo(store)
                trial.tell("undone", n)


def plan_carries(trial: Trial) -> None:
    """Plan and keep carries."""
    from rimwise.app import planning
    from tiny_season import ROUGH

    planning.Simulator = ROUGH
    with open_store(trial.data) as store:
        planning.make_plan(store, "winter", planning.Asked(limit=4), seed=1)  # compiles
        trial.tell("begin")
        for n in range(1000):
            asked = planning.Asked(limit=2 + n % 3, name=f"plan {n}")
            report = planning.make_plan(store, ("winter", "summer")[n % 2], asked, seed=n)
            trial.tell("plan", n, ",".join(report.chosen))


def save_carries(trial: Trial) -> None:
    """Make plans whose computing is remembered, so that hardly anything but the saving is left."""
    with remembering(), open_store(trial.data) as store:
        trial.tell("begin")
        for n in range(100_000):
            trial.tell("plan", n, ",".join(plan_remembered(store, n)))


def plan_remembered(store: Any, n: int) -> tuple[str, ...]:
    """Make one of six plans under a number, and return what was chosen."""
    from rimwise.app import planning

    asked = planning.Asked(limit=2 + n % 3, name=f"plan {n}")
    report = planning.make_plan(store, ("winter", "summer")[n % 2], asked, seed=n)
    return tuple(report.chosen)


#: What was computed of plans, by step and what it was computed from; children inherit it.
_COMPUTED: dict[tuple[str, object], Any] = {}


@contextmanager
def remembering() -> Iterator[None]:
    """Let plans take what was computed before from :data:`_COMPUTED`; saving stays as it is."""
    from rimwise.app import planning
    from tiny_season import ROUGH

    def remembered(name: str, key: Callable[..., object]) -> Callable[..., Any]:
        plain = getattr(planning, name)

        def again(*given: Any, **named: Any) -> Any:
            at = (name, key(*given))
            if at not in _COMPUTED:
                _COMPUTED[at] = plain(*given, **named)
            return _COMPUTED[at]

        return again

    def of_days(demand: Any, *_others: object) -> str:
        return str(demand.days[0].name)

    report = remembered("_report", lambda _ready, where, *more: (where.name, more[3].limit))
    steps: dict[str, Callable[..., Any]] = {
        "Simulator": ROUGH,
        "prepare": remembered("prepare", lambda _store: ""),
        "build_demand": remembered("build_demand", lambda _sim, _fleet, days, *_: days[0].name),
        "choose_carry": remembered("choose_carry", lambda d, asked, *_: (of_days(d), asked.limit)),
        "how_many_curve": remembered("how_many_curve", lambda d, *_: of_days(d)),
        "told_wishes": remembered("told_wishes", lambda _s, d, a, *_: (of_days(d), a.limit)),
        "_report": lambda *given: replace(report(*given), seed=given[-2]),
    }
    with pytest.MonkeyPatch.context() as patch:
        for name, step in steps.items():
            patch.setattr(planning, name, step)
        yield


def compute_plans(season: Path, folder: Path) -> None:
    """Compute the six plans that children save, once for all of them."""
    if not _COMPUTED:
        scratch = shutil.copyfile(season, folder / "computing.db")
        with remembering(), open_store(scratch) as store:
            for n in range(6):
                plan_remembered(store, n)


def bring_up_to_date(trial: Trial) -> None:
    """Open copies of old files, which brings each up to date after a backup."""
    trial.tell("begin")
    for n in range(10_000):
        old = OLD_FILES[n % len(OLD_FILES)]
        place = trial.folder / f"old{n}" / old.name
        if not place.exists():
            place.parent.mkdir()
            shutil.copyfile(old, place)
        open_store(place).close()
        trial.tell("up_to_date", n)


def restore_in_turn(trial: Trial) -> None:
    """Restore two backups in turn, each time after something new was logged."""
    sources = [trial.folder / "one.sqlite", trial.folder / "two.sqlite"]
    with open_store(trial.data) as store:
        for source, tried in zip(sources, (11, 22), strict=True):
            store.putts.add(Putts(TODAY, 6.0, tried, 1))
            made = backing.back_up(store, datetime(2026, 1, tried))
            Path(made.path).rename(source)
    trial.tell("begin")
    for n in range(10_000):
        with open_store(trial.data) as store:
            store.settings.put("last", n)
        trial.tell("last", n)
        restore_from(
            sources[n % 2], trial.data, datetime(2026, 6, 1, n // 3600 % 24, n // 60 % 60, n % 60)
        )
        trial.tell("restored", n)


def back_up_in_turn(trial: Trial) -> None:
    """Back up after each throw, and rotate."""
    with open_store(trial.data) as store:
        trial.tell("begin")
        for n in range(10_000):
            store.putts.add(Putts(TODAY, 6.0, n + 1, 1))
            moment = datetime(2026, 1, 1) + n * timedelta(minutes=61)
            made = backing.back_up(store, moment)
            trial.tell("backup", n + 1, made.path)


# -- what must be there afterwards -----------------------------------------------------------------


def check_import(trial: Trial, told: list[list[str]]) -> list[str]:
    """Hold every group to all of its discs and throws."""
    with closing(sqlite3.connect(trial.data)) as raw:
        groups: dict[str, list[int]] = {}
        for place, query in enumerate(
            (
                "SELECT substr(id, 2, instr(id, 'x') - 2), count(*) FROM discs GROUP BY 1",
                "SELECT substr(note, 7), count(*) FROM throws GROUP BY 1",
            )
        ):
            for group, count in raw.execute(query):
                if group.isdigit():
                    groups.setdefault(group, [0, 0])[place] = count
    wrong = [f"group {g} is {c}" for g, c in groups.items() if c != [GROUP // 4, GROUP]]
    told_groups = {words[1] for words in told if words[0] == "group"}
    wrong += [f"group {g} was told and is not there" for g in told_groups if g not in groups]
    return wrong


def check_log(trial: Trial, told: list[list[str]]) -> list[str]:
    """See that every throw, correction, deletion and undoing that was told is there."""
    wrong: list[str] = []
    with open_store(trial.data) as store:
        throws = dict(store.throws.all())
        gone = {one.number: one.record for one in Journal(store).deleted()}
        for what, *words in told:
            number = int(words[0][1:]) if what in ("throw", "edited", "deleted") else 0
            if what == "throw" and number not in throws and number not in gone:
                wrong.append(f"{words[0]} was told and is not there")
            elif what == "edited" and throws[number].note != f"edited {words[1]}":
                wrong.append(f"the correction of {words[0]} was told and is not there")
            elif what == "deleted" and number not in gone:
                wrong.append(f"the deletion of {words[0]} was told and is not there")
        steps = history.history(store, most=100_000)
    undone = sum(words[0] == "undone" for words in told)
    if sum(one.undone for one in steps) < undone:
        wrong.append("an undoing was told and is not there")
    return wrong


def check_plan(trial: Trial, told: list[list[str]]) -> list[str]:
    """Hold every plan to its carry, and every carry to its plan."""
    with open_store(trial.data) as store:
        carries = {carry.name: carry for _, carry in store.carries.all()}
        plans = {name: load_plan(store, name).chosen for name in plan_names(store)}
    wrong = [
        f"plan {words[1]} was told and is not there"
        for words in told
        if words[0] == "plan"
        and (
            f"plan {words[1]}" not in carries
            or carries[f"plan {words[1]}"].disc_ids != tuple(words[2].split(","))
        )
    ]
    latest = {carry.conditions: carry.disc_ids for carry in carries.values()}
    if latest != plans:
        wrong.append(f"the latest carries and the plans differ: {latest} {plans}")
    return wrong


def check_saved(trial: Trial, told: list[list[str]]) -> list[str]:
    """See that the plans up to the last told, or to the one after it, are there with all parts."""
    wrong = check_plan(trial, told)
    with open_store(trial.data) as store:
        names = [carry.name for _, carry in store.carries.all()]
        if names != [f"plan {n}" for n in range(len(names))]:
            wrong.append(f"the carries are {names[-5:]} at the end")
        if not len(told) <= len(names) <= len(told) + 1:
            wrong.append(f"{len(told)} plans were told, {len(names)} are there")
        for n in range(max(0, len(names) - 2), len(names)):
            where = ("winter", "summer")[n % 2]
            if load_plan(store, where).seed != n or store.carries.all()[n][1].seed != n:
                wrong.append(f"plan {n} is not the latest of {where}")
            asked = load_asked(store, where)
            if asked is None or asked.name != f"plan {n}":
                wrong.append(f"what was asked of plan {n} is {asked}")
    return wrong


def check_up_to_date(trial: Trial, told: list[list[str]]) -> list[str]:
    """See that every old file opens with the rows it had, whatever version it was left at."""
    wrong = []
    for place in sorted(trial.folder.glob("old*/*.db")):
        original = OLD_FILES[int(place.parent.name[3:]) % len(OLD_FILES)]
        if (
            place.stat().st_size < original.stat().st_size
            and not place.with_name(f"{place.name}-wal").exists()
        ):
            continue  # killed while the copy was made, before Rimwise saw it
        with closing(sqlite3.connect(place)) as raw:
            version = raw.execute("PRAGMA user_version").fetchone()[0]
        with closing(sqlite3.connect(original)) as raw:
            before = raw.execute("PRAGMA user_version").fetchone()[0]
        with open_store(place) as store:
            if integrity_check(store):
                wrong.append(f"{place} is not sound")
            newest = store.connection.rows("PRAGMA user_version")[0][0]
        told_of = ["up_to_date", place.parent.name[3:]] in told
        if version not in ((newest,) if told_of else (before, newest)):
            wrong.append(f"{place} was left at version {version}")
        if rows_of(original) != {t: n for t, n in rows_of(place).items() if t in rows_of(original)}:
            wrong.append(f"{place} has other rows than before")
    return wrong


def rows_of(path: Path) -> dict[str, int]:
    """Return the number of rows by table."""
    with closing(sqlite3.connect(path)) as raw:
        tables = [n for (n,) in raw.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")]
        return {t: raw.execute(f'SELECT count(*) FROM "{t}"').fetchone()[0] for t in tables}  # noqa: S608


def check_restore(trial: Trial, told: list[list[str]]) -> list[str]:
    """See that the records are one of the two backups, and that what was replaced is kept."""
    wrong = []
    restored = [int(words[1]) for words in told if words[0] == "restored"]
    last = [int(words[1]) for words in told if words[0] == "last"]
    with open_store(trial.data) as store:
        tried = [one.tried for _, one in store.putts.all()]
        here = store.settings.get("last")
    if tried not in ([11], [11, 22]):
        wrong.append(f"the records are neither of the two: {tried}")
    if (
        restored
        and (not last or last[-1] == restored[-1])
        and tried != ([11], [11, 22])[restored[-1] % 2]
    ):
        wrong.append(f"restore {restored[-1]} was told and is not there")
    kept = {here}
    for path in (trial.folder / "backups").glob("*-before-restore*.sqlite"):
        with closing(sqlite3.connect(path)) as raw:
            kept |= {
                int(v) for (v,) in raw.execute("SELECT value FROM settings WHERE key = 'last'")
            }
    wrong += [f"what was logged before restore {n} is lost" for n in last if n not in kept]
    return wrong


def check_backup(trial: Trial, told: list[list[str]]) -> list[str]:
    """See that whatever is called a backup can be read whole, and the last one told is there."""
    wrong = []
    made = [words for words in told if words[0] == "backup"]
    found = sorted((trial.folder / "backups").glob("*.sqlite"))
    for path in found:
        with closing(sqlite3.connect(path)) as raw:
            if raw.execute("PRAGMA integrity_check").fetchone()[0] != "ok":
                wrong.append(f"{path.name} is not sound")
    if made and Path(made[-1][2]) not in found:
        wrong.append(f"backup {made[-1][1]} was told and is not there")
    with open_store(trial.data) as store:
        count = len(store.putts)
    if made and count < int(made[-1][1]):
        wrong.append(f"{made[-1][1]} putts were told, {count} are there")
    rotate(trial.folder / "backups", trial.data.stem)
    if list((trial.folder / "backups").glob("*.partial*")):
        wrong.append("half a backup is left")
    return wrong


_Check = Callable[[Trial, list[list[str]]], list[str]]


@dataclass(frozen=True)
class Activity:
    """What a child does, and how it is looked at.

    Parameters
    ----------
    longest_s
        How long at most until the kill, seconds.
    share
        How often of 20.
    marks
        Functions with which a phase begins, besides transactions.
    aims
        Phases that are aimed at, each as often.
    """

    work: Callable[[Trial], None]
    check: _Check
    longest_s: float
    share: int
    marks: tuple[Marked, ...] = ()
    aims: tuple[str, ...] = (ANY, INSIDE, COMMIT)


ACTIVITIES = {
    "import": Activity(
        import_groups, check_import, 1.5, 4,
        ((bring, "read_file", "reading"), (Journal, "add_once", "adding")),
        (ANY, "adding", COMMIT),
    ),
    "log": Activity(log_things, check_log, 0.8, 3),
    "compute": Activity(plan_carries, check_plan, 10.0, 1, (), (ANY,)),
    "save": Activity(save_carries, check_saved, 3.0, 4, (), (ANY, INSIDE, INSIDE, COMMIT)),
    "migrate": Activity(
        bring_up_to_date, check_up_to_date, 1.5, 3,
        ((migrate, "_back_up_under_lock", "backup first"), (migrate, "_apply", "steps")),
        (ANY, "backup first", "steps", COMMIT),
    ),
    "restore": Activity(
        restore_in_turn, check_restore, 3.0, 3,
        (
            (restoring, "_prepare", "reading the backup"),
            (restoring, "write_backup", "backup first"),
            (restoring, "_drop_everything", "emptying"),
            (restoring, "_take_everything", "filling"),
        ),
        (ANY, "backup first", "emptying", "filling", COMMIT),
    ),
    "backup": Activity(
        back_up_in_turn, check_backup, 1.0, 2,
        (
            (backup, "_copy", "copying"),
            (backup, "_verify", "reading back"),
            (backing, "rotate", "rotating"),
        ),
        (ANY, "copying", "reading back", "rotating"),
    ),
}  # fmt: skip


def run_one(name: str, season: Path, chance: random.Random) -> tuple[int, list[str], str]:
    """Kill one child; return how much it told, what is wrong, and the phase it was killed in."""
    activity = ACTIVITIES[name]
    with tempfile.TemporaryDirectory() as folder:
        trial = Trial(Path(folder), Path(folder) / "tiny.db")
        shutil.copyfile(season, trial.data)
        reading, trial.pipe = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(reading)
            try:
                mark_phases(trial.tell, activity.marks)
                activity.work(trial)
            finally:
                os._exit(3)  # it should have been killed
        os.close(trial.pipe)
        aim = chance.choice(activity.aims)
        try:
            told, phase = kill_within(child, reading, aim, activity.longest_s, chance)
        finally:
            os.close(reading)
        words = [line.split(" ") for line in told[1:]]
        try:
            found = activity.check(trial, words)
            with open_store(trial.data) as store:
                found += integrity_check(store)
        except Exception as error:  # whatever it is, it is a loss
            found = [repr(error)]
        return len(words), found, phase


def main() -> None:
    """Kill, look, count."""
    asking = argparse.ArgumentParser(description=__doc__)
    asking.add_argument("--kills", type=int, default=300)
    asking.add_argument("--seed", type=int, default=1)
    asking.add_argument("--only", nargs="*", choices=list(ACTIVITIES))
    given = asking.parse_args()
    from tiny_season import fresh_file

    chance = random.Random(given.seed)  # noqa: S311 - dice, no secret
    counts = {name: Count() for name in given.only or ACTIVITIES}
    share = [name for name in counts for _ in range(ACTIVITIES[name].share)]
    with tempfile.TemporaryDirectory() as folder:
        season = fresh_file(Path(folder))
        if "save" in share[: given.kills]:
            compute_plans(season, Path(folder))
        for n in range(given.kills):
            name = share[n % len(share)]
            told, wrong, phase = run_one(name, season, chance)
            count = counts[name]
            count.kills += 1
            count.told += told
            count.phases[phase] += 1
            count.wrong += wrong
            for one in wrong:
                print(f"{name}, kill {n}: {one}", flush=True)
    print("activity  kills  acknowledged  wrong  killed in")
    for name, count in counts.items():
        phases = ", ".join(f"{phase} {times}" for phase, times in count.phases.most_common())
        print(f"{name:9} {count.kills:5} {count.told:13} {len(count.wrong):6}  {phases}")
    wrong = sum(len(count.wrong) for count in counts.values())
    total = sum(count.told for count in counts.values())
    print(f"{given.kills} kills, {total} things acknowledged, {wrong} lost, half or damaged")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
