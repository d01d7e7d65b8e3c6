"""A disc is found by what people call it, and close names are offered when it is not."""

from __future__ import annotations

import pytest

from rimwise.errors import InputError, NotFoundError
from rimwise.records.discs import Disc, Weight
from rimwise.records.naming import closest, disc_among, pair_among

DISCS = [
    Disc("nh27-red", "NH 27", "soft base", Weight(172.0), colour="red", mark="two dots"),
    Disc("nh27-blue", "NH 27", "soft base", Weight(172.0), colour="blue"),
    Disc("ol5", "OL 5", "base", Weight(172.0)),
]


@pytest.mark.parametrize("name", ["nh27-red", "NH27-RED", "NH 27 red", "two dots", "red, soft",
                                  "the red NH 27", "my nh27-red"])  # fmt: skip
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


MORE = [
    *DISCS,
    Disc("nh27-white", "NH 27", "base", Weight(172.0), colour="white"),
    Disc("ol5-white", "OL 5", "base", Weight(172.0), colour="white"),
    Disc("zq9-yellow", "ZQ 9", "base", Weight(172.0), colour="yellow"),
]


@pytest.mark.parametrize(
    ("first", "second", "ids"),
    [
        ("the red NH 27", "the white one", ("nh27-red", "nh27-white")),
        ("the white one", "the blue NH 27", ("nh27-white", "nh27-blue")),
        ("ol5-white", "the other one", ("ol5-white", "ol5")),
        ("nh27-red", "nh27-blue", ("nh27-red", "nh27-blue")),
    ],
)
def test_a_pair_may_name_its_mold_once(first, second, ids):
    assert tuple(disc.id for disc in pair_among(MORE, first, second)) == ids


def test_a_disc_whose_own_name_ends_in_one_is_itself():
    named = Disc("number one", "OL 5", "base", Weight(172.0))
    assert pair_among([*MORE, named], "nh27-red", "number one")[1] is named


@pytest.mark.parametrize(
    ("first", "second", "told"),
    [
        ("the white one", "the red one", "neither 'the white one' nor 'the red one' names a mold"),
        ("nh27-red", "the pink one", "of NH 27 there is nh27-blue, nh27-white"),
        ("nh27-red", "the other one", "of NH 27 there is nh27-blue, nh27-white"),
        ("zq9-yellow", "the white one", "zq9-yellow is your only ZQ 9; name the other disc"),
        ("nh27", "the white one", "'nh27' fits 3 discs"),
    ],
)
def test_what_is_no_pair_is_said(first, second, told):
    with pytest.raises((InputError, NotFoundError), match=told):
        pair_among(MORE, first, second)
