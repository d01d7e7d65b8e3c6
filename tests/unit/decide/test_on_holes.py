"""Carries chosen from what solved holes ask for, and sets of discs held on whole holes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from advice_worlds import pond_across
from hole_worlds import BREEZE, CALM, PUTTING, fleet_of, open_hole, thrower
from rimwise.decide.carry import Wishes
from rimwise.decide.clouds import Simulator
from rimwise.decide.on_holes import Holes, choose_on_holes
from rimwise.decide.posing import Sizes
from rimwise.records.assumptions import Assumptions

TINY = Sizes(
    screening=16, choosing=64, kept=2, considered=16, best=4, nudged=0, pool=256, least=16,
    deciding=64, decided=4,
)  # fmt: skip
PUTTER, MIDDLE, DRIVER = range(3)
DAYS = (replace(BREEZE, share=0.75), replace(CALM, share=0.25))


@pytest.fixture(scope="module")
def holes():
    assume = Assumptions()
    said: list[float] = []
    here = Holes(
        Simulator(thrower(), assume), fleet_of(assume=assume), DAYS, open_hole(95.0), PUTTING,
        assume, sizes=TINY, parts=4, progress=lambda _what, share: said.append(share),
    )  # fmt: skip
    return here, said


def test_a_set_is_held_against_the_first_on_the_same_throws(holes):
    here, said = holes
    everything = (PUTTER, MIDDLE, DRIVER)
    again = here.against(everything, everything)
    assert again.dearer == again.dearer_se == 0.0
    putter = here.against(everything, (PUTTER,))
    assert putter.dearer > 4.0 * putter.dearer_se > 0.0  # a putter alone, 95 m out
    assert putter.strokes == pytest.approx(again.strokes + putter.dearer)
    assert sum(dearer for _, dearer, _ in putter.by_hole) == pytest.approx(putter.dearer)
    assert said == sorted(said)
    assert 0.0 < said[-1] <= 1.0


def test_a_solved_hole_keeps_no_throws_but_aims(holes):
    sky = holes[0].solved((PUTTER,))[0].days[0].valued.policy.sky
    assert sky.points.size == 0
    assert np.isfinite(sky.middles).all()


def test_the_rows_are_where_the_policy_throws_from_as_often_as_it_does(holes):
    here, _ = holes
    plan = here.solved((PUTTER,))[0]
    table = here.table((PUTTER,))
    for day, one in enumerate(plan.days):
        rows = [row for row in table.rows if row.day == day]
        tee, later = rows[0], rows[1:]
        assert (tee.kind, tee.lie, tee.weight) == ("tee", (0.0, 0.0, 0.0), DAYS[day].share)
        assert {row.kind for row in later} == {"later"}
        thrown = DAYS[day].share * one.valued.visits[:-1].sum()
        assert sum(row.weight for row in later) == pytest.approx(thrown)
        lies = one.valued.policy.problem.lattice.lies
        which = [np.flatnonzero((lies == row.lie).all(axis=1))[0] for row in later]
        assert (one.valued.visits[which] > 0.0).all()


def test_a_carrys_table_is_made_once_and_is_its_own(holes):
    here, _ = holes
    putter = here.table((PUTTER,))
    assert here.table((PUTTER,)) is putter
    driver = here.table((DRIVER,))
    assert sum(row.weight for row in driver.rows) < sum(row.weight for row in putter.rows)
    one, other = putter.serves((PUTTER,)), putter.serves((DRIVER,))
    costs, error = putter.mixed_difference(one, other)
    assert costs == putter.difference((PUTTER,), (DRIVER,))[0]
    assert costs > 3.0 * error > 0.0  # on a hole of 95 m


def test_on_its_own_lies_the_carry_costs_what_its_holes_do(holes):
    here, _ = holes
    plan = here.solved((PUTTER,))[0]
    table = here.table((PUTTER,))
    for row, told in enumerate(table.rows):
        if told.kind == "tee":
            fresh = table.fresh[row, PUTTER].astype(np.float64)
            error = np.hypot(fresh.std(ddof=1) / len(fresh) ** 0.5, plan.strokes_se)
            assert abs(fresh.mean() - plan.days[told.day].valued.strokes) < 4.0 * error


def test_every_disc_is_priced_with_the_strokes_to_finish_of_the_carry(holes):
    """What a driver saves on a putter's lies is nearly what it saves when solved for itself."""
    here, _ = holes
    table = here.table((PUTTER,))
    assert table.cost.shape == (len(table.rows), 3)
    saves, error = table.difference((PUTTER,), (PUTTER, DRIVER))
    held = here.against((PUTTER, DRIVER), (PUTTER,))
    assert saves > 4.0 * error
    assert saves <= held.dearer + 3.0 * np.hypot(error, held.dearer_se)  # it then plays for it
    assert saves > 0.3 * held.dearer
    assert table.difference((PUTTER,), (PUTTER,)) == (0.0, 0.0)


def test_a_disc_that_stayed_home_has_its_own_price_when_it_is_lost(holes):
    here, _ = holes
    costs = here.fleet.relative_cost * (1.0, 1.0, 500.0)
    dear = Holes(
        here.simulator, replace(here.fleet, relative_cost=costs), here.days, here.course, PUTTING,
        here.assume, sizes=TINY,
    )  # fmt: skip
    dear._solved[PUTTER,] = here.solved((PUTTER,))
    plain, found = here.table((PUTTER,)), dear.table((PUTTER,))
    assert (found.cost[:, DRIVER] > plain.cost[:, DRIVER]).all()
    np.testing.assert_array_equal(found.cost[:, PUTTER], plain.cost[:, PUTTER])


def test_a_line_costs_no_more_than_any_that_was_tried_at_the_basket(holes):
    from rimwise.decide._holes import reprice
    from rimwise.decide.clouds import CHOOSING
    from rimwise.decide.posing import prices_of
    from rimwise.decide.skies import all_pairs, fly_sky

    here, _ = holes
    one = here.solved((PUTTER,))[0].days[0]
    problem = replace(one.valued.policy.problem, prices=prices_of(here.fleet, one.day, here.assume))
    sky = fly_sky(
        here.simulator, here.fleet, one.day, all_pairs(here.simulator, here.fleet),
        samples=TINY.choosing, draw_set=CHOOSING,
    )  # fmt: skip
    bases = len(here.simulator.bases)
    actions = np.array([[(DRIVER, base, 95.0, 0.0) for base in range(bases)]], dtype=np.float64)
    cost = np.empty((1, bases))
    reprice(
        sky, problem.terrain, problem.field(one.valued.cost), problem.rules, problem.wind_rad,
        np.zeros((1, 3)), actions, problem.prices, 1e9, cost,
    )  # fmt: skip
    assert here.table((PUTTER,)).cost[0, DRIVER] <= cost.min() + 1e-9


def test_a_carry_is_chosen_again_until_nothing_keeps_a_promise(holes):
    here, _ = holes
    found = choose_on_holes(here, (PUTTER,), Wishes(2))
    assert DRIVER in found.chosen
    assert found.choice is not None
    assert found.stable
    assert found.again >= 2
    held = here.against(found.chosen, (PUTTER,))
    assert held.dearer > 2.0 * held.dearer_se
    for out, into in found.changes:
        assert out is None or out in found.chosen
        assert into is None or into not in found.chosen
        assert len(found.chosen) + (into is not None) - (out is not None) <= 2


def test_a_promise_that_is_not_kept_when_solved_for_itself_changes_nothing(holes, monkeypatch):
    here, _ = holes
    held = here.against((PUTTER, DRIVER), (PUTTER,))
    monkeypatch.setattr(here, "against", lambda *_sets: replace(held, dearer=-held.dearer_se))
    found = choose_on_holes(here, (PUTTER,), Wishes(2))
    assert (found.choice, found.chosen, found.again) == (None, (PUTTER,), 1)


def test_what_was_best_stays_and_wishes_are_kept(holes):
    here, _ = holes
    everything = (PUTTER, MIDDLE, DRIVER)
    best = choose_on_holes(here, everything, Wishes(3))
    assert (best.choice, best.chosen, best.stable) == (None, everything, True)
    stays = choose_on_holes(here, (PUTTER,), Wishes(2, never=(DRIVER,)))
    assert DRIVER not in stays.chosen


def test_what_was_found_for_another_set_is_taken_over_where_it_throws_own_discs_only(holes):
    here, _ = holes
    few, many = (PUTTER, MIDDLE), (PUTTER, MIDDLE, DRIVER)
    own, other = here.solved(few)[0], here.solved(many)[0]
    lucky = replace(
        other,
        days=tuple(
            replace(
                day,
                valued=replace(
                    day.valued, strokes=day.valued.strokes - 1.0,
                    policy=replace(day.valued.policy, actions=_thrown(day, MIDDLE)),
                ),
            )
            for day in other.days
        ),
    )  # fmt: skip
    again = Holes(
        here.simulator, here.fleet, here.days, here.course, PUTTING, here.assume, sizes=TINY
    )  # fmt: skip
    again._solved = {few: (own,), many: (lucky,)}
    assert [plan.days for plan in again.best(few)] == [lucky.days]
    assert [plan.days for plan in again.best(many)] == [lucky.days]
    held = again.against(few, many)
    assert held.dearer == held.dearer_se == 0.0
    # A policy that throws what stays at home is of no use, however lucky.
    away = tuple(
        replace(
            day,
            valued=replace(
                day.valued, policy=replace(day.valued.policy, actions=_thrown(day, DRIVER))
            ),
        )
        for day in lucky.days
    )
    again._solved[many] = (replace(lucky, days=away),)
    assert [plan.days for plan in again.best(few)] == [own.days]


def _thrown(day, disc):
    actions = day.valued.policy.actions.copy()
    actions[:, 0] = disc
    return actions


def test_the_putting_putter_is_never_thrown():
    assume = Assumptions()
    here = Holes(
        Simulator(thrower(), assume), fleet_of(assume=assume), [BREEZE], open_hole(40.0), PUTTING,
        assume, putting_discs=(PUTTER,), sizes=TINY,
    )  # fmt: skip
    table = here.table((PUTTER, MIDDLE))
    assert (table.serves((PUTTER, MIDDLE)) == MIDDLE).all()
    assert here.solved((PUTTER, MIDDLE))[0].days[0].valued.lost.shape == (1,)


def test_beside_water_the_table_knows_what_a_throw_leads_to():
    """A disc that is lost or pays a stroke in the pond is dearer there than by distance alone."""
    assume = Assumptions()
    course = pond_across()
    fleet = fleet_of(assume=assume)
    carry = (PUTTER, MIDDLE, DRIVER)
    wet_table, dry_table = (
        Holes(
            Simulator(thrower(), assume), fleet, [CALM], where, PUTTING, assume, sizes=TINY
        ).table(carry)
        for where in (course, replace(course, areas=()))
    )
    assert (wet_table.cost[0] > dry_table.cost[0]).all()
    assert wet_table.loss.max() > dry_table.loss.max()
