"""What owners write is understood where it means one thing, and refused in a sentence else."""

from __future__ import annotations

import math
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rimwise.errors import InputError
from rimwise.records.assumptions import Assumptions
from rimwise.records.evidence import (
    Comparison,
    ConditionGrade,
    GripGrade,
    HoleScore,
    Knock,
    Putts,
    Quality,
    Round,
    Throw,
    Weather,
)
from rimwise.records.evidence_telling import evidence_words, weather_words
from rimwise.records.evidence_words import (
    ComparisonSaid,
    air_in,
    comparison_in,
    date_in,
    length_in,
    made_tried_in,
)
from rimwise.records.throw_words import ThrowSaid, throw_in
from rimwise.records.thrower import Line, Style
from rimwise.records.weather_words import day_in, weather_in

TODAY = date(2026, 5, 3)
FOOT_M, MILE_M = 0.3048, 1609.344  # exact, international yard and pound agreement, 1959
BH, FH = Style.BACKHAND, Style.FOREHAND

THROWS = {
    "64m 5L bh flat 80%": ThrowSaid(64.0, 5.0, style=BH, hyzer_deg=0.0, effort=0.8),
    "5 left, 64 m": ThrowSaid(64.0, 5.0),
    "64m left by 5": ThrowSaid(64.0, 5.0),
    "210ft 15L": ThrowSaid(210 * FOOT_M, 15 * FOOT_M),
    "64m 15ftR FH hyzer 20": ThrowSaid(64.0, -15 * FOOT_M, style=FH, hyzer_deg=20.0),
    "70yd straight slight anhyzer low": ThrowSaid(64.008, 0.0, hyzer_deg=-7.5, launch_deg=6.0),
    "64,5m 2R 10° anhyzer launch 12": ThrowSaid(64.5, -2.0, hyzer_deg=-10.0, launch_deg=12.0),
    "12m left of the basket with 25 m to go": ThrowSaid(left_m=12, of_basket=True, to_go_m=25),
    "left of the basket by 12m, 25m to go": ThrowSaid(left_m=12, of_basket=True, to_go_m=25),
    "4m past and 3m right": ThrowSaid(left_m=-3.0, short_m=-4.0),
    "10m short of the basket, 30ft R": ThrowSaid(left_m=-30 * FOOT_M, short_m=10.0),
    "64m 5L touch 58 full power": ThrowSaid(64.0, 5.0, first_touch_m=58.0, effort=1.0),
    "64m 5L 50mph 1200rpm": ThrowSaid(
        64.0, 5.0, speed_m_s=50 * MILE_M / 3600, spin_rad_s=1200 * 2 * math.pi / 60
    ),
    "64m 5L in 4C wet": ThrowSaid(64.0, 5.0, weather="4C wet"),
    "80%": ThrowSaid(effort=0.8),
}


@pytest.mark.parametrize(("text", "said"), THROWS.items(), ids=THROWS)
def test_throws_are_understood(text, said):
    found = throw_in(text)
    for name in ThrowSaid.__dataclass_fields__:
        wanted, got = getattr(said, name), getattr(found, name)
        assert got == (pytest.approx(wanted) if isinstance(wanted, float) else wanted), name


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("64 5L", "the distance is 64 without a unit; write 64m or 64ft"),
        ("64m 5", "write the side of each sideways distance, as in 5mL or 5mR"),
        ("64m 10ftR touch 50", "mixes units and 50 has none; write 50m or 50ft"),
        ("64m left 5m", "'64m left 5m' could mean two things"),
        ("5 l 64m", "could mean two things"),
        ("64m 5L 3R", "says the side twice"),
        ("64m 5L bh fh", "says the style twice; keep one"),
        ("64m 5L speed 22", "the release speed is 22 without a unit; .* 22m/s or 50mph"),
        ("64m 5L spin 900", "the spin is 900 without a unit; write it as in 1100rpm"),
        ("9km 5mL", "'9km' is not understood in a throw"),
        ("64m 5L nicely", "'nicely' is not understood"),
        ("64m 5L 25m to go", "both from the tee and from the basket; keep one"),
        ("5mL 25m to go 10m short", "both given; keep one"),
    ],
)
def test_what_is_no_throw_is_said(text, told):
    with pytest.raises(InputError, match=told):
        throw_in(text)


def test_words_mean_what_the_owner_says_they_mean():
    assume = Assumptions(hyzer_word_deg=20.0, low_word_deg=4.0, high_word_deg=20.0)
    for text, hyzer_deg in {"hyzer": 20.0, "slight hyzer": 10.0, "steep anhyzer": -40.0}.items():
        assert throw_in(text, assume).hyzer_deg == hyzer_deg
    assert throw_in("low", assume).launch_deg == 4.0
    assert throw_in("high", assume).launch_deg == 20.0


@given(
    st.floats(0.5, 250).map(lambda m: round(m, 1)),
    st.floats(0.5, 60).map(lambda m: round(m, 1)),
    st.sampled_from("LR"),
    st.sampled_from([("m", 1.0), ("ft", FOOT_M), ("yd", 0.9144)]),
)
def test_the_side_takes_the_unit_of_the_distance(distance, side, way, unit):
    name, factor = unit
    said = throw_in(f"{distance}{name} {side}{way}")
    assert said.distance_m == pytest.approx(distance * factor)
    assert said.left_m == pytest.approx(side * factor * (1 if way == "L" else -1))


@given(st.text(max_size=40))
def test_any_text_is_understood_or_refused_in_a_sentence(text):
    for read in (throw_in, weather_in, day_in, comparison_in, made_tried_in, air_in):
        try:
            read(text)
        except InputError as error:
            assert str(error).endswith((".", "?"))  # noqa: PT017
    try:
        assert date_in(text, TODAY) <= TODAY
    except InputError as error:
        assert str(error).endswith(".")  # noqa: PT017


S, R, G = Quality.STABILITY, Quality.REACH, Quality.GRIP
COMPARISONS = {
    "a > b": ComparisonSaid("a", "b", S, False, False),
    "a >> b": ComparisonSaid("a", "b", S, True, False),
    "a < b": ComparisonSaid("b", "a", S, False, False),
    "a << b reach": ComparisonSaid("b", "a", R, True, False),
    "a = b in grip": ComparisonSaid("a", "b", G, False, True),
    "nh 27 red is slightly more stable than nh 27 blue": ComparisonSaid(
        "nh 27 red", "nh 27 blue", S, False, False
    ),
    "a much less stable than b": ComparisonSaid("b", "a", S, True, False),
    "a is plainly farther than b": ComparisonSaid("a", "b", R, True, False),
    "a a bit shorter than b": ComparisonSaid("b", "a", R, False, False),
    "a grips better than b": ComparisonSaid("a", "b", G, False, False),
    "a is clearly slipperier than b": ComparisonSaid("b", "a", G, True, False),
    "a is about the same as b": ComparisonSaid("a", "b", S, False, True),
    "a about the same reach as b": ComparisonSaid("a", "b", R, False, True),
    "a goes as far as b": ComparisonSaid("a", "b", R, False, True),
    "a turns less than b": ComparisonSaid("a", "b", S, False, False),
    "a turns much more than b.": ComparisonSaid("b", "a", S, True, False),
    "a clearly fades more than b": ComparisonSaid("a", "b", S, True, False),
    "a fades a bit less than b": ComparisonSaid("b", "a", S, False, False),
    "a is less flippy than b": ComparisonSaid("a", "b", S, False, False),
    "a goes a little farther than b": ComparisonSaid("a", "b", R, False, False),
    "a flies much further than b": ComparisonSaid("a", "b", R, True, False),
    "a goes shorter than b": ComparisonSaid("b", "a", R, False, False),
    "a turns as much as b": ComparisonSaid("a", "b", S, False, True),
    "a fades about the same as b": ComparisonSaid("a", "b", S, False, True),
    "the yellow ZQ 9 turns less than the white one": ComparisonSaid(
        "the yellow ZQ 9", "the white one", S, False, False
    ),
}


@pytest.mark.parametrize(("text", "said"), COMPARISONS.items(), ids=COMPARISONS)
def test_comparisons_are_understood(text, said):
    assert comparison_in(text) == said


def test_the_quality_may_be_named_apart():
    assert comparison_in("a > b", "reach").quality is R
    with pytest.raises(InputError, match="speaks of stability, not of reach"):
        comparison_in("a more stable than b", "reach")
    with pytest.raises(InputError, match="in stability, reach or grip, not in 'beauty'"):
        comparison_in("a > b", "beauty")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("a b", "no comparison is found"),
        ("a is nicer than b", "in words: .* turns less than, .*"),
        ("a >", "one is missing"),
        ("a>b", "no"),
    ],
)
def test_what_is_no_comparison_is_said(text, told):
    with pytest.raises(InputError, match=told):
        comparison_in(text)


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2026-05-03", TODAY),
        ("today", TODAY),
        ("yesterday", date(2026, 5, 2)),
        ("3 May", TODAY),
        ("4 May", date(2025, 5, 4)),
        ("May 2nd, 2025", date(2025, 5, 2)),
        ("2025/12/31", date(2025, 12, 31)),
    ],
)
def test_dates_are_understood(text, day):
    assert date_in(text, TODAY) == day


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("2026-05-04", "is in the future; today is 2026-05-03"),
        ("2/3/2026", "write year, month and day, as in 2026-05-03"),
        ("2026-02-30", "there is no date '2026-02-30'"),
        ("1899-01-01", "long ago"),
    ],
)
def test_what_is_no_date_is_said(text, told):
    with pytest.raises(InputError, match=told):
        date_in(text, TODAY)


def test_small_words():
    assert air_in("wet and cold") == "cold-wet"
    assert made_tried_in("13 of 20") == (13, 20)
    assert length_in("30", "length", "ft") == pytest.approx(30 * FOOT_M)
    with pytest.raises(InputError, match="length is 'far'; write a length such as 64m or 210ft"):
        length_in("far", "length")


def test_records_refuse_what_cannot_be():
    line = Line(BH, 0.0, 10.0)
    with pytest.raises(InputError, match=r"distance .* between -50 and 300 m, but is 900 m"):
        Throw(TODAY, "red", line, 900.0, 0.0)
    with pytest.raises(InputError, match="first touch"):
        Throw(TODAY, "red", line, 60.0, 0.0, first_touch_m=-1.0)
    with pytest.raises(InputError, match="release speed"):
        Throw(TODAY, "red", line, 60.0, 0.0, speed_m_s=80.0)
    with pytest.raises(InputError, match="needs two discs, but both are red"):
        Comparison(TODAY, "red", "red")
    with pytest.raises(InputError, match="plainly different and about the same"):
        Comparison(TODAY, "red", "blue", plainly=True, alike=True)
    with pytest.raises(InputError, match=r"between 0 and the 20 tried, but are 21"):
        Putts(TODAY, 6.0, 20, 21)
    with pytest.raises(InputError, match="hole 1 twice"):
        Round(TODAY, "heath", (HoleScore("1", 3), HoleScore("1", 4)))


def test_evidence_is_said_back_in_the_owners_units():
    line = Line(FH, -8.0, 10.0, 0.8)
    throw = Throw(TODAY, "red", line, 64.0, -5.0, "", 58.0, weather=Weather(4.0, 5.0, 270.0, True))
    assert evidence_words(throw) == (
        "red 64 m, 5 m right; forehand, 8° anhyzer, launched at 10°, 80 % effort; "
        "first touch at 58 m; in 4 °C, wet, wind 5 m/s from the left"
    )
    assert evidence_words(throw, "ft").startswith("red 210 ft, 16 ft right")
    told = {
        Comparison(TODAY, "a", "b", Quality.REACH, True): "a plainly farther than b",
        Comparison(TODAY, "a", "b", alike=True): "a about as stable as b",
        GripGrade(TODAY, "a", "cold-wet", 2.0): "a grips 2 of 5 (poor) in cold-wet air",
        ConditionGrade(TODAY, "a", 0.4): "a 40 % worn",
        Knock(TODAY, "a", "a gate", note="ouch"): "a: a gate, hit hard; ouch",
        Putts(TODAY, 6.5, 20, 13): "putts from 6.5 m: 13 of 20 made",
        Round(TODAY, "heath", (HoleScore("1", 3), HoleScore("2", 4))): (
            "heath: 2 holes in 7 strokes"
        ),
    }
    assert {record: evidence_words(record) for record in told} == told
    assert weather_words(Weather()) == ""
