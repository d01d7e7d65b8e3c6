"""What owners say of the weather is understood where it means one thing, and refused else."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rimwise.errors import InputError
from rimwise.records.climate import COMPASS
from rimwise.records.conditions import Ground
from rimwise.records.evidence import Weather
from rimwise.records.weather_words import compass_in, day_in, weather_in

MILE_M = 1609.344  # exact, international yard and pound agreement, 1959
MPH = MILE_M / 3600

WEATHER = {
    "4C wet wind 5 from left": Weather(4.0, 5.0, 270.0, True),
    "41F dry, 10mph tailwind": Weather(5.0, 10 * MPH, 180.0, False),
    "41 °F wind 10 from the right": Weather(5.0, 10 * MPH, 90.0),
    "headwind 6m/s frozen ground": Weather(wind_m_s=6.0, wind_from_deg=0.0, ground=Ground.FROZEN),
    "18km/h from behind and the left": Weather(wind_m_s=5.0, wind_from_deg=225.0),
    "-3°C calm": Weather(-3.0, 0.0),
    "wet ground 12C": Weather(12.0, ground=Ground.WET),
}


@pytest.mark.parametrize(("text", "weather"), WEATHER.items(), ids=WEATHER)
def test_weather_is_understood(text, weather):
    found = weather_in(text)
    assert found.temperature_c == pytest.approx(weather.temperature_c)
    assert found.wind_m_s == pytest.approx(weather.wind_m_s)
    assert (found.wind_from_deg, found.wet, found.ground) == (
        weather.wind_from_deg, weather.wet, weather.ground,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("wind 5 from left", "the wind is 5 without a unit"),
        ("from left", "has no wind speed"),
        ("windy", "has no wind speed; write it as in wind 5m/s"),
        ("sunny", "'sunny' is not understood .* '4C wet wind 5m/s from the left'"),
        ("99C", "temperature must be between -40C and 50C, but is '99c'"),
        ("40 degrees", "'40 degrees' could be °C or °F; write 40C or 40F"),
        ("wind 5m/s from the west", "the wind comes from W .* from the left', or name a day"),
        ("4C 5C", "says the temperature twice"),
        ("wind 5m/s calm", "says the wind twice"),
        ("5m/s headwind from the left", "says the wind's direction twice"),
        ("wind -20mph", "between 0 and 89mph, but is 'wind -20mph'"),
    ],
)
def test_what_is_no_weather_is_said(text, told):
    with pytest.raises(InputError, match=told):
        weather_in(text)


@pytest.mark.parametrize(
    ("text", "mph"),
    [
        ("40F 15-20mph", 17.5),
        ("40F wind 15 - 20 mph", 17.5),
        ("40F, windy 15 to 20 mph", 17.5),
        ("40F wind between 15 and 20 mph", 17.5),
        ("40F about 15–20", None),
        ("40F wind about 15", 15.0),
        ("40F wind 15 to 20", 17.5),
        ("40F 10 to 15 mph headwind", 12.5),
    ],
)
def test_a_range_is_read_as_its_middle(text, mph):
    if mph is None:
        with pytest.raises(InputError, match="'about 15–20' is not understood"):
            weather_in(text)
    else:
        assert weather_in(text).wind_m_s == pytest.approx(mph * MPH)


@pytest.mark.parametrize(("units", "celsius"), [("m", 40.0), ("ft", 40 / 1.8 - 32 / 1.8)])
@pytest.mark.parametrize("text", ["about 40 degrees", "40°", "around 38 to 42 degrees, dry"])
def test_degrees_without_a_scale_are_the_owners(text, units, celsius):
    assert weather_in(text, units).temperature_c == pytest.approx(celsius)


def test_a_bare_wind_goes_with_the_owners_degrees():
    assert weather_in("40 degrees wind 10", "ft").wind_m_s == pytest.approx(10 * MPH)
    assert weather_in("8 degrees wind 10", "m").wind_m_s == 10.0


#: Degrees of the points, clockwise from north in steps of 360/16.
@pytest.mark.parametrize(
    ("said", "degrees"),
    [
        ("west", 270.0), ("from the west", 270.0), ("westerly", 270.0), ("west wind", 270.0),
        ("north-west", 315.0), ("southwest", 225.0), ("South West", 225.0), ("WSW", 247.5),
        ("from the NNE", 22.5), ("east-south-east", 112.5), ("south-southeast", 157.5),
    ],
)  # fmt: skip
def test_a_day_says_where_its_wind_comes_from(said, degrees):
    assert compass_in(said) == degrees
    for text in (f"40F wet windy 15 to 20 mph {said}", f"{said}, 15-20mph and wet, 40F"):
        weather, from_deg = day_in(text, "ft")
        assert from_deg == degrees
        assert (weather.wind_from_deg, weather.wet) == (None, True)
        assert weather.temperature_c == pytest.approx(8 / 1.8)
        assert weather.wind_m_s == pytest.approx(17.5 * MPH)


@pytest.mark.parametrize("text", ["", "up", "left", "225", "westward ho", "nort"])
def test_what_is_no_point_of_the_compass_is_none(text):
    assert compass_in(text) is None


@given(st.sampled_from(COMPASS))
def test_each_point_is_read_in_letters(point):
    assert compass_in(point) == COMPASS.index(point) * 22.5


@pytest.mark.parametrize(
    ("units", "such"), [("ft", "40F wet wind 15mph"), ("m", "4C wet wind 5m/")]
)
def test_examples_are_in_the_owners_units(units, such):
    for read, end in ((weather_in, "from the left"), (day_in, "from the west")):
        with pytest.raises(InputError, match=f"'{such}.*{end}'"):
            read("balmy", units)
    with pytest.raises(InputError, match="write it as in wind 15mph" if units == "ft" else "5m/s"):
        day_in("windy", units)
