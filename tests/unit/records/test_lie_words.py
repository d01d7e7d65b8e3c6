"""Lies as players say them."""

from __future__ import annotations

import pytest

from rimwise.errors import InputError
from rimwise.records.lie_words import AlongAside, OnMap, lie_in


@pytest.mark.parametrize(
    ("text", "along_m", "left_m"),
    [
        ("60m 5L", 60.0, 5.0),
        (" 60 m, 5 m right ", 60.0, -5.0),
        ("200ft 15R", 60.96, -4.572),
        ("60", 60.0, 0.0),
        ("-4m", -4.0, 0.0),
        ("60,5m 3l", 60.5, 3.0),
        ("70yd", 64.008, 0.0),
        ("tee", 0.0, 0.0),
    ],
)
def test_along_and_aside(text: str, along_m: float, left_m: float) -> None:
    found = lie_in(text, "m")
    assert isinstance(found, AlongAside)
    assert (found.along_m, found.left_m) == pytest.approx((along_m, left_m))


def test_bare_numbers_are_in_the_owners_units() -> None:
    assert lie_in("200 15 left", "ft") == AlongAside(200 * 0.3048, pytest.approx(15 * 0.3048))


@pytest.mark.parametrize("text", ["54.12345, -2.34567", "54.12345 −2.34567"])
def test_latitude_and_longitude(text: str) -> None:
    assert lie_in(text, "m") == OnMap(54.12345, -2.34567)


@pytest.mark.parametrize("text", ["", "behind the oak", "60m 5", "5L", "60kg"])
def test_what_is_no_place_is_refused_with_how_to_say_it(text: str) -> None:
    with pytest.raises(InputError, match="60m 5L"):
        lie_in(text, "m")
