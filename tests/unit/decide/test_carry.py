"""The carry: rules kept, every step proven, spares that push nobody out."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_worlds import FOUR, season

from rimwise.decide.carry import (
    BAD_THROWS,
    HARSHEST,
    KNOWN,
    LEAST_CHANGE,
    LEAST_TOLERANCE,
    NO_DOUBLES,
    Wishes,
    choose_carry,
    how_many_curve,
)
from rimwise.decide.demand import Demand, worst_tenth
from rimwise.errors import InputError

DISCS = len(FOUR)


def per_round(table: Demand, chosen: tuple[int, ...], day: int | None = None) -> float:
    """Strokes a round on the choosing throws, summed row by row."""
    total = 0.0
    for r, row in enumerate(table.rows):
        if day is not None and row.day != day:
            continue
        strokes = min(table.cost[r, d] for d in chosen)
        if row.kind != "tee":
            strokes -= table.cost[r].min()
        share = 1.0 if day is None else table.days[day].share
        total += row.weight / share * strokes
    return total


def every_set(limit: int) -> list[tuple[int, ...]]:
    return [s for n in range(1, limit + 1) for s in combinations(range(DISCS), n)]


@given(
    st.integers(1, DISCS),
    st.sets(st.integers(0, DISCS - 1), max_size=1),
    st.sets(st.integers(0, DISCS - 1), max_size=1),
    st.booleans(),
)
@settings(deadline=None, max_examples=25)
def test_wishes_are_kept_and_every_step_is_proven(
    limit: int, must: set[int], never: set[int], a_driver: bool
) -> None:
    never -= must
    at_least = (((2, 3), 1),) if a_driver and not never & {2, 3} and limit > len(must) else ()
    choice = choose_carry(season(), Wishes(limit, tuple(must), tuple(never), at_least))
    carried = set(choice.chosen)
    assert 1 <= len(carried) <= limit
    assert must <= carried
    assert not never & carried
    if at_least:
        assert carried & {2, 3}
    assert max(abs(gap) for _, _, gap in choice.criteria) <= 1e-6
    best = min(
        per_round(season(), s)
        for s in every_set(limit)
        if must <= set(s) and not never & set(s) and (not at_least or set(s) & {2, 3})
    )
    assert choice.best_strokes == pytest.approx(best)
    assert per_round(season(), choice.chosen) <= best + choice.tolerance + 1e-6


@pytest.mark.parametrize("limit", [1, 2, 3])
def test_among_sets_equal_within_error_the_harshest_day_decides(limit: int) -> None:
    table = season()
    choice = choose_carry(table, Wishes(limit))
    assert choice.harshest_day == "gale"
    assert choice.tolerance >= LEAST_TOLERANCE
    equal = [
        s for s in every_set(limit) if per_round(table, s) <= choice.best_strokes + choice.tolerance
    ]
    on_it = min(per_round(table, s, day=1) for s in equal)
    names = [name for name, _, _ in choice.criteria]
    assert names[:2] == ["strokes per round", "strokes on the harshest day (gale)"]
    assert choice.criteria[1][1] == pytest.approx(on_it, abs=1e-6)


_CRITERIA = (HARSHEST, BAD_THROWS, KNOWN, NO_DOUBLES, LEAST_CHANGE)


@given(
    st.lists(st.sampled_from(_CRITERIA), unique=True),
    st.sets(st.sampled_from(list(combinations(range(DISCS), 2))), max_size=4),
    st.sets(st.integers(0, DISCS - 1)),
    st.integers(1, DISCS),
)
@settings(deadline=None, max_examples=40)
def test_what_decides_among_equals_does_so_in_the_owners_order(
    order: list[str], doubled: set[tuple[int, int]], keep: set[int], limit: int
) -> None:
    """Against every set: each criterion leaves those within its tolerance of the best."""
    table = season()
    wishes = Wishes(
        limit, keep=tuple(keep), order=tuple(order), doubled=tuple(sorted(doubled))
    )  # fmt: skip
    choice = choose_carry(table, wishes)
    unknown = table.fleet.sample_printed(512, 0)[..., 2:].sum(axis=-1).std(axis=-1)

    def bad(chosen: tuple[int, ...]) -> float:
        away = table.bad[:, chosen].min(axis=1) - table.bad.min(axis=1)
        return float(table.weights @ away)

    value = {
        HARSHEST: lambda chosen: per_round(table, chosen, day=1),
        BAD_THROWS: bad,
        KNOWN: lambda chosen: float(unknown[list(chosen)].sum()),
        NO_DOUBLES: lambda chosen: sum({a, b} <= set(chosen) for a, b in doubled),
        LEAST_CHANGE: lambda chosen: -len(keep & set(chosen)),
    }
    slack = {HARSHEST: choice.tolerance, BAD_THROWS: choice.tolerance}
    left = [
        s for s in every_set(limit) if per_round(table, s) <= choice.best_strokes + choice.tolerance
    ]
    told = iter(choice.criteria[1:])
    for name in order:
        if (name == NO_DOUBLES and not doubled) or (name == LEAST_CHANGE and not keep):
            continue
        best = min(value[name](s) for s in left)
        left = [s for s in left if value[name](s) <= best + slack.get(name, 0.0) + 1e-6]
        _, said, gap = next(told)
        assert abs(gap) <= 1e-6
        own = value[name](choice.chosen)
        assert said == pytest.approx(-own if name == LEAST_CHANGE else own, abs=1e-6)
    assert next(told, None) is None
    assert choice.chosen in left


def test_without_spares_what_room_is_left_stays_empty() -> None:
    usual = choose_carry(season(), Wishes(DISCS))
    light = choose_carry(season(), Wishes(DISCS, order=(HARSHEST, LEAST_CHANGE)))
    assert set(light.chosen) <= set(usual.chosen)
    assert light.criteria == usual.criteria[: len(light.criteria)]
    assert len(light.chosen) < len(usual.chosen)


def test_bad_throws_are_the_dearest_tenth() -> None:
    strokes = np.arange(60, dtype=np.float32)[::-1].reshape(2, 30)
    np.testing.assert_allclose(worst_tenth(strokes), [58.0, 28.0])
    np.testing.assert_allclose(worst_tenth(strokes[:, :5]), [59.0, 29.0])
    assert (season().bad > season().cost).all()


def test_the_strokes_told_are_a_rounds() -> None:
    """What the first criterion says is the choosing throws' value of what is reported."""
    table = season()
    choice = choose_carry(table, Wishes(2))
    served = choice.criteria[0][1]
    reported, error = table.strokes(choice.chosen)
    assert abs(served - reported) < 5.0 * error
    assert served < 12.0  # two holes


@pytest.mark.parametrize(
    ("wishes", "sentence"),
    [
        (Wishes(0), "limit"),
        (Wishes(2, must=(1,), never=(1,)), "mi has to go and mi has to stay: these cannot be met"),
        (Wishes(1, must=(0, 1)), "at most 1 disc, pu has to go and mi has to go"),
        (Wishes(2, spares=2), "2 of 2 places for spares leaves none to throw; ask for 1"),
        (Wishes(2, must=(0, 1), spares=1), "at most 2 discs, 1 of them for spares, pu has to go"),
        (
            Wishes(4, must=(2,), never=(0,), at_least=(((0, 1), 2),)),
            "pu has to stay and at least 2",
        ),
        (Wishes(2, must=(7,)), "7"),
    ],
)
def test_wishes_that_cannot_be_kept_are_told(wishes: Wishes, sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        choose_carry(season(), wishes)


@pytest.mark.parametrize("wishes", [Wishes(DISCS), Wishes(DISCS, must=(0, 2), price=0.01)])
def test_more_room_than_discs_is_no_hindrance(wishes: Wishes) -> None:
    roomy = choose_carry(season(), replace(wishes, limit=DISCS + 5))
    full = choose_carry(season(), wishes)
    assert (roomy.chosen, roomy.best_strokes) == (full.chosen, full.best_strokes)


def test_a_dear_place_in_the_bag_leaves_one_disc() -> None:
    choice = choose_carry(season(), Wishes(DISCS, price=10.0))
    assert len(choice.chosen) == 1
    fewest = min(per_round(season(), (d,)) for d in range(DISCS))
    assert per_round(season(), choice.chosen) <= fewest + choice.tolerance + 1e-6
    assert choice.best_strokes == pytest.approx(fewest + 10.0)


def test_a_dearer_place_never_fills_the_bag_more() -> None:
    counts = [len(choose_carry(season(), Wishes(DISCS, price=p)).chosen) for p in (0.01, 0.1, 1.0)]
    assert counts == sorted(counts, reverse=True)


def _noisy_twin(table: Demand) -> Demand:
    """The season with a fifth disc, as good as the third on every throw but a little dearer."""
    fleet = table.fleet.subset([0, 1, 2, 3, 2])
    five = [0, 1, 2, 3, 2]
    cost = table.cost[:, five].copy()
    cost[:, 4] += 1e-4
    return replace(
        table,
        fleet=fleet,
        cost=cost,
        actions=replace(table.actions, table=table.actions.table[:, five]),
        fresh=table.fresh[:, five],
        next_m=table.next_m[:, five],
        loss=table.loss[:, five],
    )


def test_spares_never_push_anyone_out_and_stand_in_for_what_is_lost() -> None:
    table = _noisy_twin(season())
    risky = replace(table, loss=np.zeros_like(table.loss))
    without = choose_carry(risky, Wishes(5))
    risky.loss[:, 2] = 0.3  # the third disc is what gets lost
    with_spares = choose_carry(risky, Wishes(5))
    assert set(without.chosen) <= set(with_spares.chosen)
    assert 4 not in without.chosen
    assert {2, 4} <= set(with_spares.chosen)
    assert "once a disc is lost" in with_spares.criteria[-1][0]
    assert len(without.criteria) == 2


def test_where_nothing_is_lost_no_spare_is_carried() -> None:
    dry = replace(season(), loss=np.zeros_like(season().loss))
    assert [name for name, _, _ in choose_carry(dry, Wishes(4)).criteria] == [
        "strokes per round",
        "strokes on the harshest day (gale)",
    ]


def test_an_earlier_carry_is_kept_where_strokes_do_not_speak_against_it() -> None:
    table = _noisy_twin(season())
    safe = replace(table, loss=np.zeros_like(table.loss))
    chosen = choose_carry(safe, Wishes(3)).chosen
    if 2 not in chosen:
        pytest.fail("the third disc is not among the best three, so nothing is tested")
    earlier = tuple(4 if d == 2 else d for d in chosen)
    kept = choose_carry(safe, Wishes(3, keep=earlier)).chosen
    assert len(set(kept) & set(earlier)) >= len(set(chosen) & set(earlier))
    assert 4 in kept


def test_the_curve_never_rises_on_the_choosing_throws() -> None:
    table = season()
    curve = how_many_curve(table, 9, Wishes(1))
    assert [step.discs for step in curve] == [1, 2, 3, 4]
    strokes = [per_round(table, step.chosen) for step in curve]
    assert np.all(np.diff(strokes) <= 1e-9)
    for step, found in zip(curve, strokes, strict=True):
        assert found == pytest.approx(min(per_round(table, s) for s in every_set(step.discs)))
        assert (step.lost, step.lost_se) == table.difference(step.chosen, range(DISCS))
    assert curve[-1].lost == pytest.approx(0.0, abs=1e-6)


def test_the_curve_begins_where_the_wishes_can_be_kept() -> None:
    curve = how_many_curve(season(), DISCS, Wishes(DISCS, must=(0, 3)))
    assert curve[0].discs == 2
    assert all({0, 3} <= set(step.chosen) for step in curve)
