"""Make version-N.db beside this script: a data file as Rimwise of that version wrote it.

Each file was made once, with the program of its version checked out::

    PYTHONPATH=src python tests/data/schemas/make.py

It is kept from then on and never made anew, so that every later version is tested against real old
states. What a version did not know yet is left out.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

from rimwise.flight.printed import Printed
from rimwise.records import courses, evidence
from rimwise.records.carries import Carry
from rimwise.records.carts import Cart, CartItem, Pocket
from rimwise.records.conditions import Conditions, ScenarioDay
from rimwise.records.discs import Disc, Grip, Mold, OwnGrip, Plastic, Weight, WeightRelativeTo
from rimwise.records.thrower import Hand, Line, Scatter, Style, StyleSkill, Thrower
from rimwise.store.migrate import shipped_migrations
from rimwise.store.opening import open_store
from rimwise.store.store import Store

DAY, NOON = date(2026, 3, 14), datetime(2026, 3, 14, 12, 30, 5)
VERSION = shipped_migrations()[-1].number


def main() -> None:
    """Write the file of this version."""
    target = Path(__file__).parent / f"version-{VERSION}.db"
    target.unlink(missing_ok=True)
    with open_store(target, clock=lambda: NOON) as store:
        _fill(store)
        if VERSION >= 2:
            store.reports.put("plan:winter", {"chosen": ["red", "putter"], "strokes": 57.25})
        if VERSION >= 3:
            _evidence_of_version_3(store)
        if VERSION >= 4:
            _course_of_version_4(store)
        if VERSION >= 5:
            _carry_of_version_5(store)
        if VERSION >= 7:
            store.digest(("throws",))


def _fill(store: Store) -> None:
    with store.atomic():
        store.molds.put_all(
            [
                Mold("NH 27", Printed(7, 5, -2, 1), "NH", 0.211, 0.017),
                Mold("OL 340", Printed(3, 3, 0, 1)),
            ]
        )
        store.plastics.put(Plastic("soft base", Grip(4, 3.5, 4, 3), 0.3, True, -0.2, 0.25))
        store.discs.put_all(
            [
                Disc("blue", "NH 27", "soft base", WeightRelativeTo("red", -5.0), colour="blue"),
                Disc(
                    "red", "NH 27", "soft base", Weight(172.5, 0.5), colour="red", wear=0.4,
                    own_grip=OwnGrip(cold_wet=2.0), cost=17.5, meaning="from a friend",
                ),
                Disc("putter", "OL 340", "soft base", Weight(174.0, 3.0), note="=Größe ±1"),
            ]
        )  # fmt: skip
        skill = StyleSkill(Style.BACKHAND, 90.0, scatter=Scatter(0.04, 1.5, 4.0, 2.0, 3.0))
        store.throwers.put(Thrower("owner", Hand.LEFT, (skill,)))
        square, hole = ((0, 0), (9, 0), (9, 9)), ((5, 1), (6, 1), (6, 2))
        pond = courses.Area(courses.AreaKind.WATER, square, (hole,), "pond")
        first = courses.Hole("1", (0, 0), (30.5, 80.25), 3, -2.0, 88.0, "gorse")
        store.courses.put(courses.Course("heath", (first,), (pond,), 54.25, 8.5))
        gale = ScenarioDay("gale", 1.0, 3.0, 1001.5, 0.9, 9.0, 240.0)
        store.conditions.put(Conditions("winter", (gale,)))
        store.carts.put(
            Cart(
                "two wheels", 6.5, -0.05, 0.4, 0.55, 0.3, 0.1,
                (Pocket("main", 16, 0.0, 0.0, 0.45, 0.5, 2),),
                (CartItem("bottle", 1.0, 0.1, 0.15, 0.5),),
            )
        )  # fmt: skip
        store.carries.add(
            Carry(
                "league", DAY, "winter", "heath", ("red", "putter"), ("blue",), (("red", "wind"),)
            )
        )
        line = Line(Style.BACKHAND, 5.0, 10.0)
        store.throws.add_all(
            [evidence.Throw(DAY, "red", line, 80.0 + n, -4.0, note=f"n{n}") for n in range(3)]
        )
        store.comparisons.add(evidence.Comparison(DAY, "red", "blue"))
        store.grip_grades.add(evidence.GripGrade(DAY, "red", "cold-wet", 2.0))
        store.condition_grades.add(evidence.ConditionGrade(DAY, "red", 0.6, "after the rocks"))
        store.rounds.add(evidence.Round(DAY, "heath", (evidence.HoleScore("1", 3),)))
        store.putts.add(evidence.Putts(DAY, 7.5, 20, 13))
        store.settings.put("units", "ft")


def _evidence_of_version_3(store: Store) -> None:
    from rimwise.store.journal import KINDS, Journal

    store.knocks.add(evidence.Knock(DAY, "red", "the iron gate", False, "by the pond"))
    weather = evidence.Weather(3.5, 4.0, 270.0, True)
    store.putts.add(evidence.Putts(DAY, 5.0, 10, 9, weather=weather))
    store.comparisons.add(evidence.Comparison(DAY, "blue", "red", alike=True))
    journal, throw = Journal(store), KINDS["throw"]
    journal.delete(throw, 2, NOON)
    journal.edit(throw, 3, replace(store.throws.get(3), note="edited"), NOON)


def _course_of_version_4(store: Store) -> None:
    from rimwise.store.course_journal import CourseJournal

    course = replace(
        store.courses.get("heath"),
        mandatories=(courses.Mandatory("1", (10.0, 20.5), courses.Side.LEFT, "the oak", True),),
        drop_zones=(courses.DropZone("1", (30.0, 40.0), courses.Trouble.WATER, "bank", True),),
    )
    CourseJournal(store).put(course, "drawn", NOON)


def _carry_of_version_5(store: Store) -> None:
    carry = store.carries.get(1)
    store.carries.add(
        replace(
            carry, name="cup", items=(CartItem("umbrella", 0.8, 0.0, 0.1, 0.6),), take=("towel",)
        )
    )


if __name__ == "__main__":
    main()
