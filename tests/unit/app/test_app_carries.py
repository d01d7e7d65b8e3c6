"""Kept carries: for occasions, with things on the cart and for the weather, compared over years."""

from __future__ import annotations

import json
from datetime import date

import numpy as np
import pytest

from rimwise.app.asking import Asked
from rimwise.app.carries import carry_lines, compare, keep, shown
from rimwise.app.how_many import how_many
from rimwise.app.planning import make_plan
from rimwise.app.reports import load_plan
from rimwise.errors import InputError, NotFoundError
from rimwise.records.carries import things_for
from rimwise.records.carts import CartItem
from rimwise.store.opening import open_store

pytestmark = pytest.mark.usefixtures("rough")


@pytest.fixture
def store(season):
    with open_store(season) as opened:
        yield opened


def test_a_carry_for_an_occasion_is_kept_beside_the_earlier_ones(store):
    first = keep(store, "club cup", on=date(2024, 5, 4), discs=("nh27-blue", "kv15-red"))
    second = keep(store, "club cup", on=date(2026, 5, 2), like="club cup", discs=("ol17",))
    assert [line.on for line in carry_lines(store, "Club Cup")] == ["2024-05-04", "2026-05-02"]
    assert second.discs == (*first.discs, "ol17-white")
    told = compare(store, f"#{first.number}", f"#{second.number}")
    assert (told.out, told.into, told.both) == ((), ("ol17-white",), first.discs)
    assert told.sentences[0] == (
        "From club cup of 2024-05-04 to club cup of 2026-05-02: 2 stay, 0 out, 1 in."
    )


def test_strokes_are_kept_with_the_same_discs_alone(store):
    planned = shown(store, "winter")
    same = keep(store, "league", on=date(2026, 1, 2), like="winter")
    assert same.strokes_per_round == planned.strokes_per_round
    other = next(d.id for d in store.discs.all() if d.id not in planned.discs)
    more = keep(store, "league", on=date(2026, 1, 9), like="winter", discs=(other,))
    assert more.strokes_per_round is None
    assert "not compared" in compare(store, "winter", "summer").sentences[-1]
    assert "no proof" in compare(store, "winter", f"#{same.number}").sentences[-1]


def test_a_practice_stack_and_the_things_that_ride_along(store):
    stack = keep(
        store,
        "putting practice",
        on=date(2026, 3, 1),
        mold="nh 3",
        conditions="winter",
        items=("cool box 2.5kg 0.10 0 0.35", "stool 0.8 0.2 -0.05 0.6"),
    )
    assert set(stack.discs) == {"nh3-white-1", "nh3-yellow"}
    assert stack.items == (
        CartItem("cool box", 2.5, 0.10, 0.0, 0.35),
        CartItem("stool", 0.8, 0.2, -0.05, 0.6),
    )
    assert any("towel" in thing for thing in stack.take)
    again = shown(store, "putting practice")
    assert again == stack


def test_what_to_take_follows_the_weather(store):
    winter, summer = store.conditions.get("winter"), store.conditions.get("summer")
    cold = " ".join(things_for(winter, cold_below_c=12.0, hot_above_c=26.0))
    hot = " ".join(things_for(summer, cold_below_c=12.0, hot_above_c=26.0))
    assert "towel" in cold
    assert "hand warmers" in cold
    assert "litre of water" not in cold
    assert "litre of water" in hot
    assert "hand warmers" not in hot
    assert shown(store, "winter").take == things_for(winter, cold_below_c=12.0, hot_above_c=26.0)


def test_a_plan_may_be_kept_by_the_name_of_an_occasion(store):
    asked = Asked(limit=3, at_least=(), name="club cup")
    planned = make_plan(store, "winter", asked, seed=7, on=date(2026, 2, 1))
    assert shown(store, "club cup").discs == planned.chosen


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({}, "no disc goes; name some with --disc"),
        ({"discs": ("kv15-red",), "items": ("cool box",)}, "'cool box' is no thing on the cart"),
        ({"discs": ("kv15-red",), "items": ("box 99kg 0 0 0",)}, "99"),
        ({"mold": "ZZ 9"}, "you own no disc of the mold 'ZZ 9'; you own"),
    ],
)
def test_what_cannot_be_kept_is_refused(store, wrong, sentence):
    with pytest.raises(InputError, match=sentence):
        keep(store, "x", on=date(2026, 1, 1), **wrong)
    assert carry_lines(store, "x") == ()


def test_a_carry_that_was_never_kept(store):
    with pytest.raises(
        NotFoundError, match="no earlier carry 'regatta'; you have winter and summer"
    ):
        shown(store, "regatta")


def test_how_many_says_where_it_goes_flat_and_draws_it(cli, season, tmp_path):
    picture = tmp_path / "curve.svg"
    said = cli("--data", season, "how-many", "winter", "--out", picture, "--json")
    told = json.loads(said.out)
    with open_store(season) as opened:
        plan = load_plan(opened, "winter")
    assert told["flat_from"] == plan.flat_from
    assert [point["discs"] for point in told["curve"]] == [point.discs for point in plan.curve]
    assert picture.read_text(encoding="utf-8").startswith("<svg")
    assert any("flat" in sentence for sentence in told["sentences"])


def test_solved_anew_tells_about_what_the_frozen_table_tells(store):
    told = how_many(store, "winter", resolve=True)
    (five,) = told.resolved  # six discs are owned: 5 is the one number asked for
    assert five.discs == 5
    frozen = next(point for point in told.curve if point.discs == 5)
    assert abs(five.lost - frozen.lost) < 5.0 * np.hypot(five.lost_se, frozen.lost_se) + 0.05
