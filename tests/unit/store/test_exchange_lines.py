"""Discs from plain lines, as one would write them to a friend."""

from __future__ import annotations

import dataclasses

import pytest
import store_examples as ex

from rimwise.flight.printed import Printed
from rimwise.records.discs import Disc, Mold, Status, Weight, WeightRelativeTo
from rimwise.store.exchange.discs import read_discs
from rimwise.store.exchange.known import Known

KNOWN = Known.of([ex.MOLD], [ex.PLASTIC])


def sentences(read):
    return [str(problem) for problem in read.problems]


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        (
            "blue NH 27, soft base, 170ish, old",
            Disc("nh27-blue", "NH 27", "soft base", Weight(170, 3), colour="blue", wear=0.7),
        ),
        (
            "- nh27 dark red; 6 oz; Soft Base; in the car; rolls a lot; flat top",
            Disc(
                "nh27-dark-red",
                "NH 27",
                "soft base",
                Weight(6 * 28.349523125),
                colour="dark red",
                status=Status.CAR,
                note="rolls a lot, flat top",
            ),
        ),
        (
            "2. Nh-27, 30%, 5 g lighter than nh27-red, tin",
            Disc("nh27", "NH 27", "tin", WeightRelativeTo("nh27-red", -5.0), wear=0.3),
        ),
    ],
)
def test_plain_lines(line, expected):
    known = Known.of([ex.MOLD], [ex.PLASTIC], [ex.RED])
    read = read_discs(f"# my discs\n\n{line}\n", "pasted", known)
    assert sentences(read) == []
    assert read.discs == (expected,)


@pytest.mark.parametrize(
    ("line", "mold", "colour"),
    [
        ("blue Toad 7/5/-2/1, tin, 170", Mold("Toad", Printed(7, 5, -2, 1)), "blue"),
        ("Toad, 7/5/-2/1, tin, 170", Mold("Toad", Printed(7, 5, -2, 1)), ""),
        ("tin Toad; tin; 170; 4 | 4 | -0,5 | 1.5", Mold("tin Toad", Printed(4, 4, -0.5, 1.5)), ""),
        ("Toad dark blue-green 7 5 −2 +1, tin, 170", Mold("Toad", Printed(7, 5, -2, 1)),
         "dark blue-green"),
        ("red and white OL 340 (9/5/-1/2), tin, 170", Mold("OL 340", Printed(9, 5, -1, 2)),
         "red and white"),
        ("OL 340 9 5 -1 2; tin; 170", Mold("OL 340", Printed(9, 5, -1, 2)), ""),
        ("my white putter CD 3 2/3/0/1, tin, 170", Mold("CD 3", Printed(2, 3, 0, 1)), "white"),
        ("yellow Mid 5 4 -1 1, tin, 170", Mold("Mid", Printed(5, 4, -1, 1)), "yellow"),
        ("NH 27 Pro 8/5/-2/1, tin, 170", Mold("NH 27 Pro", Printed(8, 5, -2, 1)), ""),
    ],
)  # fmt: skip
def test_a_plain_line_may_bring_its_mold(line, mold, colour):
    read = read_discs(line, "pasted", KNOWN)
    assert sentences(read) == []
    assert read.molds == (mold,)
    assert [(disc.mold, disc.colour) for disc in read.discs] == [(mold.name, colour)]


def test_one_line_with_numbers_is_enough_wherever_it_stands():
    lines = "red Toad, tin, 170\nblue Toad 7/5/-2/1, tin, 172\ntoad moss; tin; 168"
    read = read_discs(lines, "pasted")
    assert sentences(read) == []
    assert read.molds == (Mold("Toad", Printed(7, 5, -2, 1)),)
    assert [(disc.id, disc.weight.grams) for disc in read.discs] == [
        ("toad-red", 170.0), ("toad-blue", 172.0), ("toad-moss", 168.0)
    ]  # fmt: skip


def test_what_a_disc_is_goes_into_the_note():
    read = read_discs("the blue NH 27 fairway driver, soft base, 170, rolls", "pasted", KNOWN)
    assert sentences(read) == []
    ((disc),) = read.discs
    assert (disc.mold, disc.colour, disc.note) == ("NH 27", "blue", "fairway driver, rolls")


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        (
            "yellow ZQ 9 driver, worn, 172, premium; it says 9 5 -1 2 on it",
            ("ZQ 9", (9, 5, -1, 2), "premium", Weight(172.0), "yellow", 0.6, "driver"),
        ),
        (
            "blue MM 5 midrange 5/4/-1/1 base 178",
            ("MM 5", (5, 4, -1, 1), "base", Weight(178.0), "blue", 0.0, "midrange"),
        ),
        (
            "putter white PX 2, 2/3/0/1, soft base 174",
            ("PX 2", (2, 3, 0, 1), "soft base", Weight(174.0), "white", 0.0, "putter"),
        ),
        (
            "green FT 7 7/5/-2/1 base 170 or so",
            ("FT 7", (7, 5, -2, 1), "base", Weight(170.0, 3.0), "green", 0.0, ""),
        ),
        (
            "red HD 12 12/5/-1/3 173 g premium",
            ("HD 12", (12, 5, -1, 3), "premium", Weight(173.0), "red", 0.0, ""),
        ),
        (
            "AB 12,9,5,-1,2,soft base,172,blue",
            ("AB 12", (9, 5, -1, 2), "soft base", Weight(172.0), "blue", 0.0, ""),
        ),
    ],
)
def test_a_notebook_is_read_with_and_without_commas(line, expected):
    read = read_discs(line, "pasted")
    assert sentences(read) == []
    ((disc),) = read.discs
    printed = Printed(*expected[1])
    assert read.molds == (Mold(expected[0], printed),)
    found = (disc.mold, printed, disc.plastic, disc.weight, disc.colour, disc.wear, disc.note)
    assert found == (expected[0], printed, *expected[2:])


def test_without_commas_a_mold_on_file_is_enough():
    read = read_discs("grey NH 27 soft base 174\nNH 27 dark red tin about 170", "pasted", KNOWN)
    assert sentences(read) == []
    assert [(one.colour, one.plastic, one.weight) for one in read.discs] == [
        ("grey", "soft base", Weight(174.0)), ("dark red", "tin", Weight(170.0, 3.0))
    ]  # fmt: skip


def test_words_beside_a_mold_on_file_make_no_new_one():
    read = read_discs("old faithful NH 27 7/5/-2/1, soft base, 170", "pasted", KNOWN)
    assert (read.molds, [disc.mold for disc in read.discs]) == ((), ["NH 27"])


def test_the_longest_mold_wins_and_a_part_of_a_word_is_no_mold():
    molds = [ex.MOLD, dataclasses.replace(ex.MOLD, name="NH 270")]
    known = Known.of(molds, [ex.PLASTIC])
    read = read_discs(
        "NH 270, soft base, 170\nNH 27, soft base, 170\nNH 2701, soft base, 170", "p", known
    )
    assert [disc.mold for disc in read.discs] == ["NH 270", "NH 27"]
    assert [problem.line for problem in read.problems] == [3]


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        (
            "blue OL 9, soft base, 170",
            (
                "pasted, line 1: no mold on file is named in 'blue OL 9'; "
                "a mold needs its four printed numbers (speed/glide/turn/fade) in one line, "
                "as in 'blue NH 27 7/5/-1/2, soft base, 170ish, old'."
            ),
        ),
        (
            "NH 27, 170",
            (
                "pasted, line 1: the plastic is missing in 'NH 27, 170'; "
                "write a line such as 'blue NH 27, soft base, 170ish, old'."
            ),
        ),
        (";", "pasted, line 1: no mold on file is named in ';'"),
        ("blue 7/5/-1/2, soft base, 170", "pasted, line 1: no mold is named in 'blue'; a mold"),
        ("Toad 17/5/-1/2, soft base, 170", "pasted, line 1: speed is 17; printed speeds go from"),
        (
            "Toad 7/5/-1, soft base, 170",
            "pasted, line 1: no mold on file is named in 'Toad 7/5/-1'",
        ),
        ("NH 27 8/5/-2/1, tin, 170", "pasted, line 1: mold NH 27 is 8/5/-2/1 here, but 7/5/-2/1"),
        ("NH 27, soft base, 900", "pasted, line 1: weight is 900 g; a disc weighs 60 to 200 g"),
        ("NH 27, soft base, 6.2", "pasted, line 1: weight is 6.2 g; that looks like ounces"),
    ],
)
def test_bad_plain_lines(line, sentence):
    read = read_discs(line, "pasted", KNOWN)
    assert read.discs == ()
    assert len(read.problems) == 1
    assert sentences(read)[0].startswith(sentence)
