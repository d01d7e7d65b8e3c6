"""Wished-for discs, gaps and swaps on solved holes: the lies and strokes-to-finish of a carry."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from hole_worlds import BREEZE, CALM, PUTTING, fleet_of, open_hole, thrower
from rimwise.decide.clouds import Simulator
from rimwise.decide.hole_table import fill_hole_table
from rimwise.decide.on_holes import Holes
from rimwise.decide.posing import Sizes, pose, sheltered
from rimwise.decide.swaps import CHOSEN, SCREENED, find_swaps
from rimwise.decide.wanted import best_addition, find_gaps, known_draws, value_of_wanted
from rimwise.errors import InputError
from rimwise.records.assumptions import Assumptions

TINY = Sizes(
    screening=16, choosing=64, kept=2, considered=16, best=4, nudged=0, pool=256, least=16,
    deciding=64, decided=4,
)  # fmt: skip
PUTTER, MIDDLE, DRIVER = range(3)
ASSUME = Assumptions()
DAYS = (replace(BREEZE, share=0.75), replace(CALM, share=0.25))
#: A hole of a shelter of its own, so that its wind is not the day's.
COURSE = replace(open_hole(95.0), holes=(replace(open_hole(95.0).holes[0], ref="7", shelter=0.4),))
SIMULATOR = Simulator(thrower(), ASSUME)
FLEET = fleet_of(assume=ASSUME)


def holes_for(fleet, days=DAYS, course=COURSE) -> Holes:
    return Holes(SIMULATOR, fleet, days, course, PUTTING, ASSUME, sizes=TINY)


@pytest.fixture(scope="module")
def own():
    """Return the table of a putter and a mid-range disc, with nothing else owned."""
    return holes_for(FLEET.subset([PUTTER, MIDDLE])).table((PUTTER, MIDDLE))


@pytest.fixture(scope="module")
def wide(own):
    return own.with_more(SIMULATOR, FLEET.subset([DRIVER]), ASSUME)


@pytest.fixture(scope="module")
def few():
    """Return the table of a putter alone, with a driver that nobody owns behind it."""
    table = holes_for(FLEET.subset([PUTTER])).table((PUTTER,))
    return table.with_more(SIMULATOR, FLEET.subset([DRIVER]), ASSUME)


def saved_by_hand(table, first, second) -> float:
    """Say what a set saves over another, row by row, from the definition."""
    total = 0.0
    for r, row in enumerate(table.rows):
        one, other = (min(discs, key=lambda d: table.cost[r, d]) for discs in (first, second))
        total += row.weight * float(np.mean(table.fresh[r, one] - table.fresh[r, other]))
    return total


def test_a_disc_that_is_added_costs_what_it_costs_in_the_table_of_all(own, wide, monkeypatch):
    plans = holes_for(FLEET.subset([PUTTER, MIDDLE])).solved((PUTTER, MIDDLE))
    whole = fill_hole_table(SIMULATOR, FLEET, DAYS, plans, ASSUME, sizes=TINY)
    monkeypatch.setattr("rimwise.decide.hole_table._AT_ONCE", 1)
    each = fill_hole_table(SIMULATOR, FLEET, DAYS, plans, ASSUME, sizes=TINY)
    for table in (wide, each):
        assert table.fleet.ids == FLEET.ids
        assert table.rows == whole.rows
        for column in ("cost", "bad", "fresh", "next_m", "loss"):
            np.testing.assert_array_equal(getattr(table, column), getattr(whole, column))
    np.testing.assert_array_equal(wide.cost[:, : len(own.fleet)], own.cost)
    with pytest.raises(InputError, match="two discs are named 'driver'"):
        wide.with_more(SIMULATOR, FLEET.subset([DRIVER]), ASSUME)


def test_progress_of_pricing_more_discs_ends_finished(own):
    told: list[float] = []
    own.with_more(
        SIMULATOR, FLEET.subset([DRIVER]), ASSUME, lambda _what, share: told.append(share)
    )
    assert told == sorted(told)
    assert told[-1] == 1.0


@pytest.mark.parametrize("room", [True, False])
def test_what_a_wish_saves_is_what_choosing_again_by_brute_force_saves(own, wide, room):
    carry, wish = (PUTTER, MIDDLE), DRIVER
    (found,) = value_of_wanted(
        SIMULATOR, own, carry, FLEET.subset([DRIVER]), ASSUME, room=room, draws=2
    )
    cost = {
        (*kept, wish): float(wide.weights @ wide.cost[:, (*kept, wish)].min(axis=1))
        for kept in combinations(carry, len(carry) - 1 + room)
    }
    best = (*(disc for disc in carry if disc != found.instead_of), wish)
    assert cost[best] == min(cost.values())
    assert (found.instead_of is None) == room
    assert found.at_first == pytest.approx(saved_by_hand(wide, carry, best), abs=1e-5)
    assert found.at_first != 0.0 < found.at_first_se
    serves = np.array([min(best, key=lambda d: wide.cost[r, d]) for r in range(len(wide.rows))])
    assert found.throws == pytest.approx(float(wide.weights[serves == wish].sum()))


def test_a_wish_once_known_is_the_mean_of_what_its_draws_save(own):
    carry, wish = (PUTTER, MIDDLE), FLEET.subset([DRIVER])
    (found,) = value_of_wanted(SIMULATOR, own, carry, wish, ASSUME, room=True, seed=4, draws=3)
    known = own.with_more(SIMULATOR, known_draws(wish, 4, 3), ASSUME)
    each = [saved_by_hand(known, carry, (*carry, 2 + draw)) for draw in range(3)]
    assert found.known == pytest.approx(float(np.mean(each)), abs=1e-5)
    assert found.low <= found.known <= found.high


def test_a_wish_is_worth_about_what_it_saves_when_its_holes_are_solved(few):
    saves, error = few.difference([0], [0, 1])
    held = holes_for(FLEET.subset([PUTTER, DRIVER])).against((0, 1), (0,))
    slack = 3.0 * math.hypot(error, held.dearer_se)
    assert 0.3 * held.dearer - slack < saves < held.dearer + slack  # it then plays for it
    assert saves > slack


def test_a_gap_is_told_with_the_throws_that_gain_most(few):
    (gap,) = find_gaps(few, [0], [1])
    assert gap.saves == pytest.approx(saved_by_hand(few, (0,), (0, 1)), abs=1e-5)
    assert sum(share for _, share in gap.kinds) == pytest.approx(1.0)
    rows, share = gap.kinds[0]
    assert share == max(share for _, share in gap.kinds)
    assert len({(few.rows[r].kind, few.rows[r].distance_m // 20.0) for r in rows}) == 1
    assert find_gaps(few, [0, 1], []) == ()
    assert best_addition(few, [0], [1]) == 1


def test_rows_know_how_far_the_basket_is_and_the_wind_from_it(wide):
    """From the map: the hole goes east, in four tenths of the wind at 10 m over open ground."""
    tee = np.array([0.0, 0.0])
    for r, row in enumerate(wide.rows):
        wind = DAYS[row.day].wind
        to_basket = np.array([95.0, 0.0]) - (tee + np.array(row.lie[:2]))
        assert row.distance_m == pytest.approx(float(np.hypot(*to_basket)))
        off = math.radians(wind.from_deg)
        from_there = np.array([math.sin(off), math.cos(off)])
        ahead = float(from_there @ to_basket) / row.distance_m
        strength = wind.speed_m_s * 0.4 / ASSUME.shelter_factor
        assert wide.ahead_m_s(r) == pytest.approx(strength * ahead)


def test_in_other_weather_a_hole_is_posed_as_if_it_were_laid_out_for_that_day(own):
    other = replace(
        BREEZE, name="gale", water_recovery=0.9, cover="leaves", dusk=True,
        wind=replace(BREEZE.wind, speed_m_s=8.0, from_deg=20.0),
    )  # fmt: skip
    (hole,) = COURSE.holes
    there = sheltered(other, hole, ASSUME)
    anew = pose(COURSE, hole, FLEET, there, SIMULATOR.bases, PUTTING, ASSUME)
    for one in own.solved:
        again = one.on(FLEET, there, ASSUME)
        np.testing.assert_array_equal(again.problem.prices, anew.prices)
        assert math.cos(again.problem.wind_rad) == pytest.approx(math.cos(anew.wind_rad))
        assert math.sin(again.problem.wind_rad) == pytest.approx(math.sin(anew.wind_rad))
        assert again.day == there
        assert again.solved is one.solved  # its strokes-to-finish stay


def test_in_the_same_weather_discs_cost_what_they_cost_on_fresh_throws(wide):
    alike = replace(SIMULATOR, screening=TINY.choosing, choosing=TINY.choosing)
    for number, day in enumerate(DAYS):
        (cost,) = wide.priced_in(alike, FLEET, number, [day], ASSUME)
        rows = [r for r, row in enumerate(wide.rows) if row.day == number]
        told = wide.fresh[rows]
        error = told.std(axis=2, ddof=1) / math.sqrt(told.shape[2])
        assert cost.shape == error.shape
        assert (np.abs(cost - told.mean(axis=2)) < 5.0 * math.sqrt(2.0) * error + 0.05).all()


OLD = tuple(
    replace(day, arm=0.9, grip=(0.0, 1.0, 0.0, 0.0), wind=replace(day.wind, from_deg=70.0))
    for day in DAYS
)


def test_parts_of_a_swap_are_shapleys_shares_from_the_definition(wide):
    """Three factors: all eight worlds are priced one by one, and every order of them taken."""
    (swap,) = find_swaps(SIMULATOR, OLD, [PUTTER, MIDDLE], wide, [PUTTER, DRIVER], ASSUME)
    assert (swap.out, swap.into) == ("middle", "driver")
    assert (swap.saves, swap.saves_se) == wide.difference([PUTTER, MIDDLE], [PUTTER, DRIVER])
    factors = ("grip", "arm", "wind")
    light = replace(SIMULATOR, screening=SCREENED, choosing=CHOSEN)
    worlds = {}
    for size in range(4):
        for changed in combinations(factors, size):
            saved = 0.0
            for number, (new, old) in enumerate(zip(DAYS, OLD, strict=True)):
                day = new
                for factor in set(factors) - set(changed):
                    day = day.with_factor(factor, old)
                (cost,) = wide.priced_in(light, FLEET, number, [day], ASSUME)
                weights = np.array([row.weight for row in wide.rows if row.day == number])
                before, after = cost[:, [PUTTER, MIDDLE]], cost[:, [PUTTER, DRIVER]]
                saved += float(weights @ (before.min(axis=1) - after.min(axis=1)))
            worlds[frozenset(changed)] = saved
    exact = dict.fromkeys(factors, 0.0)
    for factor in factors:
        others = [other for other in factors if other != factor]
        for size, chance in ((0, 1 / 3), (1, 1 / 6), (2, 1 / 3)):
            for came in combinations(others, size):
                exact[factor] += chance * (
                    worlds[frozenset((*came, factor))] - worlds[frozenset(came)]
                )
    shares = {cause.factor: cause.strokes for cause in swap.causes}
    assert {f: shares[f] for f in factors} == pytest.approx(exact, abs=1e-9)
    assert all(shares[other] == 0.0 for other in set(shares) - set(factors))
    assert sum(shares.values()) == pytest.approx(swap.changed, abs=1e-12)
    whole = worlds[frozenset(factors)] - worlds[frozenset()]
    assert swap.changed == pytest.approx(whole, abs=1e-9)
    assert any(abs(strokes) > 0.005 for strokes in exact.values())


def test_worlds_that_differ_in_water_alone_share_their_flights(wide, monkeypatch):
    from rimwise.decide import hole_table

    flown = []
    real = hole_table.fly_sky
    monkeypatch.setattr(
        hole_table, "fly_sky", lambda *given, **more: flown.append(1) or real(*given, **more)
    )
    dry, wet = DAYS[0], replace(DAYS[0], water_recovery=0.95)
    both = wide.priced_in(SIMULATOR, FLEET, 0, [dry, wet], ASSUME)
    assert len(flown) == 2  # to choose, and to tell
    for day, cost in zip((dry, wet), both, strict=True):
        np.testing.assert_array_equal(wide.priced_in(SIMULATOR, FLEET, 0, [day], ASSUME)[0], cost)


def test_the_disc_kept_for_putting_does_no_work_in_any_world(wide):
    from rimwise.decide.carry import held_back

    table = held_back(wide, (PUTTER,))
    (swap,) = find_swaps(
        SIMULATOR, OLD, [MIDDLE], table, [PUTTER, MIDDLE], ASSUME, putting=[PUTTER]
    )
    assert (swap.out, swap.into) == (None, "putter")
    assert (swap.saves, swap.changed) == (0.0, 0.0)
    assert all(cause.strokes == 0.0 for cause in swap.causes)
    (thrown,) = find_swaps(SIMULATOR, OLD, [MIDDLE], wide, [PUTTER, MIDDLE], ASSUME)
    assert thrown.changed != 0.0
