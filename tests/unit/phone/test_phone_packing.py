"""Packed answers are read back as they were, to the steps that are promised."""

from __future__ import annotations

import base64
import math
from dataclasses import fields, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from phone_examples import throw
from rimwise.pictures.phone_packing import pack, rounded, unpack
from rimwise.pictures.phone_scene import PhoneAnswer, PhoneThrow

#: How far a number read back may be from what was packed.
WITHIN = {
    "effort": 0.005, "rise_m": 0.1, "turn_rad": 5e-5, "short_m": 0.05, "short_half_m": 0.125,
    "left_m": 0.05, "left_half_m": 0.125, "strokes": 0.005, "strokes_se": 0.005,
    # A chance below the smallest step is told as that step.
    "putt_next": 0.004, "water": 0.004, "trees": 0.004, "penalty": 0.004, "gone": 0.004,
}  # fmt: skip

chances = st.floats(0.0, 1.0)
places = st.tuples(st.floats(-300.0, 300.0), st.floats(-300.0, 300.0))
throws = st.builds(
    PhoneThrow,
    disc=st.integers(0, 255), base=st.integers(0, 255), effort=st.floats(0.3, 1.1),
    rise_m=st.floats(0.0, 40.0), turn_rad=st.floats(-math.pi, math.pi), end_m=places,
    bends_m=st.tuples(*[st.floats(-30.0, 30.0)] * 4), centre_m=places, dots_m=st.just(()),
    short_m=st.floats(-200.0, 300.0), short_half_m=st.floats(0.0, 60.0),
    left_m=st.floats(-200.0, 200.0), left_half_m=st.floats(0.0, 60.0), putt_next=chances,
    penalty=chances, water=chances, trees=chances, gone=chances, strokes=st.floats(1.0, 15.0),
    strokes_se=st.floats(0.0, 2.0), better=st.none(), better_se=st.none(),
)  # fmt: skip


@given(throws)
def test_a_throw_is_read_back_to_within_its_steps(one: PhoneThrow) -> None:
    back = rounded(one)
    assert (back.disc, back.base) == (one.disc, one.base)
    for name, within in WITHIN.items():
        assert getattr(back, name) == pytest.approx(getattr(one, name), abs=within + 1e-9), name
    for axis in (0, 1):
        assert back.end_m[axis] == pytest.approx(one.end_m[axis], abs=0.051)
        assert back.centre_m[axis] == pytest.approx(one.centre_m[axis], abs=0.051)
    assert back.bends_m == pytest.approx(one.bends_m, abs=0.126)


@given(throws)
def test_rounding_again_changes_nothing(one: PhoneThrow) -> None:
    assert rounded(rounded(one)) == rounded(one)


def test_a_small_chance_is_never_told_as_none() -> None:
    back = rounded(throw(0, 0, gone=1e-5, penalty=0.0))
    assert back.gone > 0.0
    assert back.penalty == 0.0


def test_a_landing_far_off_is_put_at_the_edge_of_what_is_kept() -> None:
    back = rounded(throw(0, 0, centre_m=(60.0, 0.0), dots_m=((60.0, 2.0), (400.0, -90.0))))
    assert back.dots_m == ((60.0, 2.0), (123.5, -63.5))


def test_a_next_choice_is_told_apart_from_none() -> None:
    last = rounded(throw(0, 0, better=None, better_se=None))
    assert (last.better, last.better_se) == (None, None)
    other = rounded(throw(0, 0, better=-0.02, better_se=0.013))
    assert (other.better, other.better_se) == (-0.02, 0.01)


def test_answers_come_back_by_wind_and_lie() -> None:
    answers = tuple(
        tuple(
            PhoneAnswer(
                (None, 0.0, 0.4)[lie], tuple(throw(k, wind) for k in range((lie + wind) % 4))
            )
            for lie in range(3)
        )
        for wind in range(5)
    )  # fmt: skip
    assert unpack(pack(answers), 3) == answers


def test_packed_answers_take_little_room() -> None:
    """36 bytes and two for each landing, and two bytes a lie."""
    one = throw(0, 0)
    text = pack(((PhoneAnswer(None, (one, one)),),))
    assert len(base64.b64decode(text)) == 2 + 2 * (36 + 2 * len(one.dots_m))


def test_every_field_is_packed() -> None:
    """A field added to a throw and forgotten in packing would come back as it was made up here."""
    one = throw(0, 3)
    for item in fields(PhoneThrow):
        value = getattr(one, item.name)
        if isinstance(value, float):
            other = rounded(replace(one, **{item.name: value + 0.3}))
            assert getattr(other, item.name) == pytest.approx(value + 0.3, abs=0.13)
            assert getattr(other, item.name) != value, item.name
