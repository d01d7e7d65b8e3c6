"""Noting, correcting and deleting evidence, and what beliefs are learned from."""

from __future__ import annotations

from datetime import date, datetime

import pytest

from rimwise.app import bring
from rimwise.app.bring import bring_file, bring_many
from rimwise.app.evidence import evidence_of
from rimwise.app.noted import (
    Change,
    delete_evidence,
    edit_evidence,
    list_evidence,
    undelete_evidence,
)
from rimwise.app.noting import (
    When,
    note_comparison,
    note_grip,
    note_knock,
    note_putts,
    note_round,
    note_throw,
    note_wear,
    putts_said,
)
from rimwise.app.showing import change_disc
from rimwise.app.wearing import recorded_in
from rimwise.errors import InputError, NotFoundError
from rimwise.records.assumptions import Assumptions
from rimwise.records.conditions import Ground
from rimwise.store import connection
from rimwise.store.opening import open_store
from tiny_season import DEMO

TODAY = date(2026, 5, 3)
NOW = datetime(2026, 5, 3, 18, 30)
WHEN = When(TODAY)


@pytest.fixture
def store(unplanned):
    with open_store(unplanned) as opened:
        yield opened


def note_all(store):
    """Note one of each kind; return what was said."""
    return [
        note_throw(store, "nh27 blue", "64m 5L bh flat 80% in raw", When(TODAY, "yesterday")),
        note_comparison(store, "nh27-blue > nh27-gold", WHEN),
        note_grip(store, "nh27-blue", "cold-wet", "sure", WHEN),
        note_wear(store, "nh27-blue", "40%", WHEN, note="soft rim"),
        note_knock(store, "nh27-blue", "", WHEN),
        *note_putts(store, ["6m", "13/20", "8m", "9/20"], WHEN, conditions="raw"),
        note_round(store, "course", ["3", "4"], WHEN, conditions="raw"),
    ]


def test_one_of_each_is_kept_and_said_back(store):
    noted = note_all(store)
    assert [one.id for one in noted] == ["t1", "c1", "g1", "w1", "k1", "p1", "p2", "r1"]
    assert noted[0].on == "2026-05-02"
    assert noted[0].words.startswith("nh27-blue 64 m, 5 m left; backhand, flat")
    assert {notice for one in noted for notice in one.notices} == set()
    recorded = recorded_in(store)
    assert recorded.throws[0].weather.temperature_c == 3.0
    assert recorded.throws[0].line.effort == 0.8
    assert [putts.made for putts in recorded.putts] == [13, 9]
    assert recorded.rounds[0].conditions == "raw"
    assert sum(len(getattr(recorded, name)) for name in recorded.__dataclass_fields__) == 8
    assert {row.id for row in list_evidence(store)} == {one.id for one in noted}


def test_what_was_noted_twice_is_noticed_but_kept(store):
    note_comparison(store, "nh27-blue > nh27-gold", WHEN)
    again = note_comparison(store, "nh27-blue > nh27-gold", WHEN)
    assert "c1 says the same; `rimwise log delete c2`" in again.notices[0]
    note_throw(store, "nh27-blue", "64m 5L", WHEN)
    assert note_throw(store, "nh27-blue", "64m 5L", WHEN).notices == ()


def test_putts_are_all_kept_or_none(store):
    with pytest.raises(InputError, match="putting distance"):
        note_putts(store, ["6m", "13/20", "90m", "1/2"], WHEN)
    assert recorded_in(store).putts == ()
    assert putts_said(["6 m 13 of 20, 20ft".replace(",", ""), "3/4"]) == [
        (6.0, 13, 20),
        (pytest.approx(6.096), 3, 4),
    ]
    with pytest.raises(InputError, match="in turn; write 6m 13/20"):
        putts_said(["6m"])
    with pytest.raises(InputError, match="the putting distance is 6 without a unit"):
        putts_said(["6", "13/20"])


EDITS = {
    "t1": (Change("66m fh"), "2026-05-02: nh27-blue 66 m, 5 m left; forehand, flat"),
    "c1": (Change("nh27-gold >> nh27-blue reach"), "nh27-gold plainly farther than nh27-blue"),
    "g1": (Change("2"), "nh27-blue grips 2 of 5 (poor) in cold-wet air"),
    "w1": (Change("worn"), "nh27-blue 60 % worn; soft rim"),
    "k1": (Change("the gate", note="hm"), "nh27-blue: the gate, hit hard; hm"),
    "p1": (Change("6m 14/20", on="1 May"), "2026-05-01: putts from 6 m: 14 of 20 made; in raw"),
    "r1": (Change("3 -"), "course: 1 hole in 3 strokes; in raw"),
}


@pytest.mark.parametrize(("called", "edit"), EDITS.items(), ids=EDITS)
def test_every_kind_can_be_corrected_and_keeps_what_it_said(store, called, edit):
    note_all(store)
    change, told = edit
    (before,) = [row for row in list_evidence(store) if row.id == called]
    changed = edit_evidence(store, called, change, WHEN, NOW)
    assert told in changed.words
    (after,) = [row for row in list_evidence(store) if row.id == called]
    assert after.words in changed.words
    assert [(one.action, one.at, one.words) for one in after.earlier] == [
        ("edited", "2026-05-03T18:30:00", before.words)
    ]


def test_an_edited_throw_keeps_what_was_not_said(store):
    note_throw(
        store, "nh27-blue", "64m 5L fh hyzer 20 80% touch 58m 22m/s 1100rpm in 4C wet", WHEN,
        note="first", ground="frozen",
    )  # fmt: skip
    before = store.throws.get(1)
    edit_evidence(store, "t1", Change("3mR"), WHEN, NOW)
    after = store.throws.get(1)
    assert after.left_m == -3.0
    same = [name for name in before.__dataclass_fields__ if name != "left_m"]
    assert [getattr(after, name) for name in same] == [getattr(before, name) for name in same]
    edit_evidence(store, "t1", Change(disc="nh27-gold", ground="wet"), WHEN, NOW)
    last = store.throws.get(1)
    assert (last.disc_id, last.weather.ground) == ("nh27-gold", Ground.WET)
    assert last.weather.temperature_c == 4.0
    assert len(list_evidence(store, kind="throws")[0].earlier) == 2


def test_disc_weather_and_ground_are_corrected_where_there_is_room_for_them(store):
    note_all(store)
    edit_evidence(store, "k1", Change(disc="nh27-gold"), WHEN, NOW)
    assert store.knocks.get(1).disc_id == "nh27-gold"
    edit_evidence(store, "p1", Change(conditions="4C wind 5m/s from the left"), WHEN, NOW)
    edit_evidence(store, "p1", Change(ground="frozen"), WHEN, NOW)
    putts = store.putts.get(1)
    assert (putts.conditions, putts.weather.wind_from_deg) == ("", 270.0)
    assert (putts.weather.temperature_c, putts.weather.ground) == (4.0, Ground.FROZEN)
    edit_evidence(store, "t1", Change("66m", conditions="10C dry"), WHEN, NOW)
    throw = store.throws.get(1)
    assert (throw.distance_m, throw.conditions, throw.weather.wet) == (66.0, "", False)
    with pytest.raises(InputError, match="a comparison has no disc id"):
        edit_evidence(store, "c1", Change(disc="nh27-gold"), WHEN, NOW)
    with pytest.raises(InputError, match="the weather is given twice"):
        note_throw(store, "nh27-blue", "64m 5L in raw", WHEN, conditions="raw")


@pytest.mark.parametrize(
    ("called", "change", "told"),
    [
        ("x1", Change("66m"), "'x1' is no evidence; write its letter and number"),
        ("t9", Change("66m"), "no throw t9 on file"),
        ("t1", Change("64m"), "t1 already says that"),
        ("t1", Change(on="2026-06-01"), "in the future"),
        ("g1", Change(note="x"), "has no note"),
        ("p1", Change("6m 1/2 8m 1/2"), "putts from one distance"),
        ("r1", Change(conditions="wind 5m/s from left"), "a round turns with its holes"),
    ],
)
def test_an_edit_that_cannot_be_made_changes_nothing(store, called, change, told):
    note_all(store)
    before = list_evidence(store)
    with pytest.raises((InputError, NotFoundError), match=told):
        edit_evidence(store, called, change, WHEN, NOW)
    assert list_evidence(store) == before


def test_deleting_and_bringing_back(store):
    note_all(store)
    before = evidence_of(store, Assumptions()).fingerprint()
    gone = delete_evidence(store, ["t1", "c1"], NOW)
    assert [one.id for one in gone] == ["t1", "c1"]
    assert evidence_of(store, Assumptions()).throws == ()
    assert {row.id for row in list_evidence(store, deleted=True)} == {"t1", "c1"}
    with pytest.raises(NotFoundError, match="t1 was deleted on 2026-05-03"):
        delete_evidence(store, ["p1", "t1"], NOW)
    assert len(recorded_in(store).putts) == 2  # all or none
    undelete_evidence(store, ["t1", "c1"], NOW)
    assert evidence_of(store, Assumptions()).fingerprint() == before
    assert list_evidence(store, deleted=True) == ()


def test_the_list_can_be_narrowed(store):
    note_all(store)
    assert [row.kind for row in list_evidence(store, kind="grips")] == ["grip"]
    assert {row.kind for row in list_evidence(store, disc="gold")} == {"comparison"}
    assert "t1" not in {row.id for row in list_evidence(store, since=TODAY)}
    with pytest.raises(InputError, match="no evidence called 'songs'; kinds are throw"):
        list_evidence(store, kind="songs")


def test_a_disc_is_retired_on_the_day_it_is_said(store):
    change_disc(store, "nh27-blue", "status=retired", TODAY)
    change_disc(store, "nh27-blue", "status=retired", date(2026, 6, 1))
    with pytest.raises(InputError, match="retired since 2026-05-03"):
        note_knock(store, "nh27-blue", "", WHEN)
    note_knock(store, "nh27-blue", "", When(TODAY, "yesterday"))
    note_knock(store, "nh27-blue", "a rock", WHEN, anyway=True)
    change_disc(store, "nh27-blue", "status=home", TODAY)
    assert note_knock(store, "nh27-blue", "", WHEN).id == "k3"


def test_a_throw_keeps_its_weather_when_the_day_on_file_changes(store):
    note_throw(store, "nh27-blue", "64m 5L in raw", WHEN)
    note_throw(store, "nh27-blue", "64m 5L in 10C wind 4m/s from the left", WHEN)
    note_throw(store, "nh27-blue", "64m 5L", WHEN)
    evidence = evidence_of(store, Assumptions())
    named, worded, bare = (evidence.days[throw.conditions] for throw in evidence.throws)
    assert (named.name, named.pressure_hpa, named.temperature_c) == ("raw", 1000.0, 3.0)
    assert (worded.temperature_c, worded.wind_speed_m_s, worded.wind_from_deg) == (10.0, 4.0, 270.0)
    assert (bare.name, bare.wind_speed_m_s) == ("plain", 0.0)
    store.conditions.delete("winter")
    kept = evidence_of(store, Assumptions())
    after = kept.days[kept.throws[0].conditions]
    assert (after.temperature_c, after.wind_speed_m_s, after.wet) == (3.0, 6.0, True)


def test_the_demos_log_comes_in_whole_and_only_once(tmp_path):
    files = [
        DEMO / name
        for name in (
            *("throws.csv", "comparisons.csv", "putts.csv", "rounds.csv", "discs.csv"),
            *("plastics.csv", "course.osm", "winter.csv", "thrower.json"),
        )
    ]
    with open_store(tmp_path / "data.db") as store:
        first = {one.kind: one.count for one in bring_many(store, files, today=TODAY)}
        assert {kind: first[kind] for kind in ("throws", "comparisons", "putts", "rounds")} == {
            "throws": 170, "comparisons": 56, "putts": 48, "rounds": 6,
        }  # fmt: skip
        fingerprint = evidence_of(store, Assumptions()).fingerprint()
        delete_evidence(store, ["t3"], NOW)
        edit_evidence(store, "t4", Change("50m"), WHEN, NOW)
        again = bring_many(store, files, today=TODAY)
        assert [one.count for one in again if one.kind in ("throws", "putts", "rounds")] == [0] * 3
        (throws,) = [one for one in again if one.kind == "throws"]
        assert throws.notices == (
            "169 throws on file already.",
            "1 throw that you deleted earlier left out.",
        )
        assert store.throws.get(4).distance_m == 50.0
        assert evidence_of(store, Assumptions()).fingerprint() != fingerprint
        assert len(evidence_of(store, Assumptions()).throws) == 169
        days = evidence_of(store, Assumptions()).days
        assert {day.relative_humidity for day in days.values()} == {
            day.relative_humidity
            for day in store.conditions.get("winter").days
            if day.name == "calm frost"
        }


def test_a_log_with_a_problem_leaves_nothing_behind(store, tmp_path):
    path = tmp_path / "log.csv"
    path.write_text(
        "on,disc,distance_m,left_m\n2026-05-01,nh27-blue,64,5\n2026-06-01,nh27-blue,64,5\n",
        encoding="utf-8",
    )
    with pytest.raises(InputError, match=r"log\.csv, line 3: on: .* in the future"):
        bring_file(store, path, today=TODAY)
    assert recorded_in(store).throws == ()
    kept = bring_file(store, path, today=TODAY, keep_good=True)
    assert (kept.count, kept.words) == (1, "1 new throw from log.csv.")
    assert "in the future" in kept.notices[0]


def test_others_may_write_while_a_table_is_read(store, unplanned, tmp_path, monkeypatch):
    table = tmp_path / "throws.csv"
    table.write_text("on,disc,distance_m,left_m\n2026-05-01,nh27-blue,60,3\n", "utf-8")
    plain = bring.read_evidence_csv
    monkeypatch.setattr(connection, "PATIENCE_S", 0.1)

    def with_another(*given):
        with open_store(unplanned) as other:
            other.settings.put("meanwhile", 1)
        return plain(*given)

    monkeypatch.setattr(bring, "read_evidence_csv", with_another)
    assert bring_file(store, table, today=TODAY).count == 1
    assert store.settings.get("meanwhile") == 1
