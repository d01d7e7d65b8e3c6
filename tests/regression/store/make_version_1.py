"""Make version-1.sqlite, a data file as the first version of Rimwise wrote it.

Run once, from the root of the repository, with the program of that version::

    python tests/regression/store/make_version_1.py

The file is kept from then on and never made anew, so that every later version is tested
against a real old state.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

from rimwise.flight.printed import Printed
from rimwise.records.carries import Carry
from rimwise.records.conditions import Conditions, ScenarioDay
from rimwise.records.courses import Area, AreaKind, Course, Hole
from rimwise.records.discs import Disc, Grip, Mold, Plastic, Weight, WeightRelativeTo
from rimwise.records.evidence import Comparison, HoleScore, Putts, Round, Throw
from rimwise.records.thrower import Hand, Line, Scatter, Style, StyleSkill, Thrower
from rimwise.store.opening import open_store

DAY = date(2026, 3, 14)


def main() -> None:
    """Write the file beside this script."""
    target = Path(__file__).parent / "version-1.sqlite"
    target.unlink(missing_ok=True)
    with open_store(target) as store, store.atomic():
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
                Disc("red", "NH 27", "soft base", Weight(172.5, 0.5), colour="red", wear=0.4),
                Disc("putter", "OL 340", "soft base", Weight(174.0, 3.0), note="Größe ±1"),
            ]
        )
        skill = StyleSkill(Style.BACKHAND, 90.0, scatter=Scatter(0.04, 1.5, 4.0, 2.0, 3.0))
        store.throwers.put(Thrower("owner", Hand.LEFT, (skill,)))
        pond = Area(AreaKind.WATER, ((0, 0), (9, 0), (9, 9)), (((5, 1), (6, 1), (6, 2)),), "pond")
        store.courses.put(Course("heath", (Hole("1", (0, 0), (30.5, 80.25), 3),), (pond,)))
        store.conditions.put(
            Conditions("winter", (ScenarioDay("gale", 1.0, 3.0, 1001.5, 0.9, 9.0, 240.0),))
        )
        store.carries.add(
            Carry(
                "league", DAY, "winter", "heath", ("red", "putter"), ("blue",), (("red", "wind"),)
            )
        )
        line = Line(Style.BACKHAND, 5.0, 10.0)
        store.throws.add_all([Throw(DAY, "red", line, 80.0 + n, -4.0) for n in range(3)])
        store.comparisons.add(Comparison(DAY, "red", "blue"))
        store.rounds.add(Round(DAY, "heath", (HoleScore("1", 3),)))
        store.putts.add(Putts(DAY, 7.5, 20, 13))
        store.settings.put("demo", False)


if __name__ == "__main__":
    main()
