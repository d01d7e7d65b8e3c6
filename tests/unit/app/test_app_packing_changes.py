"""The packed cart with a thing taken off or moved, with an occasion's things, and measured."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date

import pytest

from rimwise.app.carries import keep
from rimwise.app.packing import make_packing, measure_cart
from rimwise.app.reports import load_plan, save_plan
from rimwise.decide.report import CarSwap
from rimwise.errors import InputError
from rimwise.packing.statics import CartLoad, MassAt
from rimwise.store.opening import open_store

pytestmark = pytest.mark.usefixtures("rough")


@pytest.fixture
def store(season):
    with open_store(season) as opened:
        yield opened


def test_after_a_swap_at_the_car_the_cart_is_packed_anew_and_said_where_it_falls(store):
    plan = load_plan(store, "winter")
    heavy = plan.left[0].disc_id
    discs = tuple(
        replace(line, weight_g=480.0) if line.disc_id == heavy else line for line in plan.discs
    )
    out = plan.purposes[0].disc_id
    swaps = (
        CarSwap("gale", (out,), (heavy,), 0.1, 0.02),
        CarSwap("calm", (), (), 0.0, 0.0),
        CarSwap("mist", (out,), (out,), 0.0, 0.0),
    )
    save_plan(store, replace(plan, discs=discs, car_swaps=swaps))
    before = make_packing(store, "winter")
    gale, mist = before.swapped
    assert (gale.day, mist.day) == ("gale", "mist")
    assert mist.words.endswith("packed anew, the cart stands as before.")
    # As a carry of its own, the set of that day stands as is said of it.
    chosen = tuple(heavy if disc == out else disc for disc in plan.chosen)
    purposes = tuple(
        replace(one, disc_id=heavy) if one.disc_id == out else one for one in plan.purposes
    )
    save_plan(store, replace(plan, discs=discs, chosen=chosen, purposes=purposes))
    alone = make_packing(store, "winter")
    assert gale.stands
    assert gale.backward_deg == pytest.approx(alone.backward_deg)
    assert gale.words.lower().endswith(f"the cart {alone.words.lower()}")


def test_a_swap_with_which_the_cart_does_not_stand_is_said(store):
    plan = load_plan(store, "winter")
    heavy = plan.left[0].disc_id
    discs = tuple(
        replace(line, weight_g=500.0) if line.disc_id == heavy else line for line in plan.discs
    )
    swap = CarSwap("gale", (plan.chosen[0],), (heavy,), 0.1, 0.02)
    save_plan(store, replace(plan, discs=discs, car_swaps=(swap,)))
    most = make_packing(store, "winter").swapped[0].backward_deg
    best = make_packing(store, "winter").backward_deg
    between = (max(most, best) + min(most, best)) / 2
    asked = {"backward_deg": between}
    if best < most:  # the heavy disc steadies the cart: then it is the light one that falls
        plan = replace(plan, discs=discs, chosen=(heavy, *plan.chosen[1:]))
        save_plan(store, replace(plan, car_swaps=(replace(swap, out=swap.into, into=swap.out),)))
    (told,) = make_packing(store, "winter", **asked).swapped
    assert not told.stands
    assert "does not stand" in told.words
    (name,) = store.carts.keys()
    cart = store.carts.get(name)
    room = len(plan.chosen)
    small = replace(cart, pockets=(replace(cart.pockets[0], room=room),))
    store.carts.put(small)
    save_plan(store, replace(plan, discs=discs, car_swaps=(replace(swap, out=()),)))
    (told,) = make_packing(store, "winter").swapped
    assert (told.stands, told.backward_deg) == (False, None)
    assert "there is no room" in told.words


def test_each_thing_on_the_cart_is_told_without(store):
    report = make_packing(store, "winter")
    cart = store.carts.all()[0]
    assert [one.name for one in report.changes] == [f"without {item.name}" for item in cart.items]
    # Taking a mass m at (x, z) off shifts the centre of mass of all: worked by hand.
    item = cart.items[0]
    x, y, z = report.centre_of_mass_m
    left_kg = report.mass_kg - item.mass_kg
    rest = [
        (report.mass_kg * whole - item.mass_kg * part) / left_kg
        for whole, part in zip((x, y, z), (item.x_m, item.y_m, item.z_m), strict=True)
    ]
    alone = CartLoad(
        [MassAt("rest", left_kg, *rest)],
        wheel_track_m=cart.wheel_track_m,
        foot_x_m=cart.foot_x_m,
        foot_half_width_m=cart.foot_half_width_m,
    )
    assert report.changes[0].backward_deg == pytest.approx(alone.tipping_angles_deg.backward)
    assert report.changes[0].left_deg == pytest.approx(alone.tipping_angles_deg.left)


def test_a_bottle_hung_low_and_forward_stands_steeper(store):
    report = make_packing(store, "winter", move=("water bottle", 0.2, 0.12, 0.3))
    moved = report.changes[-1]
    assert moved.name == "water bottle moved"
    assert moved.backward_deg > report.backward_deg
    same = make_packing(store, "winter", move=("water bottle", 0.02, 0.12, 0.7)).changes[-1]
    assert same.backward_deg == pytest.approx(report.backward_deg)


def test_an_emptied_pocket_goes_with_what_is_in_it(store):
    report = make_packing(store, "winter", without="front slot")
    front = next(pocket for pocket in report.pockets if pocket.pocket == "front slot")
    assert front.discs
    assert report.changes[-1].backward_deg < report.backward_deg  # it was ahead of the axle


def test_the_things_of_an_occasion_ride_along(store):
    keep(store, "doubles", on=date(2026, 1, 1), like="winter", items=("cool box 2.5 0.1 0 0.35",))
    plain, along = make_packing(store, "winter"), make_packing(store, "winter", carry="doubles")
    assert along.mass_kg == pytest.approx(plain.mass_kg + 2.5)
    assert along.changes[-1].name == "without cool box"
    assert along.changes[-1].backward_deg == pytest.approx(plain.backward_deg)


def test_a_slope_downwind_takes_less_wind(store):
    level, sloping = make_packing(store, "winter"), make_packing(store, "winter", wind_slope_deg=5)
    assert "on level ground, a wind of" in level.gust
    assert "on a 5° slope dropping that way" in sloping.gust
    assert "without any wind" in make_packing(store, "winter", wind_slope_deg=40.0).gust


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"without": "anvil"}, "there is no 'anvil' on the cart; it has water bottle, towel"),
        ({"move": ("anvil", 0.0, 0.0, 0.0)}, "'anvil' is no thing on the cart that can move"),
        ({"sideways_deg": 55.0}, "No packing of .* stands a slope of"),
    ],
)
def test_what_cannot_be_packed_or_told_is_refused(store, wrong, sentence):
    with pytest.raises(InputError, match=sentence):
        make_packing(store, "winter", **wrong)


def test_the_weighings_are_told_as_the_carts_file_asks_for_them(cli, season):
    told = measure_cart(3.2, 1.28, 0.85, 0.35, 0.12, 0.12)
    assert told.com_x_m == pytest.approx(1.28 * 0.35 / 3.2)
    assert f'"com_z_m": {told.com_z_m:.3f}' in told.words
    said = cli(
        "--data",
        season,
        "pack",
        "--json",
        "--weighed",
        "3.2",
        "1.28",
        "0.85",
        "0.35",
        "0.12",
        "0.12",
    )
    assert json.loads(said.out)["com_z_m"] == pytest.approx(told.com_z_m)
