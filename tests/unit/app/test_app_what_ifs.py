"""What if a thing, a pocket or a disc were elsewhere: held against moments taken by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from rimwise.app.what_ifs import Hung, Loaded, Put, Riding, Shifted, TakenOff, What, what_if
from rimwise.errors import InputError
from rimwise.records.carts import Cart, CartItem, Pocket

CART = Cart(
    "light one", 5.0, 0.10, 0.40, wheel_track_m=0.5, foot_x_m=0.4, foot_half_width_m=0.1,
    pockets=(
        Pocket("main", 3, 0.08, 0.0, 0.35, mass_kg=0.4, at_hand=2),
        Pocket("pouch", 1, -0.05, 0.0, 0.80, mass_kg=0.3, at_hand=1),
    ),
    items=(CartItem("bottle", 1.0, 0.0, 0.15, 0.6),),
)  # fmt: skip
LOADED = Loaded(
    CART, (Riding("a", "main", 0.17), Riding("b", "main", 0.18), Riding("c", "pouch", 0.16))
)
#: Mass (kg), x and z (m) of all that rides, written out once more: the frame, main with a and b,
#: the pouch with c, the bottle.
FRAME, MAIN, POUCH, BOTTLE = (
    (5.0, 0.10, 0.40), (0.75, 0.08, 0.35), (0.46, -0.05, 0.80), (1.0, 0.0, 0.6)
)  # fmt: skip


def falls_backward_deg(*parts: tuple[float, float, float]) -> float:
    """A block tips where its plumb line passes the edge: tan(slope) = x / z of all."""
    x = sum(mass * ahead for mass, ahead, _ in parts)
    z = sum(mass * high for mass, _, high in parts)
    return math.degrees(math.atan2(x, z))


def test_as_it_is_the_moments_are_those_written_out() -> None:
    by_hand = falls_backward_deg(FRAME, MAIN, POUCH, BOTTLE)
    assert LOADED.load.tipping_angles_deg.backward == pytest.approx(by_hand)


@pytest.mark.parametrize(
    ("change", "parts"),
    [
        (TakenOff("bottle"), (FRAME, MAIN, POUCH)),
        (TakenOff("pouch"), (FRAME, MAIN, BOTTLE)),
        (TakenOff("b"), (FRAME, (0.57, 0.08, 0.35), POUCH, BOTTLE)),
        (Hung("bottle", 0.2, 0.0, 0.1), (FRAME, MAIN, POUCH, (1.0, 0.2, 0.1))),
        (Hung("pouch", 0.3, 0.1, 0.5), (FRAME, MAIN, (0.46, 0.3, 0.5), BOTTLE)),
        (Shifted("pouch", 0.04, 0.0, -0.3), (FRAME, MAIN, (0.46, -0.01, 0.5), BOTTLE)),
        (Shifted("bottle", 0.05, 0.1, 0.1), (FRAME, MAIN, POUCH, (1.0, 0.05, 0.7))),
        (Put("c", "main"), (FRAME, (0.91, 0.08, 0.35), (0.3, -0.05, 0.8), BOTTLE)),
        (Put("bottle", "main"), (FRAME, MAIN, POUCH, (1.0, 0.08, 0.35))),
    ],
)
def test_one_change_moves_only_what_it_names(
    change: What, parts: tuple[tuple[float, float, float], ...]
) -> None:
    told = what_if(LOADED, change)
    by_hand = falls_backward_deg(*parts)
    assert told.backward_deg == pytest.approx(by_hand)
    before = LOADED.load.tipping_angles_deg.backward
    if abs(by_hand - before) >= 1.0:
        said = f"backward on a {math.floor(by_hand)}° slope instead of {math.floor(before)}°"
        assert said in told.compared


def test_sideways_a_thing_moved_left_makes_it_fall_left_sooner() -> None:
    before = LOADED.load.tipping_angles_deg
    told = what_if(LOADED, Shifted("bottle", 0.0, 0.2, 0.0))
    assert told.left_deg < before.left - 1.0
    assert told.right_deg > before.right + 1.0
    assert told.backward_deg == pytest.approx(before.backward)
    changed, same = told.compared.split("; ")
    assert "to the left on a" in changed
    assert same.startswith("backward")


def test_a_full_pocket_is_said_and_the_answer_given_all_the_same() -> None:
    told = what_if(LOADED, Put("a", "pouch"))
    by_hand = falls_backward_deg(FRAME, (0.58, 0.08, 0.35), (0.63, -0.05, 0.8), BOTTLE)
    assert told.backward_deg == pytest.approx(by_hand)
    assert told.compared.startswith(
        "There is no room: pouch holds 1 disc and has 1. If it fitted: It falls over"
    )
    assert "no room" not in what_if(LOADED, Put("c", "main")).compared


@pytest.mark.parametrize(
    ("change", "match"),
    [
        (TakenOff("anvil"), "there is no 'anvil' on the cart; it has bottle, main, pouch"),
        (Hung("anvil", 0, 0, 0), "'anvil' is no thing on the cart that can move"),
        (Hung("a", 0, 0, 0), "a rides in a pocket; say into which one"),
        (Shifted("pouch", 0, 0, -0.9), "pouch would come to be under the ground"),
        (Shifted("pouch", 3.0, 0, 0), "pouch would be far off any cart"),
        (Put("a", "boot"), "there is no pocket 'boot' on the cart; it has main, pouch"),
        (Put("a", "main"), "a is in main already; choose another pocket"),
        (Put("pouch", "main"), "pouch is a pocket itself"),
        (Put("anvil", "main"), "there is no 'anvil' on the cart"),
    ],
)
def test_what_cannot_be_is_said(change: What, match: str) -> None:
    with pytest.raises(InputError, match=match):
        what_if(LOADED, change)


def test_the_only_pocket_may_be_taken_off_too() -> None:
    alone = Loaded(replace(CART, pockets=CART.pockets[:1]), LOADED.discs[:2])
    told = what_if(alone, TakenOff("main"))
    assert told.backward_deg == pytest.approx(falls_backward_deg(FRAME, BOTTLE))
