"""Days as factors: grip by temperature and rain, gusts, and the pairing of two seasons."""

from __future__ import annotations

import math
from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_worlds import ASSUME, CALM, THROWER, windy

from rimwise.decide.days import FACTORS, GUST_PEAK_FACTOR, couple_days, day_of, days_of
from rimwise.flight.metar import parse_metar
from rimwise.records.conditions import Conditions, Ground, ScenarioDay

MILD = ScenarioDay("mild", 1.0, 18.0, 1013.25, 0.6, 4.0, 230.0)
temperatures = st.floats(-40.0, 50.0)


def grip_of(temperature_c: float, wet: bool) -> np.ndarray:
    day = replace(MILD, temperature_c=temperature_c, wet=wet)
    return np.array(day_of(day, 1.0, THROWER, ASSUME).grip)


@given(temperatures, st.booleans(), st.floats(0.0, 20.0), st.floats(20.0, 40.0))
def test_what_the_hand_feels_sums_to_one(
    temperature_c: float, wet: bool, cold_below_c: float, hot_above_c: float
) -> None:
    assume = replace(ASSUME, cold_below_c=cold_below_c, hot_above_c=hot_above_c)
    day = replace(MILD, temperature_c=temperature_c, wet=wet)
    grip = np.array(day_of(day, 1.0, THROWER, assume).grip)
    assert grip.sum() == pytest.approx(1.0)
    assert np.all(grip >= -1e-12)


@given(temperatures.filter(lambda t: t < 49.9), st.booleans())
def test_no_degree_is_a_cliff(temperature_c: float, wet: bool) -> None:
    step = np.abs(grip_of(temperature_c + 0.1, wet) - grip_of(temperature_c, wet))
    assert step.max() <= 0.1 / 8.0 + 1e-9


def test_the_four_kinds_of_air() -> None:
    assert grip_of(0.0, False).tolist() == [1.0, 0.0, 0.0, 0.0]
    assert grip_of(0.0, True).tolist() == [0.0, 1.0, 0.0, 0.0]
    assert grip_of(19.0, False).tolist() == [0.0, 0.0, 1.0, 0.0]
    assert grip_of(19.0, True).tolist() == [0.0, 1.0, 0.0, 0.0]
    assert grip_of(35.0, False).tolist() == [0.0, 0.0, 0.0, 1.0]
    assert grip_of(ASSUME.cold_below_c, False).tolist() == [0.5, 0.0, 0.5, 0.0]


def test_grades_are_blended() -> None:
    day = replace(CALM, grip=(0.25, 0.0, 0.75, 0.0))
    grades = np.array([[1.0, 5.0, 5.0, 5.0], [4.0, 1.0, 2.0, 1.0]])
    assert day.grip_grades(grades) == pytest.approx([4.0, 2.5])


def test_a_reported_day_becomes_factors() -> None:
    """A weather report in the ordinary form: 8 m/s from 220°, gusts 13, 3 °C, rain."""
    report = parse_metar("METAR EHAM 251025Z 22016G25KT 9999 RA OVC020 03/02 Q1002")
    assert report.wind_speed_m_s is not None
    assert report.temperature_c is not None
    recorded = ScenarioDay(
        "report",
        2.0,
        report.temperature_c,
        1002.0,
        0.93,
        report.wind_speed_m_s,
        report.wind_from_deg or 0.0,
        report.gust_m_s,
        wet=True,
        ground=Ground.WET,
        water_recovery=0.1,
    )
    assume = replace(ASSUME, shelter_factor=0.5)
    day = day_of(recorded, 0.4, THROWER, assume)
    assert day.share == 0.4
    assert day.grip == (0.0, 1.0, 0.0, 0.0)
    assert day.arm == pytest.approx(1.0 - 0.004 * 15.0)
    knot_m_s = 1852.0 / 3600.0
    assert day.wind.speed_m_s == pytest.approx(0.5 * 16.0 * knot_m_s)
    assert day.wind.from_deg == 220.0
    assert day.wind.sd_m_s == pytest.approx(0.5 * 9.0 * knot_m_s / GUST_PEAK_FACTOR)
    assert (day.ground, day.water_recovery) == ("wet", 0.1)
    assert day.air_density_kg_m3 == pytest.approx(1.263, abs=0.004)  # p/(R·T), nearly dry


def test_without_gusts_the_spread_is_the_turbulence_over_open_ground() -> None:
    """EN 1991-1-4, 4.4: intensity 1/ln(z/z0), 17 % at 10 m over z0 = 0.03 m."""
    wind = day_of(MILD, 1.0, THROWER, ASSUME).wind
    assert wind.sd_m_s == pytest.approx(4.0 / math.log(10.0 / 0.03))
    assert wind.strongest_m_s == pytest.approx(wind.speed_m_s + wind.sd_m_s * 2.0 / 3.0)


def test_days_that_are_never_played_are_left_out() -> None:
    days = (MILD, replace(MILD, name="never", weight=0.0), replace(MILD, name="gale", weight=3.0))
    found = days_of(Conditions("c", days), THROWER, ASSUME)
    assert [(day.name, day.share) for day in found] == [("mild", 0.25), ("gale", 0.75)]


@pytest.mark.parametrize("factor", FACTORS)
def test_one_factor_changes_and_nothing_else(factor: str) -> None:
    other = replace(
        windy(9.0, 90.0, "other", 0.3),
        grip=(1.0, 0.0, 0.0, 0.0),
        arm=0.9,
        air_density_kg_m3=1.3,
        ground="frozen",
        water_recovery=0.0,
        cover="snow",
        dusk=True,
    )
    changing = {
        "air": {"air_density_kg_m3"},
        "water": {"water_recovery"},
        "ground": {"ground", "cover", "dusk"},
    }.get(factor, {factor})
    mixed = CALM.with_factor(factor, other)
    for item in fields(mixed):
        source = other if item.name in changing else CALM
        assert getattr(mixed, item.name) == getattr(source, item.name)
    assert mixed != CALM


def test_all_factors_together_are_the_other_day() -> None:
    other = replace(windy(9.0, 90.0), arm=0.9, ground="wet", water_recovery=0.5)
    mixed = CALM
    for factor in FACTORS:
        mixed = mixed.with_factor(factor, other)
    assert replace(mixed, name=other.name) == other


seasons = st.lists(st.tuples(st.floats(0.0, 15.0), st.integers(1, 9)), min_size=1, max_size=6).map(
    lambda days: [
        windy(speed, 0.0, f"day {n}", weight / sum(w for _, w in days))
        for n, (speed, weight) in enumerate(days)
    ]
)


@given(seasons, seasons)
def test_pairs_keep_both_seasons_as_they_are(here, there) -> None:  # type: ignore[no-untyped-def]
    pairs = couple_days(here, there)
    assert len(pairs) <= len(here) + len(there) - 1
    assert sum(share for _, _, share in pairs) == pytest.approx(1.0)
    for side, days in ((0, here), (1, there)):
        for day in days:
            total = sum(pair[2] for pair in pairs if pair[side] is day)
            assert total == pytest.approx(day.share, abs=1e-9)
    winds = np.array([(a.wind.speed_m_s, b.wind.speed_m_s) for a, b, _ in pairs])
    assert np.all(np.diff(winds, axis=0) >= 0.0)  # the calmest meets the calmest
