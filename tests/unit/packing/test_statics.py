"""Properties of the tipping statics, and what is refused."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from rimwise.errors import InputError
from rimwise.packing.statics import (
    CartLoad,
    MassAt,
    Sides,
    compared_words,
    gust_that_tips_m_s,
    tipping_words,
)

masses = st.builds(
    MassAt,
    st.just("thing"),
    st.floats(0.1, 10.0),
    st.floats(-0.2, 0.5),
    st.floats(-0.3, 0.3),
    st.floats(0.05, 1.5),
)
loads = st.builds(
    CartLoad,
    st.lists(masses, min_size=1, max_size=6),
    wheel_track_m=st.floats(0.2, 0.8),
    foot_x_m=st.floats(0.1, 0.6),
    foot_half_width_m=st.floats(0.0, 0.5),
)


def close(left: Sides, right: Sides) -> None:
    assert tuple(left) == pytest.approx(tuple(right), abs=1e-7)


@given(loads)
def test_mirrored_cart_falls_to_the_other_side(load: CartLoad) -> None:
    mirrored = CartLoad(
        [MassAt(i.name, i.mass_kg, i.x_m, -i.y_m, i.z_m) for i in load.items],
        wheel_track_m=load.wheel_track_m,
        foot_x_m=load.foot_x_m,
        foot_half_width_m=load.foot_half_width_m,
    )
    angles = load.tipping_angles_deg
    close(
        mirrored.tipping_angles_deg,
        Sides(angles.backward, angles.forward, angles.right, angles.left),
    )


@given(loads, st.floats(0.2, 5.0), st.floats(0.2, 5.0), st.floats(-1.0, 1.0))
def test_angles_do_not_change_with_size_mass_or_origin(
    load: CartLoad, size: float, heavier: float, shift: float
) -> None:
    assume(max(i.z_m for i in load.items) * size <= 5.0)
    assume(load.foot_half_width_m * size <= 2.5)
    other = CartLoad(
        [
            MassAt(i.name, i.mass_kg * heavier, i.x_m * size + shift, i.y_m * size, i.z_m * size)
            for i in load.items
        ],
        wheel_track_m=load.wheel_track_m * size,
        foot_x_m=load.foot_x_m * size + shift,
        axle_x_m=shift,
        foot_half_width_m=load.foot_half_width_m * size,
    )
    close(other.tipping_angles_deg, load.tipping_angles_deg)


@given(loads)
def test_reserves_are_the_distances_to_the_support_polygon(load: CartLoad) -> None:
    x, y, height = load.centre_of_mass_m
    half, foot = load.wheel_track_m / 2, load.foot_half_width_m
    for sign, reserve in ((1.0, load.reserve_m.left), (-1.0, load.reserve_m.right)):
        # Wheel (0, +-half) to foot (foot_x, +-foot): cross product over length.
        along = (load.foot_x_m, sign * (foot - half))
        cross = along[0] * (y - sign * half) - along[1] * x
        assert reserve == pytest.approx(-sign * cross / math.hypot(*along), abs=1e-9)
    assert load.reserve_m.backward == pytest.approx(x)
    assert math.tan(math.radians(load.tipping_angles_deg.backward)) == pytest.approx(x / height)
    # Straight ahead by the reserve the point lies on the border, and nowhere outside.
    if load.stands:
        ahead = x + load.reserve_m.forward
        width = half + (foot - half) * ahead / load.foot_x_m
        on_front = math.isclose(ahead, load.foot_x_m, abs_tol=1e-9)
        on_side = math.isclose(abs(y), width, abs_tol=1e-9)
        assert on_front or on_side
        assert ahead <= load.foot_x_m + 1e-9
        assert abs(y) <= width + 1e-9


@given(loads)
def test_gust_holds_the_moment_balance_and_slopes_weaken(load: CartLoad) -> None:
    speed = gust_that_tips_m_s(load, "backward", area_m2=0.8, height_m=1.4)
    x = load.reserve_m.backward
    if x <= 0.0:
        assert speed == 0.0
        return
    assume(x > 1e-9)  # thinner than an atom, the numbers run out of digits
    force_n = 0.5 * 1.225 * speed**2 * 1.4 * 0.8
    assert force_n * 1.4 == pytest.approx(load.mass_kg * 9.80665 * x)
    angle = load.tipping_angles_deg.backward
    part = min(0.5 * angle, 30.0)
    assert gust_that_tips_m_s(load, "backward", area_m2=0.8, height_m=1.4, slope_deg=part) < speed
    if angle < 59.0:
        over = gust_that_tips_m_s(
            load, "backward", area_m2=0.8, height_m=1.4, slope_deg=angle + 0.5
        )
        assert over == 0.0


def test_words_name_the_weakest_side_first_and_round_down() -> None:
    load = CartLoad([MassAt("cart", 8.0, 0.1, 0.0, 0.6)], wheel_track_m=0.5, foot_x_m=0.5)
    assert tipping_words(load) == (
        "Falls over backward on a 9° slope, to the left on a 16° slope, "
        "to the right on a 16° slope and forward on a 33° slope."
    )
    assert load.tipping_angles_deg.weakest == "backward"
    fallen = CartLoad([MassAt("cart", 8.0, -0.1, 0.0, 0.6)], wheel_track_m=0.5, foot_x_m=0.5)
    assert not fallen.stands
    assert fallen.tipping_angles_deg.backward < 0.0
    assert tipping_words(fallen) == "Does not stand: it falls over backward on level ground."


def test_refusals() -> None:
    mass = MassAt("cart", 5.0, 0.1, 0.0, 0.5)
    with pytest.raises(InputError, match="foot_x_m must be larger than axle_x_m"):
        CartLoad([mass], wheel_track_m=0.5, foot_x_m=-0.2)
    with pytest.raises(InputError, match="at least one mass above 0 kg"):
        CartLoad([], wheel_track_m=0.5, foot_x_m=0.2)
    with pytest.raises(InputError, match="wheel_track_m must be between"):
        CartLoad([mass], wheel_track_m=0.0, foot_x_m=0.2)
    with pytest.raises(InputError, match="mass of bag must be between"):
        MassAt("bag", -1.0, 0.0, 0.0, 0.1)
    with pytest.raises(InputError, match="height of bag must be a finite number"):
        MassAt("bag", 1.0, 0.0, 0.0, float("nan"))
    load = CartLoad([mass], wheel_track_m=0.5, foot_x_m=0.2)
    with pytest.raises(InputError, match="toward must be one of backward, forward, left, right"):
        gust_that_tips_m_s(load, "up", area_m2=1.0, height_m=1.0)  # type: ignore[arg-type]
    with pytest.raises(InputError, match="area_m2 must be between"):
        gust_that_tips_m_s(load, "left", area_m2=0.0, height_m=1.0)


# -- one way to pack against another --------------------------------------------------------------


def block(backward_deg: float, height_m: float = 0.5) -> CartLoad:
    """Return a cart whose mass stands so far ahead of the axle that it falls on that slope."""
    ahead_m = height_m * math.tan(math.radians(backward_deg))
    return CartLoad(
        [MassAt("all", 9.0, ahead_m, 0.0, height_m)],
        wheel_track_m=0.5, foot_x_m=0.4, foot_half_width_m=0.25,
    )  # fmt: skip


def test_slopes_a_degree_apart_are_told_whole_and_the_weakest_first() -> None:
    # As a block: backward atan(x / z), forward atan((0.4 - x) / z), sideways atan(0.25 / z).
    assert compared_words(block(9.4), block(7.3)) == (
        "It falls over backward on a 7° slope instead of 9° and forward on a 33° slope instead of "
        "32°; to the left and to the right as now."
    )


def test_slopes_nearer_than_a_degree_are_told_in_tenths_rounded_down() -> None:
    words = compared_words(block(9.02), block(8.97))
    assert words == "It falls over on the same slopes as now, to a tenth of a degree."
    words = compared_words(block(9.05), block(8.57))
    assert "backward on a 8.5° slope instead of 9.0°" in words


@given(loads)
def test_a_cart_against_itself_is_the_same(load: CartLoad) -> None:
    assume(load.stands)
    assert "same slopes as now" in compared_words(load, load)


@given(loads, loads)
def test_every_side_is_named_when_both_stand(before: CartLoad, after: CartLoad) -> None:
    assume(before.stands and after.stands)
    words = compared_words(before, after)
    if "same slopes" not in words:
        assert all(words.count(side) == 1 for side in Sides._fields)
        worse = after.tipping_angles_deg.backward < before.tipping_angles_deg.backward - 1.0
        if worse:
            new = math.floor(after.tipping_angles_deg.backward)
            old = math.floor(before.tipping_angles_deg.backward)
            assert f"backward on a {new}° slope instead of {old}°" in words


def test_what_does_not_stand_is_said() -> None:
    stands, falls = block(9.0), block(-2.0)
    told = "It does not stand: it falls over backward on level ground"
    assert compared_words(stands, falls) == f"{told}."
    assert compared_words(falls, falls) == f"{told}, as it does now."
    assert compared_words(falls, stands) == (
        f"It stands, which it does not now. {tipping_words(stands)}"
    )
