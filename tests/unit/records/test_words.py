"""Every number as it is said."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rimwise.errors import InputError
from rimwise.records import words


@pytest.mark.parametrize(
    ("value", "decimals", "said"),
    [(0.0, 0, "0"), (-0.001, 2, "0.00"), (-1.25, 1, "−1.2"), (12.6, 0, "13"), (0.04, 2, "0.04")],
)
def test_numbers_have_a_true_minus_and_no_minus_zero(
    value: float, decimals: int, said: str
) -> None:
    assert words.number(value, decimals) == said


@given(st.floats(-1e6, 1e6), st.integers(0, 3))
def test_a_number_reads_back_within_half_its_last_digit(value: float, decimals: int) -> None:
    back = float(words.number(value, decimals).replace("−", "-"))
    assert abs(back - value) <= 0.5 * 10.0**-decimals * (1 + 1e-9) + 1e-9


def test_a_number_that_is_none_is_refused() -> None:
    with pytest.raises(InputError, match="finite"):
        words.number(math.nan)


def test_areas_have_three_figures() -> None:
    """A square foot is 0.09290304 m² (NIST SP 811, B.8)."""
    assert words.surface(27_717.0, "m") == "27,700 m²"
    assert words.surface(9.290304, "ft") == "100 ft²"
    assert words.surface(18.4, "m") == "18 m²"


def test_left_and_right_come_from_the_sign() -> None:
    assert words.sideways(4.2) == "4 m left"
    assert words.sideways(-3.0) == "3 m right"
    assert words.sideways(-0.3) == "straight"
    assert words.sideways(3.048, "ft") == "10 ft left"
    assert words.short_side(-3.0) == "3 right"
    assert words.short_side(0.1) == "0"
    assert words.sideways_give_or_take(4.0, 6.2) == "4 m left, give or take 6"
    assert words.sideways_give_or_take(0.0, 6.2) == "straight, give or take 6"


def test_strokes_and_chances() -> None:
    assert words.strokes(0.041, 0.02) == "0.04 strokes, give or take 0.02"
    assert words.strokes(3.1) == "3.10 strokes"
    assert words.of_rounds(0.3) == "30 of 100 rounds"
    assert words.of_rounds(1.0) == ""
    assert words.chance(0.0) == "none of 100"
    assert words.chance(0.001) == "fewer than 1 of 100"
    assert words.chance(0.034) == "3 of 100"
    assert words.chance(1.0) == "100 of 100"
    with pytest.raises(InputError):
        words.chance(1.2)


def test_lists_read_as_sentences() -> None:
    assert words.joined([]) == ""
    assert words.joined(["a"]) == "a"
    assert words.joined(["a", "b"]) == "a and b"
    assert words.joined(["a", "b", "c"], "or") == "a, b or c"
    assert words.plural(1, "disc") == "1 disc"
    assert words.plural(20, "disc") == "20 discs"


def test_units_are_metres_or_feet() -> None:
    assert words.check_units("ft") == "ft"
    assert words.check_units("m") == "m"
    with pytest.raises(InputError, match="'m' or 'ft'"):
        words.check_units("yd")


def test_wind_is_said_from_where_the_thrower_stands() -> None:
    assert words.wind_words(8.0, 270.0) == "fresh breeze 8 m/s from the left"
    assert words.wind_words(8.0, None, "ft") == "fresh breeze 18 mph"
    assert words.wind_words(0.1, 90.0) == "calm"
    assert words.wind_direction(-30.0) == words.wind_direction(330.0) == "from ahead and the left"
    assert words.wind_direction(350.0) == "from straight ahead"
    assert words.wind_direction(180.0) == "from straight behind"


@given(st.floats(-720, 720))
def test_mirrored_wind_swaps_left_and_right(from_deg: float) -> None:
    # A wind halfway between two words may fall either way.
    if abs((from_deg / 45.0) % 1.0 - 0.5) < 1e-6:
        return
    swapped = words.wind_direction(-from_deg)
    here = words.wind_direction(from_deg)
    assert here == (
        swapped.replace("left", "?").replace("right", "left").replace("?", "right")
        if "straight" not in swapped
        else swapped
    )


def test_printed_numbers_and_dates() -> None:
    assert words.printed_numbers((7, 5, -1, 2)) == "7 / 5 / −1 / 2"
    assert words.printed_numbers((7.0, 4.5, -1.25, 2.0), 1) == "7.0 / 4.5 / −1.2 / 2.0"
    assert words.own_numbers((6.9, 4.6, -1.3, 2.2)) == "7 / 4.5 / −1.5 / 2"
    assert words.date_words("2026-06-07") == "7 June 2026"
    assert words.date_words("this spring") == "this spring"
