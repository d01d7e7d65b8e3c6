"""A month's kinds of day have the month's own means, and few days stand for many."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rimwise.errors import InputError
from rimwise.records.climate import (
    COMPASS,
    ClimateMonth,
    days_of_month,
    months_in_words,
    representative,
)
from rimwise.records.conditions import Cover, Ground

ROSE = tuple(float(k % 5 + 1) for k in range(16))
NOVEMBER = ClimateMonth(11, 7.0, 1005.0, 0.8, 5.5, ROSE, 0.05, 0.4, 3.0, None, Ground.FIRM)

months = st.builds(
    ClimateMonth,
    month=st.integers(1, 12),
    temperature_c=st.floats(-20.0, 35.0),
    pressure_hpa=st.just(1000.0),
    relative_humidity=st.just(0.7),
    wind_speed_m_s=st.floats(0.5, 12.0),
    rose=st.lists(st.floats(0.0, 30.0), min_size=16, max_size=16)
    .map(lambda shares: (shares[0] + 0.1, *shares[1:]))
    .map(tuple),
    calm=st.floats(0.0, 0.5),
    wet=st.floats(0.0, 1.0),
    temperature_sd_c=st.sampled_from([0.0, 2.5]),
)


@settings(max_examples=60, deadline=None)
@given(months)
def test_the_means_over_all_kinds_of_day_are_the_months_own(month):
    days = days_of_month(month)
    total = sum(day.weight for day in days)

    def mean(value):
        return sum(day.weight * value(day) for day in days) / total

    assert total == pytest.approx((31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)[
        month.month - 1
    ])  # fmt: skip
    assert mean(lambda d: d.temperature_c) == pytest.approx(month.temperature_c)
    assert mean(lambda d: d.wind_speed_m_s) == pytest.approx(month.wind_speed_m_s)
    assert mean(lambda d: d.wet) == pytest.approx(month.wet)
    assert mean(lambda d: d.wind_speed_m_s == 0.0) == pytest.approx(month.calm)
    blowing = [day for day in days if day.wind_speed_m_s > 0.0]
    for point in range(16):
        of_point = sum(d.weight for d in blowing if d.wind_from_deg == 22.5 * point)
        expected = month.rose[point] / sum(month.rose) * (1.0 - month.calm)
        assert of_point / total == pytest.approx(expected, abs=1e-12)


@settings(max_examples=40, deadline=None)
@given(months, st.integers(1, 30), st.integers(0, 1000))
def test_few_days_meet_each_share_of_a_month_to_within_one_day(month, count, seed):
    days = representative([month], count, seed)
    assert sum(day.weight for day in days) == pytest.approx(1.0)
    wet = sum(day.weight for day in days if day.wet) * count
    assert abs(wet - count * month.wet) < 1.0 + 1e-6
    calm = sum(day.weight for day in days if day.wind_speed_m_s == 0.0) * count
    assert abs(calm - count * month.calm) < 1.0 + 1e-6


def test_the_same_seed_takes_the_same_days_and_another_takes_others():
    one, again, other = (representative([NOVEMBER], 8, seed) for seed in (1, 1, 2))
    assert one == again
    assert one != other


def test_over_many_seeds_the_sample_has_the_means_of_all():
    """Within 4 standard errors of 120 samples of 6 days, each mean computed from the sample."""
    samples = [representative([NOVEMBER], 6, seed) for seed in range(120)]
    for value, expected in (
        (lambda d: d.wind_speed_m_s, NOVEMBER.wind_speed_m_s),
        (lambda d: d.temperature_c, NOVEMBER.temperature_c),
        (lambda d: float(d.wet), NOVEMBER.wet),
        (
            lambda d: float(d.wind_from_deg == 90.0 and d.wind_speed_m_s > 0.0),
            ROSE[4] / sum(ROSE) * 0.95,
        ),
    ):
        means = [sum(d.weight * value(d) for d in days) for days in samples]
        middle = sum(means) / len(means)
        spread = math.sqrt(sum((m - middle) ** 2 for m in means) / (len(means) - 1))
        assert abs(middle - expected) <= 4.0 * spread / math.sqrt(len(means)) + 1e-9


def test_months_count_by_their_rounds():
    months = [replace(NOVEMBER, rounds=3.0), replace(NOVEMBER, month=12, rounds=1.0)]
    days = representative(months, 12)
    assert sum(d.weight for d in days if d.name.startswith("Nov")) == pytest.approx(0.75)
    with pytest.raises(InputError, match="no month has rounds"):
        representative([replace(NOVEMBER, rounds=0.0)], 3)
    with pytest.raises(InputError, match="number of days"):
        representative([NOVEMBER], 0)


def test_frost_freezes_the_ground_and_rain_wets_it():
    cold = replace(NOVEMBER, temperature_c=-5.0, temperature_sd_c=0.0, cover=Cover.SNOW, dusk=True)
    assert {day.ground for day in days_of_month(cold)} == {Ground.FROZEN}
    assert {(day.cover, day.dusk) for day in days_of_month(cold)} == {(Cover.SNOW, True)}
    mild = replace(NOVEMBER, temperature_sd_c=0.0)
    assert {(day.wet, day.ground) for day in days_of_month(mild)} == {
        (False, Ground.FIRM),
        (True, Ground.WET),
    }


def test_still_air_is_one_kind_of_wind():
    still = replace(NOVEMBER, wind_speed_m_s=0.0, rose=(0.0,) * 16, wet=0.0, temperature_sd_c=0.0)
    (day,) = days_of_month(still)
    assert (day.wind_speed_m_s, day.name) == (0.0, "Nov 7 °C dry calm")


@pytest.mark.parametrize(
    ("change", "hint"),
    [
        ({"month": 13}, "month"),
        ({"rose": (1.0,) * 8}, "needs 16 shares, but has 8"),
        ({"rose": (0.0,) * 16}, "no share above 0"),
        ({"rose": (-1.0, *(1.0,) * 15)}, "wind rose share of November"),
        ({"wet": 1.5}, "wet share of November"),
        ({"wind_speed_m_s": 60.0}, "wind speed of November"),
    ],
)
def test_a_month_that_cannot_be_is_refused(change, hint):
    with pytest.raises(InputError, match=hint):
        replace(NOVEMBER, **change)


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        ("Nov-Feb", (11, 12, 1, 2)),
        ("November to February", (11, 12, 1, 2)),
        ("june, July and 8", (6, 7, 8)),
        ("12–1", (12, 1)),
        ("Mar - May", (3, 4, 5)),
        ("all", tuple(range(1, 13))),
        ("Sept", (9,)),
        ("May-May", (5,)),
    ],
)
def test_months_in_words(text, numbers):
    assert months_in_words(text) == numbers


@pytest.mark.parametrize("text", ["ju", "13", "0", "Nov-Dec-Jan", "winter", "Nov-"])
def test_what_is_no_month_is_refused(text):
    with pytest.raises(InputError, match="is no month; write months such as Nov-Feb"):
        months_in_words(text)


@given(st.text(max_size=30))
def test_any_text_is_months_or_refused(text):
    try:
        found = months_in_words(text)
    except InputError:
        return
    assert set(found) <= set(range(1, 13))


def test_the_compass_goes_round():
    assert len(set(COMPASS)) == 16
    assert (COMPASS[0], COMPASS[4], COMPASS[10]) == ("N", "E", "SW")
