"""Weather in the browser: from numbers, reports, forecasts and a climate; days changed in place."""

from __future__ import annotations

import html
import re

import pytest
from web_page import Page

from rimwise.store.opening import open_store
from tiny_season import contents

METAR = "METAR EHAM 141825Z 18010KT 9999 RA 04/04 Q1024"
TAF = (
    "TAF EHAM 251130Z 2512/2618 22015G25KT 9999 BECMG 2516/2518 28020KT "
    "TEMPO 2520/2524 SHRA 24025G40KT"
)
CLIMATE = """month,temperature (C),spread,wind (m/s),calm (%),wet (%),cover,N,E,S,W
Nov,7,3,5.5,5,45,leaves,8,8,14,24
Dec,4,3.5,5.8,5,50,leaves,8,9,15,24
"""
DAY = {
    "name": "season", "day": "windy", "weight": "2", "temperature": "3,5", "wind": "9",
    "from": "SW", "gust": "14", "humidity": "80", "wet": "yes", "ground": "wet",
    "cover": "leaves", "dusk": "yes", "elevation": "100m",
}  # fmt: skip


@pytest.fixture
def page(season) -> Page:
    return Page(season)


def days(data, name):
    with open_store(data) as store:
        return store.conditions.get(name).days


def test_a_season_is_made_of_days_in_plain_numbers(page, season):
    assert page.ask("POST", "/weather/new/numbers", data=DAY).status_code == 303
    calm = DAY | {"day": "calm", "weight": "1", "wind": "", "gust": "", "from": ""}
    assert page.ask("POST", "/weather/new/numbers", data=calm).status_code == 303
    windy, still = days(season, "season")
    assert (windy.temperature_c, windy.wind_speed_m_s, windy.wind_from_deg) == (3.5, 9.0, 225.0)
    assert (windy.gust_m_s, windy.relative_humidity, windy.wet, windy.dusk) == (14, 0.8, True, True)
    assert windy.pressure_hpa == pytest.approx(1001.3, abs=0.2)  # standard atmosphere at 100 m
    assert still.wind_speed_m_s == 0.0
    told = page.get("/weather").text
    assert "67 of 100 rounds: " in told
    assert " 100 of 100" not in told


def test_feet_mean_miles_an_hour_and_fahrenheit(page, season):
    with open_store(season) as store:
        store.settings.put("units", "ft")
    page.ask("POST", "/weather/new/numbers", data=DAY | {"temperature": "41", "wind": "10"})
    (day,) = days(season, "season")
    assert day.temperature_c == pytest.approx(5.0)
    assert day.wind_speed_m_s == pytest.approx(4.4704)
    assert day.gust_m_s == pytest.approx(14 * 0.44704)


def _form(page: Page) -> dict[str, str]:
    text = page.get("/weather/day", params={"name": "season", "at": 1}).text
    typed = dict(re.findall('name="([a-z]+)" value="([^"]*)"', text))
    chosen = re.findall('<select id="([a-z]+)".*?<option value="([^"]*)" selected', text)
    return {name: html.unescape(value) for name, value in (*typed.items(), *chosen)}


def test_a_day_is_changed_in_place_and_the_rest_stays_to_the_bit(page, season):
    page.ask("POST", "/weather/new/numbers", data=DAY | {"wind": "9.123"})
    (before,) = days(season, "season")
    typed = _form(page)
    sent_to = "/weather/day?name=season&at=1"
    assert page.ask("POST", sent_to, data=typed).status_code == 303
    assert days(season, "season") == (before,)
    page.ask("POST", sent_to, data=typed | {"temperature": "6"})
    (after,) = days(season, "season")
    assert (after.temperature_c, after.wind_speed_m_s) == (6.0, 9.123)
    assert after.pressure_hpa == before.pressure_hpa
    late = page.ask("POST", sent_to, data=typed | {"temperature": "8"})
    assert late.status_code == 409
    assert "“6.0”; you typed “8”" in late.text
    assert days(season, "season") == (after,)


def test_a_day_and_a_set_are_deleted_but_not_the_last_day(page, season):
    for name in ("windy", "still"):
        page.ask("POST", "/weather/new/numbers", data=DAY | {"day": name})
    drop = "/weather/day/delete?name=season&at=1"
    version = _form(page)["version"]
    assert page.ask("POST", drop, data={"version": version}).status_code == 303
    assert [day.name for day in days(season, "season")] == ["still"]
    assert page.ask("POST", drop, data={"version": version}).status_code == 400
    assert page.ask("POST", drop, data={"version": _form(page)["version"]}).status_code == 400
    assert page.ask("POST", "/weather/delete", data={"name": "season"}).status_code == 303
    with open_store(season) as store:
        assert "season" not in list(store.conditions.keys())


def test_what_was_deleted_is_brought_back(page, season):
    with open_store(season) as store:
        before = store.conditions.all()
    done = page.ask("POST", "/weather/delete", data={"name": "winter"})
    assert "winter is deleted." in page.get(done.headers["location"]).text
    back = page.ask("POST", "/weather/back", data={"name": "winter"})
    assert back.headers["location"].startswith("/weather#")
    with open_store(season) as store:
        assert sorted(store.conditions.all(), key=repr) == sorted(before, key=repr)
    assert "is deleted" not in page.get(done.headers["location"]).text
    missing = page.ask("POST", "/weather/back", data={"name": "<b>never"})
    assert missing.status_code == 404
    assert "<b>never" not in missing.text


def test_a_report_and_a_forecast_become_days(page, season):
    made = page.ask("POST", "/weather/new/report", data={"name": "now", "report": METAR})
    assert "Kept: 1 day under now" in made.text
    (day,) = days(season, "now")
    assert (day.temperature_c, day.wet, day.wind_from_deg) == (4.0, True, 180.0)
    asked = {"name": "soon", "report": TAF}
    refused = page.ask("POST", "/weather/new/report", data=asked)
    assert refused.status_code == 400
    assert 'aria-describedby="temperature-wrong"' in refused.text
    page.ask("POST", "/weather/new/report", data=asked | {"temperature": "6", "cover": "snow"})
    soon = days(season, "soon")
    assert len(soon) >= 3
    assert {day.cover.value for day in soon} == {"snow"}


def test_a_climate_becomes_a_season_pasted_or_as_a_file(page, season):
    asked = {"name": "league", "months": "Nov-Dec", "days": "4"}
    pasted = page.ask("POST", "/weather/new/climate", data=asked | {"table": CLIMATE})
    assert "4 days stand for" in pasted.text
    first = days(season, "league")
    as_file = page.ask(
        "POST", "/weather/new/climate", data=asked | {"replace": "yes"},
        files={"file": ("c.csv", CLIMATE)},
    )  # fmt: skip
    assert as_file.status_code == 200
    assert days(season, "league") == first


@pytest.mark.parametrize(
    ("kind", "wrong", "field"),
    [
        ("numbers", {"name": ""}, "name"), ("numbers", {"day": "x" * 9, "wind": "up"}, "wind"),
        ("numbers", {"temperature": "nan"}, "temperature"), ("numbers", {"from": ""}, "from"),
        ("numbers", {"temperature": "99"}, "temperature"), ("numbers", {"weight": "-1"}, "weight"),
        ("numbers", {"humidity": "<script>x"}, "humidity"),
        ("numbers", {"elevation": "high"}, "elevation"),
        ("numbers", {"ground": "<script>x"}, "ground"), ("numbers", {"cover": "²"}, "cover"),
        ("report", {"name": "winter", "report": METAR}, "name"),
        ("report", {"report": ""}, "report"),
        ("report", {"report": "<script>x"}, "report"),
        ("climate", {"table": "<script>x"}, "table"), ("climate", {"table": ""}, "table"),
        ("climate", {"table": CLIMATE, "months": "Jan"}, "table"),
        ("climate", {"table": CLIMATE, "days": "many"}, "days"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_beside_its_field(page, season, kind, wrong, field):
    before = contents(season)
    typed = (DAY if kind == "numbers" else {"name": "new"}) | wrong
    answer = page.ask("POST", f"/weather/new/{kind}", data=typed)
    assert answer.status_code == 400, answer.text
    assert f'aria-describedby="{field}-wrong"' in answer.text
    assert "<script>x" not in answer.text
    assert "--" not in answer.text.split('role="alert"')[1].split("</div>")[0]
    assert contents(season) == before


def test_hostile_names_stay_text(page):
    name = "<script>x\u202e\N{FLYING DISC}&name=y"
    assert page.ask("POST", "/weather/new/numbers", data=DAY | {"name": name}).status_code == 303
    text = page.get("/weather").text
    assert "<script>x" not in text
    day = re.search('href="(/weather/day[^"]+at=1)">windy', text)[1]
    assert page.get(html.unescape(day)).status_code == 200


PLAIN = {"name": "league", "words": "about 40 degrees, wet, windy 15-20mph from the west"}


def test_plain_words_say_a_range_degrees_and_the_compass(page, season):
    with open_store(season) as store:
        store.settings.put("units", "ft")
    assert page.ask("POST", "/weather", data=PLAIN).status_code == 303
    (day,) = days(season, "league")
    assert day.temperature_c == pytest.approx((40 - 32) / 1.8)
    assert day.wind_speed_m_s == pytest.approx(17.5 * 0.44704)
    assert (day.wind_from_deg, day.wet) == (270.0, True)


@pytest.mark.parametrize(
    ("wrong", "field", "told"),
    [
        ({"words": "40F wind 15mph"}, "from", "as in SW, west or 225"),
        ({"from": "east"}, "from", "but the words say W; keep one of them"),
        ({"from": "up"}, "from", "write a point of the compass such as SW or west"),
        ({"words": "40F sunny"}, "words", "as in '40F wet wind 15mph from the west'"),
        ({"words": "40F wind -20mph", "from": "W"}, "words", "but is 'wind -20mph'"),
        ({"words": "wind 5mph", "from": "W"}, "words", "write one such as 40F"),
    ],
)
def test_wrong_plain_words_are_told_beside_their_field(page, season, wrong, field, told):
    with open_store(season) as store:
        store.settings.put("units", "ft")
    before = contents(season)
    answer = page.ask("POST", "/weather", data=PLAIN | wrong)
    assert answer.status_code == 400
    assert f'aria-describedby="{field}-wrong"' in answer.text
    assert told in html.unescape(answer.text)
    assert contents(season) == before
