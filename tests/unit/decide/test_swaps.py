"""Swaps between seasons, and the one factor whose return would undo them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from small_worlds import ASSUME, CALM, FOUR, MOLDS, PUTTING, box, disc, season, simulator, straight

from rimwise.beliefs.fleet import Fleet, build_fleet
from rimwise.decide.days import Day
from rimwise.decide.demand import Demand, build_demand
from rimwise.decide.swaps import CAUSES, Swap, find_swaps
from rimwise.records.assumptions import Assumptions
from rimwise.records.courses import AreaKind, Course
from rimwise.records.discs import Grip, Plastic, Weight

#: Discs fly as printed, so that two of one mold differ in nothing but what a test gives them.
ALIKE = replace(
    ASSUME,
    printed_speed_sd=0.0,
    printed_glide_sd=0.0,
    printed_turn_sd=0.0,
    printed_fade_sd=0.0,
    lost_disc_strokes=2.0,
)
SAME_GRIP = Grip(3, 3, 4, 3)
PLASTICS = {
    p.name: p
    for p in (
        Plastic("slick premium", Grip(1, 1, 5, 4), stability_shift_sd=0.0),
        Plastic("soft base", Grip(4, 5, 3, 2), stability_shift_sd=0.0),
        Plastic("sinking base", SAME_GRIP, stability_shift_sd=0.0),
        Plastic("light floating", SAME_GRIP, floats=True, stability_shift_sd=0.0),
    )
}
#: A causeway with water on both sides: many throws end in it, whatever the line.
CAUSEWAY = straight(
    85.0,
    areas=(
        box(AreaKind.WATER, 4.0, 20.0, 70.0, 150.0),
        box(AreaKind.WATER, -70.0, 20.0, -4.0, 150.0),
    ),
)


def pair(first: str, second: str, costs: tuple[float, float] = (20.0, 20.0)) -> Fleet:
    discs = [
        disc(name, "FW 7", name, weight=Weight(172.0, 0.0), cost=cost)
        for name, cost in zip((first, second), costs, strict=True)
    ]
    return build_fleet(discs, MOLDS, PLASTICS, ALIKE)


def swapped(
    fleet: Fleet, old: Day, new: Day, course: Course, assume: Assumptions = ALIKE
) -> tuple[Swap, Demand]:
    """Take the first disc in the old season and the second in the new one."""
    sim = simulator(assume=assume, choosing=128, reporting=384)
    table = build_demand(sim, fleet, [new], course, PUTTING, assume)
    (swap,) = find_swaps(sim, [old], [0], table, [1], assume)
    return swap, table


def test_the_same_carry_twice_is_no_swap() -> None:
    assert find_swaps(simulator(), season().days, [0, 2], season(), [2, 0], ASSUME) == ()


def test_when_only_the_air_on_the_hands_changes_the_cause_is_grip() -> None:
    fleet = pair("slick premium", "soft base")
    warm, wet = CALM, replace(CALM, name="cold rain", grip=(0.0, 1.0, 0.0, 0.0))
    swap, table = swapped(fleet, warm, wet, straight(60.0, 100.0))
    assert (swap.out, swap.into) == ("slick premium", "soft base")
    assert not swap.tie
    assert swap.saves > 2.0 * swap.saves_se > 0.0
    assert (swap.saves, swap.saves_se) == table.difference([0], [1])
    assert swap.cause is not None
    assert swap.cause.factor == "grip"
    assert swap.cause.undoes
    others = [cause for cause in swap.causes if cause.factor != "grip"]
    assert sorted(cause.factor for cause in others) == sorted(set(CAUSES) - {"grip"})
    assert all(cause.strokes == 0.0 and not cause.undoes for cause in others)


def test_what_changed_is_what_two_tables_of_their_own_say() -> None:
    """The old season on its own lies and values: near the new one's with everything taken back."""
    fleet = pair("slick premium", "soft base")
    wet = replace(CALM, name="cold rain", grip=(0.0, 1.0, 0.0, 0.0))
    swap, table = swapped(fleet, CALM, wet, straight(60.0, 100.0))
    sim = simulator(assume=ALIKE, choosing=128, reporting=384)
    before = build_demand(sim, fleet, [CALM], straight(60.0, 100.0), PUTTING, ALIKE)
    (now, now_se), (then, then_se) = table.difference([0], [1]), before.difference([0], [1])
    error = 4.0 * float(np.hypot(now_se, then_se)) + 0.1 * abs(now - then)
    assert swap.changed == pytest.approx(now - then, abs=error)
    assert now - then > 2.0 * error


def test_a_disc_that_comes_alone_has_a_cause_too() -> None:
    """It joins the slick one: its grip pays in the cold rain, and nothing else would."""
    fleet = pair("slick premium", "soft base")
    wet = replace(CALM, name="cold rain", grip=(0.0, 1.0, 0.0, 0.0))
    sim = simulator(assume=ALIKE, choosing=128, reporting=384)
    table = build_demand(sim, fleet, [wet], straight(60.0, 100.0), PUTTING, ALIKE)
    (swap,) = find_swaps(sim, [CALM], [0], table, [0, 1], ALIKE)
    assert (swap.out, swap.into) == (None, "soft base")
    assert (swap.saves, swap.saves_se) == table.difference([0], [0, 1])
    assert swap.cause is not None
    assert swap.cause.factor == "grip"
    (swap,) = find_swaps(sim, [CALM], [0, 1], table, [1], ALIKE)
    assert (swap.out, swap.into) == ("slick premium", None)
    assert swap.tie
    assert swap.cause is None


def test_when_only_what_comes_back_from_water_changes_the_cause_is_water() -> None:
    """The dear disc floats: worth it only where a sunken one is gone for good."""
    fleet = pair("sinking base", "light floating", (10.0, 20.0))
    shallow = replace(CALM, water_recovery=0.98)
    deep = replace(CALM, name="deep", water_recovery=0.0)
    swap, _ = swapped(fleet, shallow, deep, CAUSEWAY)
    assert (swap.out, swap.into) == ("sinking base", "light floating")
    assert not swap.tie
    assert swap.cause is not None
    assert swap.cause.factor == "water"
    assert [cause.factor for cause in swap.causes if cause.strokes != 0.0] == ["water"]


def test_a_swap_that_saves_nothing_is_a_tie_without_a_cause() -> None:
    twins = {"a": Plastic("a", SAME_GRIP, stability_shift_sd=0.0)}
    discs = [disc(name, "FW 7", "a", weight=Weight(172.0, 0.0)) for name in ("x", "y")]
    fleet = build_fleet(discs, MOLDS, twins, ALIKE)
    swap, _ = swapped(fleet, CALM, replace(CALM, arm=0.9), straight(80.0))
    assert swap.saves == 0.0
    assert swap.cause is None
    assert swap.tie or swap.saves <= 2.0 * swap.saves_se


@pytest.mark.parametrize(
    ("old", "new"), [([0, 1], [2, 3]), ([0], [1, 2]), ([0, 1, 2], [3]), ([0, 1], [1, 2])]
)
def test_everything_that_goes_out_or_comes_in_is_told_once(old: list[int], new: list[int]) -> None:
    sim, table = simulator(), season()
    old_days = [replace(day, arm=day.arm * 0.97) for day in table.days]
    swaps = find_swaps(sim, old_days, old, table, new, ASSUME)
    ids = [d.id for d in FOUR]
    assert sorted(s.out for s in swaps if s.out) == sorted(ids[d] for d in set(old) - set(new))
    assert sorted(s.into for s in swaps if s.into) == sorted(ids[d] for d in set(new) - set(old))
    for swap in swaps:
        if swap.out and swap.into:
            assert sorted(c.factor for c in swap.causes) == sorted(CAUSES)
            assert sum(c.strokes for c in swap.causes) == pytest.approx(swap.changed, abs=1e-12)
            assert np.all(np.diff([c.strokes for c in swap.causes]) <= 0.0)
        else:
            assert swap.cause is None


def test_when_only_a_disc_has_worn_the_cause_is_wear() -> None:
    """A disc beaten since turns over; the other one, not thrown since, now does its work."""
    now = pair("sinking base", "soft base").as_worn({"sinking base": 1.0}, ALIKE)
    sim = simulator(assume=ALIKE, choosing=128, reporting=384)
    table = build_demand(sim, now, [CALM], straight(60.0, 100.0), PUTTING, ALIKE)
    then = now.as_worn({"sinking base": 0.0}, ALIKE)
    (swap,) = find_swaps(sim, [CALM], [0], table, [1], ALIKE, old_fleet=then)
    assert [cause.factor for cause in swap.causes if cause.strokes != 0.0] == ["wear"]
    assert swap.changed != 0.0
    (swap,) = find_swaps(sim, [CALM], [0], table, [1], ALIKE)
    assert swap.changed == 0.0


def test_a_disc_that_stays_and_does_more_is_told_after_the_swaps() -> None:
    """What it saves is what the others would need more without it; nothing goes out for it."""
    fleet = pair("slick premium", "soft base")
    wet = replace(CALM, name="cold rain", grip=(0.0, 1.0, 0.0, 0.0))
    sim = simulator(assume=ALIKE, choosing=128, reporting=384)
    table = build_demand(sim, fleet, [wet], straight(60.0, 100.0), PUTTING, ALIKE)
    (swap,) = find_swaps(sim, [CALM], [0, 1], table, [0, 1], ALIKE, grown=[1])
    assert swap.stays
    assert (swap.out, swap.into) == (None, "soft base")
    assert (swap.saves, swap.saves_se) == table.difference([0], [0, 1])
    assert swap.causes[0].factor == "grip"
    assert swap.causes[0].strokes == pytest.approx(swap.changed)


def test_progress_ends_finished() -> None:
    told: list[float] = []
    find_swaps(
        simulator(), season().days, [0], season(), [1], ASSUME,
        progress=lambda _what, share: told.append(share),
    )  # fmt: skip
    assert told[-1] == 1.0
    assert told == sorted(told)
