"""From when on use wears a disc further than its own record says."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from rimwise.app.box import assumptions_of, fleet_of
from rimwise.app.bring import bring_file
from rimwise.app.drifting import drift_words
from rimwise.app.noting import When, note_knock, note_wear
from rimwise.app.retiring import tell_lives
from rimwise.app.showing import change_disc
from rimwise.beliefs.drift import Drift
from rimwise.store.opening import open_store

FIRST = date(2026, 3, 1)
BLUE = "nh27-blue"


@pytest.fixture
def store(unplanned):
    with open_store(unplanned) as opened:
        yield opened


def _knocked(store, days):
    for day in days:
        note_knock(store, BLUE, "a tree", When(FIRST + timedelta(days=day)))


def _wear(store):
    fleet = fleet_of(store, assumptions_of(store))
    return fleet.wear[fleet.index(BLUE)]


def test_use_after_the_day_a_wear_was_set_adds_to_it_and_use_before_does_not(store):
    _knocked(store, range(12))
    change_disc(store, BLUE, "wear=0.2", FIRST + timedelta(days=30))
    before = _wear(store)
    _knocked(store, range(40, 52))
    assert before == pytest.approx(0.2, abs=0.12)
    assert _wear(store) > before + 0.1


def test_importing_discs_notes_their_wear_and_importing_them_again_does_not(store, tmp_path):
    table = tmp_path / "more discs.csv"
    table.write_text(
        "disc,mold,plastic,weight,colour,wear\nnew-one,NH 27,soft base,171,pink,0.2\n", "utf-8"
    )
    bring_file(store, table, kind="discs", today=FIRST)
    bring_file(store, table, kind="discs", today=FIRST + timedelta(days=90))
    assert store.settings.get("wear_noted_on", {}) == {"new-one": FIRST.isoformat()}


def test_a_grade_counts_over_the_record_it_corrects(store):
    change_disc(store, BLUE, "wear=0.0", FIRST)
    note_wear(store, BLUE, "60%", When(FIRST))
    assert _wear(store) == pytest.approx(0.6, abs=0.05)


def test_what_is_left_of_a_disc_shrinks_with_wear_and_spans_what_is_not_known(store):
    change_disc(store, BLUE, "wear=0.1")
    fresh = tell_lives(store, BLUE).discs[0]
    change_disc(store, BLUE, "wear=0.6")
    worn = tell_lives(store, BLUE).discs[0]
    assert worn.throws_left < 0.4 * fresh.throws_left
    assert worn.throws_left_low == 0.0  # 0.6 by eye may well be beaten in already
    assert fresh.throws_left_high > 3.0 * fresh.throws_left_low > 0.0


@pytest.mark.parametrize(
    ("condition", "advice"),
    [("cracked", "retire"), ("a hairline crack", "retire"), ("no crack", "keep"),
     ("uncracked", "keep"), ("no cracks", "keep")],
)  # fmt: skip
def test_a_crack_is_one_unless_it_is_denied(store, condition, advice):
    change_disc(store, BLUE, "wear=0.1")
    change_disc(store, BLUE, f"condition={condition}")
    assert tell_lives(store, BLUE).discs[0].advice == advice


def test_a_drift_is_told_with_its_interval_and_what_use_accounts_for():
    said = drift_words(Drift("x", date(2026, 5, 3), -0.8, 0.25, -0.3, 22, 14), "x")
    assert said == (
        "Since 3 May 2026 x flies about 0.8 (0.5 to 1.1) less stable than before; use accounts "
        "for about 0.3. That is from 14 throws and comparisons since, against 22 before, which no "
        "longer count for it."
    )
