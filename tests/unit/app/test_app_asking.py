"""Wishes from words to a carry, kept with the plan."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

import numpy as np
import pytest

from rimwise.app import planning, telling
from rimwise.app.asking import Asked, carry_named, load_asked
from rimwise.app.planning import make_plan
from rimwise.app.reports import load_plan
from rimwise.decide.carry import CarryChoice, choose_carry
from rimwise.decide.hole_table import HoleTable
from rimwise.decide.ladder import Rungs
from rimwise.decide.on_holes import Holes, OnHoles
from rimwise.decide.overlaps import HARDLY
from rimwise.decide.posing import Sizes
from rimwise.decide.two_stage import choose_with_car
from rimwise.errors import InputError, NotFoundError
from rimwise.pictures.telling import wish_lines
from rimwise.records.courses import Area, AreaKind
from rimwise.store.opening import open_store
from tiny_season import DISCS

pytestmark = pytest.mark.usefixtures("rough")


@pytest.fixture
def store(season):
    with open_store(season) as opened:
        yield opened


def plan(store, **asked):
    return make_plan(store, "winter", Asked(**({"limit": 3, "at_least": ()} | asked)), seed=7)


def test_groups_by_role_or_by_name(store):
    pair = "nh27-blue,nh27-gold"
    assert len(set(plan(store, one_of=(pair,)).chosen) & set(pair.split(","))) == 1
    assert not set(plan(store, at_most=(("putter", 0),)).chosen) & {"nh3-white-1", "nh3-yellow"}
    both = plan(store, at_least=((pair, 2),))
    assert set(pair.split(",")) <= set(both.chosen)
    assert f"you ask for at least 2 of {pair}" in both.wishes


def test_the_discs_weigh_no_more_than_asked(store):
    free = plan(store, limit=6, must=DISCS)
    grams = sum(free.disc(disc).weight_g for disc in DISCS)
    light = plan(store, limit=6, most_weight_g=grams / 2)
    assert sum(light.disc(disc).weight_g for disc in light.chosen) <= grams / 2 + 1e-6
    with pytest.raises(InputError, match="and you ask for at most 400 g of discs: these"):
        plan(store, must=("nh27-blue", "kv15-red", "ol17-white"), most_weight_g=400.0)


def test_whoever_owns_less_than_the_cart_holds_may_bring_all_of_it(store):
    made = plan(store, limit=20, must=DISCS)
    assert set(made.chosen) == set(DISCS)
    assert "That is every disc that you have at hand." in made.summary
    assert "Bringing everything" not in " ".join(made.summary)
    assert "Bringing everything" in " ".join(plan(store, limit=2).summary)


def test_the_harshest_day_is_only_spoken_of_where_there_are_several(store, monkeypatch):
    monkeypatch.setattr(telling, "FLAT_STROKES", 1.0)
    one = " ".join(plan(store, limit=5).summary)
    assert "would do nearly all of it" in one
    assert "harshest" not in one
    assert "Among carries that are equal to within" in one
    assert "strokes, any room left went to spares" in one
    told = " ".join(plan(store, limit=5, then=("harshest", "bad throws")).summary)
    assert "the choice went by how the worst tenth of throws end, and" in told
    winter = store.conditions.get("winter")
    gale = replace(winter.days[0], name="gale", wind_speed_m_s=14.0)
    store.conditions.put(replace(winter, days=(*winter.days, gale)))
    two = " ".join(plan(store, limit=5).summary)
    assert "the choice went by the harshest day (gale)" in two


def test_no_more_changes_than_asked_from_a_named_or_numbered_carry(store):
    before = carry_named(store, None, "winter")
    number = next(n for n, carry in store.carries.all() if carry == before)
    avoid = before.disc_ids[0]
    for name in (None, "winter", f"#{number}"):
        after = plan(store, limit=4, changes=1, changes_from=name, never=(avoid,))
        assert avoid not in after.chosen
        assert set(before.disc_ids) - set(after.chosen) == {avoid}
        assert len(set(after.chosen) - set(before.disc_ids)) <= 1
        store.carries.add(before)  # the latest again
    with pytest.raises(
        InputError, match="has to stay and you ask for at most 0 changes from winter"
    ):
        plan(store, limit=4, changes=0, changes_from=f"#{number}", never=(avoid,))
    with pytest.raises(NotFoundError, match="no earlier carry 'regatta'; you have"):
        plan(store, changes=1, changes_from="regatta")


def test_a_floating_disc_is_asked_for_only_where_there_is_water(store):
    assert not any("floating" in wish for wish in plan(store, floating=1).wishes)
    course = store.courses.all()[0]
    pond = Area(AreaKind.WATER, ((5.0, 5.0), (9.0, 5.0), (9.0, 9.0)))
    store.courses.put(replace(course, areas=(pond,)))
    floats = {p.name for p in store.plastics.all() if p.floats}
    assert not any(disc.plastic in floats for disc in store.discs.all())
    told = "you ask for a floating disc near water, but none you own floats; loosen it."
    with pytest.raises(InputError, match=f"^{told}$"):
        plan(store, floating=1)


def test_the_putting_putter_goes_and_is_never_thrown(store):
    made = plan(store, limit=4, putting="nh3-yellow")
    (purpose,) = [p for p in made.purposes if p.disc_id == "nh3-yellow"]
    assert (purpose.throws, purpose.jobs, made.putting) == (0.0, (), "nh3-yellow")
    (idle,) = [said for said in made.summary if said.startswith("Hardly ever thrown")]
    for one in made.purposes:
        assert (one.disc_id in idle) == (one.throws < HARDLY)


def test_what_a_liked_disc_costs_is_the_strokes_it_keeps_away(store):
    worst = plan(store, limit=2).left[-1].disc_id
    made = plan(store, limit=2, liked=(worst,))
    (liked,) = made.liked
    assert worst in made.chosen
    assert liked.disc_id == worst
    assert liked.instead
    assert worst not in liked.instead
    free = plan(store, limit=2)
    assert set(free.chosen) - set(made.chosen) == set(liked.instead)
    would_go = plan(store, limit=2, liked=(free.chosen[0],))
    assert [(one.costs, one.instead) for one in would_go.liked] == [(0.0, ())]


def test_a_wish_that_changes_the_carry_is_told_with_what_goes_and_comes_without_it(store):
    free = plan(store, limit=2, never=("nh3-yellow",))
    (idle,) = free.wishes
    assert idle == "nh3-yellow has to stay"
    assert free.bound == ()
    kept, worst = free.chosen[0], free.left[-1].disc_id
    made = plan(store, limit=2, must=(worst,), never=(kept,), at_most=(("putter", 9),))
    bound = {wish.words: wish for wish in made.bound}
    assert list(bound) == [f"{worst} has to go", f"{kept} has to stay"]
    going, staying = bound.values()
    assert worst in going.out
    assert kept not in going.instead
    assert kept in staying.instead
    without = plan(store, limit=2, never=(kept,), at_most=(("putter", 9),))
    assert set(without.chosen) == set(made.chosen) - set(going.out) | set(going.instead)
    lost = made.strokes_carry - without.strokes_carry
    assert going.costs == pytest.approx(lost, abs=1e-9)
    told = wish_lines(made, str)
    assert len(told) == len(made.wishes) == 3
    assert told[2] == "You ask for at most 9 of putter: that changes nothing."
    assert wish_lines(made, str, binding=True) == told[:2]


def test_a_carry_that_fits_the_cart_stands_or_is_refused(store):
    fits = plan(store, limit=6, cart="", slopes=(6.0, None, None))
    assert len(fits.chosen) <= 6
    assert fits.wishes[-1].endswith("packed, is to stand 6° backward")
    with pytest.raises(InputError, match="packed, is to stand 55° backward, which no set of your"):
        plan(store, limit=6, cart="", slopes=(55.0, None, None))


def test_wishes_are_kept_with_the_plan_and_taken_again(cli, season):
    words = ("plan", "winter", "--limit", "3", "--never", "nh27-blue", "--car", "1")
    assert cli("--data", season, *words).code == 0
    with open_store(season) as opened:
        asked = load_asked(opened, "winter")
        first = load_plan(opened, "winter")
        assert (asked.limit, asked.never, asked.car) == (3, ("nh27-blue",), 1)
        assert opened.carries.latest()[1].alternates == first.alternates
    assert cli("--data", season, "plan", "winter", "--again").code == 0
    with open_store(season) as opened:
        assert load_plan(opened, "winter") == first
        with pytest.raises(NotFoundError, match="no wishes are kept for 'spring'"):
            load_asked(opened, "spring")


@pytest.fixture
def quick_holes(monkeypatch):
    """Solve holes with few throws."""
    sizes = Sizes(
        screening=8, choosing=32, kept=2, considered=8, best=4, nudged=0, pool=64, least=8,
        deciding=32, decided=2, cell_m=10.0,
    )  # fmt: skip
    monkeypatch.setattr(planning, "Holes", partial(Holes, sizes=sizes))


@pytest.mark.usefixtures("quick_holes")
def test_a_carry_is_chosen_again_on_solved_holes_and_says_so(store):
    shares: list[float] = []
    asked = Asked(limit=2, at_least=(), on_holes=True)
    made = make_plan(
        store, "winter", asked, seed=7, progress=lambda _what, share: shares.append(share)
    )
    assert load_asked(store, "winter").on_holes
    by_distance = plan(store, limit=2)
    assert "Chosen again from what every hole asks for" in made.summary[-1]
    if made.chosen == by_distance.chosen:
        assert "stays as it was" in made.summary[-1]
    else:
        new = set(made.chosen) - set(by_distance.chosen)
        assert all(disc in made.summary[-1] for disc in new)
    assert len(made.chosen) <= 2
    assert shares == sorted(shares)


@pytest.mark.usefixtures("quick_holes")
def test_a_better_carry_on_the_holes_is_what_is_kept(store, monkeypatch):
    before = plan(store, limit=2)
    other = tuple(sorted(disc for disc in DISCS if disc not in before.chosen)[:2])

    def chosen_again(holes, _carry, _wishes, _stands):
        places = tuple(sorted(holes.fleet.index(disc) for disc in other))
        choice = CarryChoice(places, (("strokes per round", 6.0, 0.0),), 0.01, 6.0, "raw")
        return OnHoles(choice, places, 2, True, ())

    monkeypatch.setattr(planning, "choose_on_holes", chosen_again)
    made = plan(store, limit=2, on_holes=True)
    assert made.chosen == other
    assert load_plan(store, "winter").chosen == other
    assert carry_named(store, None, "winter").disc_ids == other
    assert f"{before.chosen[0]} and {before.chosen[1]} out" in made.summary[-1]


@pytest.mark.usefixtures("quick_holes")
def test_the_car_is_chosen_on_the_holes_where_the_carry_is(store, monkeypatch):
    alone = plan(store, limit=2, on_holes=True)
    asked = []

    def with_car(table, *given, carry):
        asked.append((type(table), tuple(table.fleet.ids[disc] for disc in carry.chosen)))
        return choose_with_car(table, *given, carry=carry)

    monkeypatch.setattr(planning, "choose_with_car", with_car)
    made = plan(store, limit=2, car=2, on_holes=True)
    assert made.chosen == alone.chosen
    assert asked == [(HoleTable, made.chosen)]
    assert len(made.car_swaps) == len(made.days)
    assert set(made.alternates) == {disc for swap in made.car_swaps for disc in swap.into}
    assert not set(made.alternates) & set(made.chosen)
    assert "What goes in the car, and for which day, was chosen on the same lies." in made.summary


def test_a_rung_that_the_carry_lacks_is_kept_with_the_plan(store, monkeypatch):
    """Throws end at 0, 3, 6, 30, 33 and 60 m sideways: two of the steps are wide."""
    finish_m = dict(zip(DISCS, (0.0, 3.0, 6.0, 30.0, 33.0, 60.0), strict=True))

    def put(_simulator, fleet, _day):
        left = np.array([finish_m[disc] for disc in fleet.ids])
        each = np.repeat(np.stack([np.arange(6) * 40.0, left], axis=1)[:, None], 8, axis=1)
        ends = np.repeat(left[:, None], 3, axis=1)
        return Rungs(reach_m=ends + 90.0, finish_left_m=ends, each_m=each)

    monkeypatch.setattr(planning, "rungs", put)
    monkeypatch.setattr(planning, "role_of", lambda _printed: "disc")
    made = plan(store, limit=6, must=DISCS)
    steps = [(step.below, step.above, step.step_m, step.usual_m) for step in made.wide_steps]
    found = {frozenset(step[:2]) for step in steps}
    assert found == {frozenset(DISCS[2:4]), frozenset(DISCS[4:6])}
    assert {step[2:] for step in steps} == {(24.0, 3.0), (27.0, 3.0)}
    assert load_plan(store, "winter").wide_steps == made.wide_steps


def test_the_owner_says_what_decides_among_equals(store):
    usual = plan(store, limit=4)
    asked = plan(store, limit=4, then=("known", " No doubles", "least change"))
    assert [name for name, _, _ in asked.criteria][:2] == [
        "strokes per round", "what is not known of the discs' turn and fade",
    ]  # fmt: skip
    assert "discs kept from the earlier carry" in [name for name, _, _ in asked.criteria]
    assert len(asked.chosen) <= len(usual.chosen)
    assert load_asked(store, "winter").then == ("known", " No doubles", "least change")
    said = " ".join(asked.summary)
    if "would do nearly all of it" in said:
        assert "by how well the discs are known" in said
        assert "what room is left stays empty" in said


@pytest.mark.parametrize(
    ("then", "sentence"),
    [
        (("looks",), "'looks' is nothing to decide by among equal carries; take from harshest day"),
        (("",), "'' is nothing to decide by"),
        (("spares", "no doubles"), "spares fill the room that is left, so they come last"),
        (("known discs", "known"), "'known discs' is asked for twice"),
    ],
)
def test_an_order_that_is_none_is_refused(store, then, sentence):
    with pytest.raises(InputError, match=sentence):
        plan(store, then=then)


def test_places_for_spares_need_spares_among_what_decides(store):
    with pytest.raises(InputError, match="add spares as the last"):
        plan(store, spares=1, then=("harshest day",))


def test_discs_of_one_role_that_fly_alike_are_carried_once_where_that_costs_nothing(
    store, monkeypatch
):
    finish_m = dict(zip(DISCS, (0.0, 1.0, 20.0, 40.0, 60.0, 61.0), strict=True))

    def put(_simulator, fleet, _day):
        left = np.array([finish_m[disc] for disc in fleet.ids])
        each = np.repeat(np.stack([np.full(6, 80.0), left], axis=1)[:, None], 8, axis=1)
        ends = np.repeat(left[:, None], 3, axis=1)
        return Rungs(reach_m=ends + 90.0, finish_left_m=ends, each_m=each)

    monkeypatch.setattr(planning, "rungs", put)
    asked = []
    monkeypatch.setattr(
        planning, "choose_carry",
        lambda demand, wishes, stands: asked.append(wishes) or choose_carry(demand, wishes, stands),
    )  # fmt: skip
    made = plan(store, limit=6, then=("no doubles",), must=(DISCS[0], DISCS[1]))
    ids = sorted(DISCS)
    pairs = {frozenset(ids[disc] for disc in pair) for pair in asked[0].doubled}
    assert pairs == {frozenset(DISCS[:2]), frozenset(DISCS[4:])}
    name, doubles, gap = made.criteria[1]
    assert (name, gap) == ("pairs carried that fly alike", pytest.approx(0.0, abs=1e-6))
    assert doubles == pytest.approx(1.0 + set(DISCS[4:]).issubset(made.chosen))
    plan(store, limit=6)
    assert asked[1].doubled == ()
