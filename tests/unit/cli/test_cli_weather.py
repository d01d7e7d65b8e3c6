"""The command that shows sets of days and makes new ones."""

from __future__ import annotations

import json

import pytest

CLIMATE = """month,temperature (C),wind (m/s),wet (%),N,E,S,W
Nov,7,5,40,10,20,30,40
Dec,4,6,50,10,20,30,40
"""


@pytest.fixture
def climate(tmp_path):
    path = tmp_path / "climate.csv"
    path.write_text(CLIMATE, encoding="utf-8")
    return path


def test_league_nights_come_from_a_climate(cli, unplanned, climate):
    said = cli("--data", unplanned, "weather", "league nights", "--climate", climate, "--months",
               "Nov-Dec", "--days", "4", "--dusk")  # fmt: skip
    assert (said.code, said.err) == (0, "")
    words = " ".join(said.out.split())
    assert "stand for 48 kinds of day from November to December" in words
    assert "Over all of them: 5 °C on average" in words
    (shown,) = json.loads(cli("--data", unplanned, "weather", "league nights", "--json").out)
    assert sum(day["share"] for day in shown["days"]) == pytest.approx(1.0)
    assert all(day["dusk"] for day in shown["days"])
    assert shown["wet_share"] == 0.5


def test_every_kind_of_day_may_be_asked_for(cli, unplanned, climate):
    cli("--data", unplanned, "weather", "all", "--climate", climate, "--months", "Nov", "--every")
    (shown,) = json.loads(cli("--data", unplanned, "weather", "all", "--json").out)
    assert len(shown["days"]) == 2 * 3 * 4
    assert shown["wet_share"] == pytest.approx(0.4)
    assert shown["mean_wind_m_s"] == pytest.approx(5.0)


def test_a_day_in_words_and_a_forecast(cli, unplanned):
    said = cli("--data", unplanned, "weather", "today", "--plain", "4C wet wind 9m/s", "--from",
               "SW", "--cover", "leaves")  # fmt: skip
    assert (said.code, said.err) == (0, "")
    (today,) = json.loads(cli("--data", unplanned, "weather", "today", "--json").out)
    (day,) = today["days"]
    assert (day["wind_speed_m_s"], day["wind_from_deg"], day["wet"], day["cover"]) == (
        9.0, 225.0, True, "leaves",
    )  # fmt: skip
    forecast = "TAF EHAM 251130Z 2512/2618 22015KT 9999"
    said = cli("--data", unplanned, "weather", "soon", "--report", forecast, "--temperature", "6")
    assert "12:00 to next day 18:00" in said.out
    report = "METAR EHAM 141825Z 18010KT 9999 04/04 Q1024"
    cli("--data", unplanned, "weather", "now", "--report", report)
    names = [one["name"] for one in json.loads(cli("--data", unplanned, "weather", "--json").out)]
    assert {"today", "soon", "now"} <= set(names)


def test_wrong_wishes_are_refused_in_one_sentence(cli, unplanned, climate):
    for arguments, hint in (
        (("x", "--climate", climate, "--months", "Mar"), "no row for March"),
        (("x", "--climate", climate, "--plain", "4C"), "give one of --climate"),
        (("--plain", "4C"), "name the set of days"),
        (("x", "--plain", "4C wind 5m/s"), "direction is missing; say it with --from"),
        (("x", "--plain", "4C wind 5m/s", "--from", "up"), "write a point of the compass"),
        (("x", "--plain", "wet"), "has no temperature"),
        (("x", "--plain", "4C wind 5m/s from the left"), "for a whole course"),
        (("x", "--plain", "4C", "--cover", "ivy"), "write one of green"),
        (("nowhere",), "nowhere"),
    ):
        said = cli("--data", unplanned, "weather", *arguments)
        assert said.code == 1, arguments
        assert hint in " ".join(said.err.split())
    said = cli("--data", unplanned, "import", climate, "--kind", "conditions")
    assert said.code == 1
    assert "make a season of it" in said.err
