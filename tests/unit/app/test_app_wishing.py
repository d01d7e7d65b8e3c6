"""What a carry lacks, wishes, a lost disc and the pocket rule, on the small season."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from rimwise.app.explaining import explain
from rimwise.app.losing import tell_lost
from rimwise.app.planning import Asked, make_plan
from rimwise.app.wishing import MOST_WISHES, tell_gaps, tell_rule, tell_wishes
from rimwise.errors import InputError, NotFoundError
from rimwise.records.discs import Status
from rimwise.records.evidence import Throw
from rimwise.records.thrower import Line, Style
from rimwise.store.opening import open_store
from tiny_season import DISCS, contents

pytestmark = pytest.mark.usefixtures("rough")

HEADER = "disc,mold,plastic,weight g,speed,glide,turn,fade\n"


@pytest.fixture
def store(season):
    with open_store(season) as opened:
        make_plan(opened, "winter", Asked(limit=3))
        yield opened


def test_gaps_name_a_disc_by_its_numbers_and_where_it_saves(store):
    report = tell_gaps(store, "winter")
    for gap in report.gaps:
        assert gap.saves >= 2.0 * gap.saves_se
        assert gap.role in gap.words
        assert "hole" in gap.words
    assert set(report.hardly) <= set(DISCS)
    chosen = {d for name in report.plans for d in _chosen(store, name)}
    assert set(report.at_home) == set(DISCS) - chosen
    home = [said for said in report.sentences if "stay at home for good" in said]
    assert len(home) == (len(report.plans) > 1 and bool(report.at_home))
    assert {disc for one in report.ladders for disc in one.discs} <= set(_chosen(store, "winter"))
    assert all(list(one.finish_m) == sorted(one.finish_m) for one in report.ladders)


def _chosen(store, name):
    from rimwise.app.reports import load_plan

    return load_plan(store, name).chosen


def test_wishes_are_ranked_and_nothing_is_kept(store, season, tmp_path):
    wishes = tmp_path / "wish.csv"
    wishes.write_text(HEADER + "w1,QQ 9,soft base,172,9,5,-2,2\nw2,QQ 3,soft base,174,3,3,0,1\n")
    before = contents(season)
    report = tell_wishes(store, wishes, "winter")
    assert {one.disc for one in report.wishes} == {"w1", "w2"}
    known = [one.known for one in report.wishes]
    assert known == sorted(known, reverse=True)
    assert all(one.instead_of in _chosen(store, "winter") for one in report.wishes)
    assert contents(season) == before


def test_a_wish_of_a_plastic_nobody_described_is_said_to_be_wider_open(store, tmp_path):
    told = {}
    for plastic in ("soft base", "star dust"):
        wishes = tmp_path / "wish.csv"
        wishes.write_text(f"{HEADER}w1,QQ 9,{plastic},172,9,5,-2,2\n")
        told[plastic] = tell_wishes(store, wishes, "winter")
    assert "You have no disc of star dust" in told["star dust"].sentences[-1]
    assert not any("You have no disc" in said for said in told["soft base"].sentences)
    spans = {name: one.wishes[0].high - one.wishes[0].low for name, one in told.items()}
    assert spans["star dust"] != spans["soft base"]


@pytest.mark.parametrize(
    ("table", "match"),
    [
        (HEADER, "has no row"),
        (HEADER + "w1,QQ 9,soft base,172,99,5,-2,2\n", "speed"),
        (HEADER + "".join(f"w{n},QQ 9,soft base,172,9,5,-2,2\n" for n in range(MOST_WISHES + 1)),
         "21 discs"),
        (HEADER + "nh27-blue,QQ 9,soft base,172,9,5,-2,2\n", "nh27-blue"),
    ],
)  # fmt: skip
def test_a_bad_table_of_wishes_is_refused_in_words(store, tmp_path, table, match):
    wishes = tmp_path / "wish.csv"
    wishes.write_text(table)
    with pytest.raises(InputError, match=match):
        tell_wishes(store, wishes, "winter")


def test_gaps_speak_of_the_harshest_day_only_where_there_are_several(store):
    make_plan(store, "winter", Asked(limit=6, must=DISCS))
    one = tell_gaps(store, "winter")
    assert one.hardly
    assert f"hardly thrown here (spares): {one.hardly[0]}" in " ".join(one.sentences)
    winter = store.conditions.get("winter")
    calm = replace(winter.days[0], name="calm", wind_speed_m_s=0.0)
    store.conditions.put(replace(winter, days=(*winter.days, calm)))
    make_plan(store, "winter", Asked(limit=6, must=DISCS))
    two = tell_gaps(store, "winter")
    assert two.hardly
    assert "(spares, or for the harshest day): " in " ".join(two.sentences)


def test_a_lost_disc_is_repaired_from_home_and_says_what_to_look_for(store):
    disc = _chosen(store, "winter")[0]
    report = tell_lost(store, disc, "winter")
    assert report.instead not in _chosen(store, "winter")
    assert any("look for" in told for told in report.sentences)
    assert any("Never wade" in told for told in report.sentences)
    home = next(d for d in DISCS if d not in _chosen(store, "winter"))
    with pytest.raises(InputError, match="not in the carry"):
        tell_lost(store, home, "winter")
    with pytest.raises(NotFoundError):
        tell_lost(store, "no such disc", "winter")


def test_a_disc_marked_as_lost_can_still_be_asked_about(store):
    first, second = _chosen(store, "winter")[:2]
    before = tell_lost(store, first, "winter")
    store.discs.put(replace(store.discs.get(first), status=Status.LOST))
    after = tell_lost(store, first, "winter")
    figures = ("costs", "costs_se", "instead", "repaired", "repaired_se")
    assert [getattr(after, one) for one in figures] == [getattr(before, one) for one in figures]
    assert (before.marked, after.marked) == (False, True)
    assert "plan again and it is left out" in after.sentences[-1]
    other = tell_lost(store, second, "winter")
    assert other.away == (first,)
    assert other.instead not in (*_chosen(store, "winter"), None)
    store.discs.put(replace(store.discs.get(second), status=Status.LENT))
    last = _chosen(store, "winter")[2]
    with pytest.raises(InputError, match="holds nothing"):
        tell_lost(store, last, "winter")
    with pytest.raises(InputError, match="not available"):
        tell_gaps(store, "winter")


def test_only_a_disc_whose_throws_were_learnt_from_did_something_for_your_arm(store):
    disc, other = _chosen(store, "winter")[:2]
    bare = " ".join(tell_lost(store, disc, "winter").sentences)
    assert "by its numbers, for no throw of it was learnt from" in bare
    assert "for your arm" not in bare
    store.throws.add(Throw(date(2026, 3, 1), disc, Line(Style.BACKHAND, 0.0, 8.0), 60.0, 2.0))
    make_plan(store, "winter", Asked(limit=3, must=(disc, other)))
    assert "what this one did for your arm" in " ".join(tell_lost(store, disc, "winter").sentences)
    assert "no throw of it" in " ".join(tell_lost(store, other, "winter").sentences)


@pytest.mark.parametrize(
    ("status", "told"),
    [
        (Status.LOST, "was chosen, and is lost now"),
        (Status.LENT, "was chosen, and is lent now"),
        (Status.RETIRED, "was chosen, and is retired now"),
        (Status.PRACTICE, "was chosen, and is in the practice stack now"),
        (Status.CAR, "goes"),
    ],
)
def test_why_says_of_a_disc_that_is_away_that_it_was_chosen(store, season, cli, status, told):
    carried = _chosen(store, "winter")[0]
    home = next(d for d in DISCS if d not in _chosen(store, "winter"))
    for disc in (carried, home):
        store.discs.put(replace(store.discs.get(disc), status=status))
    assert explain(store, carried, "winter")[0].stands == told
    stays = explain(store, home, "winter")[0].stands
    assert stays == ("stays" if told == "goes" else told.replace("chosen", "chosen to stay"))
    assert cli("--data", season, "why", carried, "--for", "winter").out.startswith(
        f"{carried} {told}."
    )


def test_the_rule_is_three_sentences_at_most_about_carried_discs(store):
    report = tell_rule(store, "winter")
    assert 1 <= len(report.sentences) <= 3
    for told in report.sentences:
        assert any(disc in told for disc in _chosen(store, "winter"))
    assert "more than choosing afresh" in report.words


@pytest.mark.parametrize("words", [("rule",), ("gaps",), ("lost", "nh27-blue")])
def test_without_a_plan_the_commands_say_what_to_do(cli, unplanned, words):
    said = cli("--data", unplanned, *words)
    assert said.code == 1
    assert "plan" in said.err
    assert "Traceback" not in said.err


def test_the_commands_print_sentences_and_json(cli, store, season):
    carried = _chosen(store, "winter")[0]
    said = cli("--data", season, "rule", "winter")
    assert said.code == 0
    assert "choosing afresh" in " ".join(said.out.split())
    assert '"sentences"' in cli("--data", season, "lost", carried, "winter", "--json").out
