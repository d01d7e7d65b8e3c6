"""Monthly climate tables, and forecasts, become days or are refused in a sentence."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rimwise.errors import InputError
from rimwise.records.conditions import Cover, Ground
from rimwise.store.exchange.climate import is_climate, read_climate
from rimwise.store.exchange.taf import TEMPORARY_SHARE, days_from_taf, is_taf

TABLE = """month,temperature (F),spread,wind (mph),calm (%),wet,cover,dusk,rounds,N,E,S,W
Dec,41,2,11,5,45%,leaves,yes,4,10,20,30,40
11,45,2,10,4,0.4,leaves,yes,,10,20,30,40
"""
KNOT = 1852.0 / 3600.0


def test_a_table_is_read_in_the_order_of_the_calendar():
    read = read_climate(TABLE, "climate.csv", elevation_m=100.0)
    assert read.problems == ()
    november, december = read.months
    assert (november.month, december.month) == (11, 12)
    assert december.temperature_c == pytest.approx(5.0)
    assert december.wind_speed_m_s == pytest.approx(11 * 0.44704)
    assert (december.calm, december.wet) == pytest.approx((0.05, 0.45))
    assert november.wet == pytest.approx(0.4)
    assert (december.rounds, november.rounds) == (4.0, None)
    assert (december.cover, december.dusk) == (Cover.LEAVES, True)
    assert [december.rose[k] for k in (0, 4, 8, 12)] == [10.0, 20.0, 30.0, 40.0]
    assert sum(december.rose) == 100.0
    # ISO 2533 at 100 m: 1001.3 hPa.
    assert december.pressure_hpa == pytest.approx(1001.3, abs=0.1)


def test_a_rose_tells_a_climate_from_a_table_of_days():
    assert is_climate(TABLE, "climate.csv")
    days = "name,temperature_c,pressure_hpa,relative_humidity,wind_speed_m_s,wind_from_deg\n"
    assert not is_climate(days + "gale,3,1000,0.8,9,240\n", "days.csv")


@pytest.mark.parametrize(
    ("table", "hint"),
    [
        ("month,wind,N,E,S\nNov,5,1,1,1\n", "there is no column for the temperature"),
        ("month,temperature,wind\nNov,5,4\n", "there is no wind rose"),
        (TABLE + "Dec,41,2,11,5,45%,leaves,yes,4,10,20,30,40\n", "December is there twice"),
        (TABLE.replace("Dec,", "Yule,"), "line 2: month is 'Yule', which is no month"),
        (TABLE.replace("Dec,41", "Dec,warm"), "line 2: temperature is 'warm'"),
        (TABLE.replace("leaves,yes,4", "ivy,yes,4"), "cover is 'ivy'; write one of green"),
        (TABLE.replace("5,45%", "5,145%"), "line 2: wet share of December"),
        (TABLE.replace("4,10,20,30,40", "4,0,0,0,0"), "wind rose of December has no share"),
    ],
)
def test_each_mistake_is_one_sentence(table, hint):
    read = read_climate(table, "climate.csv")
    assert any(hint in str(problem) for problem in read.problems)
    assert all(str(problem).endswith(".") for problem in read.problems)


@given(st.text(alphabet="month,temperature wind NESW0123456789.%-;\t\n\"'", max_size=200))
def test_any_table_is_read_or_refused(text):
    try:
        read = read_climate(text, "climate.csv")
    except InputError:
        return
    assert read.months or read.problems


def test_a_steady_forecast_is_one_day():
    (day,) = days_from_taf(
        "TAF EHAM 251130Z 2512/2618 22015G25KT 9999 -RA SCT020 TX08/2514Z TNM02/2606Z", 0.0
    )
    assert day.wind_speed_m_s == pytest.approx(15 * KNOT)
    assert day.gust_m_s == pytest.approx(25 * KNOT)
    assert (day.wind_from_deg, day.wet, day.ground) == (220.0, True, Ground.WET)
    assert day.temperature_c == 3.0
    assert day.weight == 30.0
    assert day.name == "12:00 to next day 18:00"


def test_changes_take_their_hours_from_what_was_before():
    days = days_from_taf(
        "TAF KPIT 251130Z 2512/2612 22010KT P6SM -RA FM251800 28020KT P6SM NSW "
        "BECMG 2600/2602 31005KT TEMPO 2504/2504 RA TEMPO 2518/2524 30030G45KT SHRA=",
        0.0,
        temperature_c=6.0,
    )
    told = [(round(d.wind_speed_m_s / KNOT), d.wind_from_deg, d.wet, d.weight) for d in days]
    assert told == [
        (10, 220.0, True, 6.0),
        (20, 280.0, False, pytest.approx(7.0 - 6.0 * TEMPORARY_SHARE)),
        (5, 310.0, False, 11.0),
        (30, 300.0, True, pytest.approx(6.0 * TEMPORARY_SHARE)),
    ]
    assert sum(day.weight for day in days) == pytest.approx(24.0)
    assert days[-1].name.endswith("at times")


def test_a_chance_is_a_share_of_its_hours_and_a_month_may_end():
    days = days_from_taf(
        "TAF EDDF 312300Z 3124/0124 VRB03KT CAVOK PROB30 TEMPO 0106/0112 25015MPS PROB40 "
        "0112/0118 RA",
        300.0,
        temperature_c=4.0,
        cover=Cover.SNOW,
        dusk=True,
    )
    assert [day.weight for day in days] == pytest.approx(
        [24.0 - 6.0 * 0.3 * TEMPORARY_SHARE - 6.0 * 0.4, 6.0 * 0.3 * TEMPORARY_SHARE, 6.0 * 0.4]
    )
    assert days[1].wind_speed_m_s == 15.0
    assert {(day.cover, day.dusk) for day in days} == {(Cover.SNOW, True)}
    assert days[0].pressure_hpa < 980.0


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("METAR EHAM 141825Z 18010KT 9999 04/04 Q1024", "is no forecast"),
        ("TAF EHAM 251130Z 22015KT", "is no forecast"),
        ("TAF EHAM 251130Z 2512/2618 9999", "names no wind or no hours"),
        ("TAF EHAM 251130Z 2512/2618 22015KT BECMG 28020KT", "names no hours"),
        ("TAF EHAM 251130Z 2512/2618 22015KT", "give one with --temperature"),
    ],
)
def test_what_is_no_forecast_is_refused(text, hint):
    temperature = None if "--temperature" in hint else 5.0
    with pytest.raises(InputError, match=hint):
        days_from_taf(text, 0.0, temperature_c=temperature)
    assert is_taf(text) == text.startswith("TAF")


WORDS = st.sampled_from(
    ["TAF", "EHAM", "251130Z", "2512/2618", "0106/0112", "9999/9999", "22015G25KT", "VRB03KT",
     "99999KT", "BECMG", "TEMPO", "PROB30", "FM251800", "FM999999", "-RA", "NSW", "TX08/2514Z",
     "22015G05KT", "000/00", ""]
)  # fmt: skip


@given(st.lists(WORDS, max_size=14), st.booleans())
def test_any_words_are_a_forecast_or_refused(words, headed):
    text = " ".join((["TAF", "EHAM", "251130Z", "2512/2618", "22015KT"] if headed else []) + words)
    try:
        days = days_from_taf(text, 0.0, temperature_c=5.0)
    except InputError:
        return
    assert all(day.weight > 0.0 for day in days)
