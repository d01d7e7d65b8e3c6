"""Sums that say which sets of discs a cart can hold, against packing every set."""

from __future__ import annotations

from itertools import combinations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from rimwise.errors import InputError
from rimwise.packing.placement import PackingDisc, pack
from rimwise.packing.standing import Slopes, broken_sum
from rimwise.records.carts import Cart, Pocket

CART = Cart(
    "light",
    3.0,
    0.06,
    0.40,
    0.4,
    0.25,
    pockets=(
        Pocket("upper pouch", 2, -0.25, 0.02, 0.95, 0.4, at_hand=1),
        Pocket("lower pocket", 2, 0.05, -0.02, 0.45, 0.3, at_hand=2),
    ),
)


def packs(discs: list[PackingDisc], slopes: Slopes) -> bool:
    try:
        pack(
            CART,
            discs,
            backward_deg=slopes.backward,
            forward_deg=slopes.forward,
            sideways_deg=slopes.sideways,
        )
    except InputError:
        return False
    return True


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.floats(0.05, 0.5), min_size=1, max_size=5),
    st.floats(0.0, 9.0),
    st.none() | st.floats(5.0, 20.0),
    st.none() | st.floats(5.0, 25.0),
)
def test_a_broken_sum_rules_out_this_set_and_none_that_can_be_packed(
    masses: list[float], backward: float, forward: float | None, sideways: float | None
) -> None:
    """Oracle: the exact packing of every set, one by one."""
    slopes = Slopes(backward, forward, sideways)
    discs = [PackingDisc(f"d{i}", mass, 1.0) for i, mass in enumerate(masses)]
    sets = [s for n in range(1, 5) for s in combinations(range(len(discs)), n)]
    good = [s for s in sets if packs([discs[i] for i in s], slopes)]
    for chosen in sets:
        broken = broken_sum(CART, discs, chosen, slopes)
        assert (broken is None) == (chosen in good)
        if broken is not None:
            weights, most = broken
            assert weights[list(chosen)].sum() > most
            for other in good:
                assert weights[list(other)].sum() <= most + 1e-6


def test_without_a_slope_every_set_can_be_packed() -> None:
    assert broken_sum(CART, [PackingDisc("d", 0.2, 1.0)], (0,), Slopes()) is None


def test_some_sets_of_the_example_stand_and_some_do_not() -> None:
    discs = [PackingDisc(f"d{i}", 0.4, 1.0) for i in range(4)]
    told = [broken_sum(CART, discs, range(n), Slopes(backward=3.0)) is None for n in range(1, 5)]
    assert told[0]
    assert not told[-1]
    assert np.all(np.diff(np.array(told, dtype=int)) <= 0)
