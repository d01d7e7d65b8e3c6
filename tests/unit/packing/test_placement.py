"""Packing against every possible way to pack a small cart."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rimwise.errors import InputError
from rimwise.packing.placement import (
    PackingDisc,
    alternatives,
    pack,
    packed_load,
    steadiest,
)
from rimwise.records.carts import Cart, CartItem, Pocket


def cart_of(rng: np.random.Generator, rooms: list[int]) -> Cart:
    pockets = tuple(
        Pocket(
            f"pocket {index}",
            room,
            x_m=float(rng.uniform(-0.15, 0.35)),
            y_m=float(rng.uniform(-0.15, 0.15)),
            z_m=float(rng.uniform(0.2, 1.0)),
            mass_kg=0.3,
            at_hand=int(rng.integers(1, 4)),
        )
        for index, room in enumerate(rooms)
    )
    return Cart("light", 1.0, 0.1, 0.4, 0.5, 0.4, 0.05, pockets, (CartItem("water", 0.5, 0, 0, 1),))


def discs_of(rng: np.random.Generator, count: int) -> list[PackingDisc]:
    return [
        PackingDisc(f"d{i}", float(rng.uniform(0.15, 0.18)), float(rng.integers(0, 5)))
        for i in range(count)
    ]


def every_packing(cart: Cart, discs: list[PackingDisc]) -> list[tuple[float, tuple[float, ...]]]:
    """Reach and angles of each way to fill the pockets."""
    found = []
    for places in product(cart.pockets, repeat=len(discs)):
        if any(places.count(pocket) > pocket.room for pocket in cart.pockets):
            continue
        both = list(zip(discs, places, strict=True))
        reach = sum(disc.throws_per_round * pocket.at_hand for disc, pocket in both)
        load = packed_load(cart, [(pocket.name, disc.mass_kg) for disc, pocket in both])
        found.append((reach, tuple(load.tipping_angles_deg)))
    return found


@settings(max_examples=40, deadline=None)
@given(
    st.integers(0, 2**32 - 1),
    st.lists(st.integers(0, 3), min_size=2, max_size=3).filter(lambda rooms: sum(rooms) >= 2),
    st.integers(1, 4),
    st.sampled_from([None, 5.0, 12.0]),
    st.sampled_from([None, 15.0]),
    st.sampled_from([None, 22.0]),
)
def test_pack_is_the_handiest_that_stands(
    seed: int,
    rooms: list[int],
    count: int,
    backward: float | None,
    sideways: float | None,
    forward: float | None,
) -> None:
    rng = np.random.default_rng(seed)
    cart, discs = cart_of(rng, rooms), discs_of(rng, min(count, sum(rooms)))
    ways = every_packing(cart, discs)
    steepest = max(angles[0] for _, angles in ways)
    assert steadiest(cart, discs).angles_deg.backward == pytest.approx(steepest, abs=1e-6)
    asked = (backward, forward, sideways, sideways)
    standing = [
        (reach, angles[0])
        for reach, angles in ways
        if all(wish is None or angle >= wish for angle, wish in zip(angles, asked, strict=True))
    ]
    slopes = {"backward_deg": backward, "forward_deg": forward, "sideways_deg": sideways}
    if not standing:
        with pytest.raises(InputError, match=r"No packing of \d discs stands a slope of"):
            pack(cart, discs, **slopes)
        return
    found = pack(cart, discs, **slopes)
    least = min(reach for reach, _ in standing)
    assert found.reach == pytest.approx(least)
    steady = max(angle for reach, angle in standing if reach <= least + 1e-9)
    assert found.angles_deg.backward == pytest.approx(steady, abs=1e-5)
    for angle, wish in zip(found.angles_deg, asked, strict=True):
        assert wish is None or angle >= wish - 1e-5
    assert sorted(d for p in found.pockets for d in p.discs) == sorted(d.disc for d in discs)


UPPER = Pocket("upper pouch", 2, -0.05, 0.0, 0.95, 0.4, at_hand=1)
LOWER = Pocket("lower pocket", 8, 0.15, 0.0, 0.35, 0.3, at_hand=2)
CART = Cart("light", 3.0, 0.12, 0.4, 0.5, 0.4, 0.0, (UPPER, LOWER))
DISCS = [PackingDisc(f"NH {number}", 0.175, float(number)) for number in range(1, 6)]


def test_most_used_goes_to_hand_and_stands_first_in_its_pocket() -> None:
    plan = pack(CART, DISCS)
    assert [pocket.pocket for pocket in plan.pockets] == ["upper pouch", "lower pocket"]
    assert plan.pockets[0].discs == ("NH 5", "NH 4")
    assert plan.pockets[1].discs == ("NH 3", "NH 2", "NH 1")
    assert plan.reach == 5 + 4 + 2 * (3 + 2 + 1)
    assert plan.words.startswith("Falls over backward on a ")


def test_alternatives_are_named_and_the_empty_pouch_stands_steeper() -> None:
    found = {entry.name: entry.packing for entry in alternatives(CART, DISCS)}
    assert list(found) == ["as asked", "most at hand", "steadiest", "upper pouch empty"]
    empty = found["upper pouch empty"]
    assert empty.pockets[0].discs == ()
    assert empty.angles_deg.backward > found["most at hand"].angles_deg.backward
    assert empty.reach > found["most at hand"].reach


def test_a_full_season_cart_is_packed_quickly_and_completely() -> None:
    rng = np.random.default_rng(4)
    cart = cart_of(rng, [2, 4, 6, 6, 4])
    discs = [PackingDisc(f"d{i}", 0.15 + 0.001 * i, 0.37 * i) for i in range(20)]
    steady = steadiest(cart, discs)
    wish = 0.5 * (steady.angles_deg.backward + pack(cart, discs).angles_deg.backward)
    plan = pack(cart, discs, backward_deg=wish)
    assert plan.angles_deg.backward >= wish - 1e-5
    assert plan.reach >= pack(cart, discs).reach - 1e-9
    assert sum(len(pocket.discs) for pocket in plan.pockets) == 20


def test_refusals() -> None:
    many = [PackingDisc(f"d{i}", 0.17, 1.0) for i in range(12)]
    with pytest.raises(InputError, match="12 discs for 10 places on cart 'light': leave 2 at home"):
        pack(CART, many)
    with pytest.raises(InputError, match="with lower pocket empty: leave 3 at home"):
        pack(CART, DISCS, empty=["lower pocket"])
    with pytest.raises(InputError, match="no pocket 'side'; its pockets are upper pouch, lower"):
        pack(CART, DISCS, empty=["side"])
    with pytest.raises(InputError, match="disc 'NH 1' is to be packed twice"):
        pack(CART, [DISCS[0], DISCS[0]])
    with pytest.raises(InputError, match="stands a slope of 55° backward"):
        pack(CART, DISCS, backward_deg=55.0)
    with pytest.raises(InputError, match="slope backward must be between 0 and 60"):
        pack(CART, DISCS, backward_deg=75.0)
    with pytest.raises(InputError, match="mass of disc NH 1 must be between"):
        PackingDisc("NH 1", 175.0, 1.0)


def test_no_discs_is_an_empty_cart() -> None:
    plan = pack(CART, [])
    assert plan.reach == 0.0
    assert plan.load == packed_load(CART, [])
    assert pack(CART, [], backward_deg=1.0).pockets[1].discs == ()
