"""A disc is found by what people call it, and close names are offered when it is not."""

from __future__ import annotations

import pytest

from rimwise.errors import NotFoundError
from rimwise.records.discs import Disc, Weight
from rimwise.records.naming import closest, disc_among

DISCS = [
    Disc("nh27-red", "NH 27", "soft base", Weight(172.0), colour="red", mark="two dots"),
    Disc("nh27-blue", "NH 27", "soft base", Weight(172.0), colour="blue"),
    Disc("ol5", "OL 5", "base", Weight(172.0)),
]


@pytest.mark.parametrize("name", ["nh27-red", "NH27-RED", "NH 27 red", "two dots", "red, soft"])
def test_a_part_that_fits_one_disc_is_enough(name):
    assert disc_among(DISCS, name).id == "nh27-red"


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("nh27", "'nh27' fits 2 discs: nh27-red, nh27-blue; use one of these names"),
        ("nh27-rde", "did you mean nh27-red"),
        ("NH 27 bleu", "did you mean nh27-blue"),
        ("zzzz", "no disc fits 'zzzz'; `rimwise discs` lists them"),
        ("", "no disc fits ''"),
    ],
)
def test_what_fits_none_or_several_is_said(name, told):
    with pytest.raises(NotFoundError, match=told):
        disc_among(DISCS, name)


def test_the_closest_names_come_first():
    assert closest(["calm frost", "rain", "frosty"], "calm forst") == ["calm frost", "frosty"]
    assert closest([], "x") == []
