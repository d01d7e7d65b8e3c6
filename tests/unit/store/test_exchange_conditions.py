"""Scenario days from weather reports and climate tables."""

from __future__ import annotations

import pytest

from rimwise.records.conditions import Ground
from rimwise.store.exchange.conditions import read_conditions

FOG = "METAR EHAM 141825Z 18010KT 2700 BR SCT003 BKN004 04/04 Q1024 BECMG BKN003"
RAIN = "METAR KLIT 200953Z 00000KT 4SM -RA BR OVC030 07/05 A3013 RMK AO2 SLP205"
GALE = "METAR KJFK 141751Z 33017G22KT 10SM FEW050 02/M10 A3005 RMK RAB12"
CLIMATE = (
    "month,weight,temperature_c,pressure_hpa,relative_humidity,wind_speed_m_s,wind_from_deg,"
    "gust_m_s,wet,ground,water_recovery\n"
)


def good(text, name="winter.csv", **more):
    read = read_conditions(text, name, **more)
    assert [str(problem) for problem in read.problems] == []
    return read.conditions


def sentences(text, name="winter.csv"):
    return [str(problem) for problem in read_conditions(text, name).problems]


def test_lines_with_and_without_weight_and_name():
    text = f"# from the airfield\n\n3 wet day | {RAIN}\n{FOG}\n1,5|{GALE}\nthe gale | {GALE}=\n"
    days = good(text, "reports.txt").days
    assert [(day.name, day.weight) for day in days] == [
        ("wet day", 3.0),
        ("METAR EHAM 141825Z", 1.0),
        ("METAR KJFK 141751Z", 1.5),
        ("the gale", 1.0),
    ]
    assert [day.wet for day in days] == [True, False, False, False]
    assert [day.ground for day in days] == [Ground.WET, Ground.FIRM, Ground.FIRM, Ground.FIRM]
    assert days[0].source == RAIN


@pytest.mark.parametrize(
    ("group", "wet"),
    [
        ("RA", True),
        ("+TSRA", True),
        ("-SHSN", True),
        ("FZDZ", True),
        ("RASN", True),
        ("BR", False),
        ("VCSH", False),
        ("HZ", False),
    ],
)
def test_the_weather_says_whether_hands_are_wet(group, wet):
    report = f"METAR EHAM 141825Z 18010KT 2700 {group} SCT003 04/04 Q1024 TEMPO RA"
    assert good(report).days[0].wet is wet


def test_the_elevation_of_the_course_lowers_the_pressure():
    low = good(FOG, elevation_m=0.0).days[0].pressure_hpa
    high = good(FOG, elevation_m=500.0).days[0].pressure_hpa
    assert low == pytest.approx(1024.0)
    assert 55.0 < low - high < 65.0  # about 1 hPa for 8 to 9 m near the ground


def test_a_table_of_reports():
    text = (
        "name;metar;weight;elevation_ft;wet;ground;water_recovery\n"
        f"fog;{FOG};2;1000;yes;soft;10%\n;{GALE};;;;;\n"
    )
    days = good(text).days
    assert (days[0].name, days[0].weight, days[0].wet) == ("fog", 2.0, True)
    assert (days[0].ground, days[0].water_recovery) == (Ground.SOFT, 0.1)
    low = good(FOG, elevation_m=304.8).days[0]
    assert days[0].pressure_hpa == pytest.approx(low.pressure_hpa)
    assert (days[1].name, days[1].weight) == ("METAR KJFK 141751Z", 1.0)


def test_a_table_with_reports_only():
    assert len(good(f"metar\n{FOG}\n{GALE}\n").days) == 2


def test_a_climate_table():
    text = CLIMATE + "Jan,4,3.5,1009,0.85,6,240,11,yes,wet,0.1\nJul,2,24,1015,0.6,3,SW,,,,\n"
    january, july = good(text, title="a year").days
    assert (january.name, january.weight, january.temperature_c) == ("Jan", 4.0, 3.5)
    assert (january.pressure_hpa, january.relative_humidity) == (1009.0, 0.85)
    assert (january.wind_speed_m_s, january.wind_from_deg, january.gust_m_s) == (6.0, 240.0, 11.0)
    assert (january.wet, january.ground, january.water_recovery) == (True, Ground.WET, 0.1)
    assert (july.wind_from_deg, july.gust_m_s, july.wet) == (225.0, None, False)
    assert (july.ground, july.water_recovery) == (Ground.FIRM, 0.2)


@pytest.mark.parametrize(
    ("header", "cell", "field", "value"),
    [
        # Exact definitions: knot and mile by the international nautical mile (1929) and the
        # yard and pound agreement (1959); °F by NIST SP 811, B.8; inHg likewise, to 6 digits.
        ("wind_kt", "10", "wind_speed_m_s", 10 * 1852 / 3600),
        ("wind speed (mph)", "10", "wind_speed_m_s", 4.4704),
        ("wind km/h", "36", "wind_speed_m_s", 10.0),
        ("temperature_f", "50", "temperature_c", 10.0),
        ("Temp. [°F]", "-40", "temperature_c", -40.0),
        ("pressure_inHg", "29.9213", "pressure_hpa", 1013.25),
        ("pressure kPa", "101.3", "pressure_hpa", 1013.0),
        ("humidity %", "85", "relative_humidity", 0.85),
        ("relative_humidity", "85%", "relative_humidity", 0.85),
        ("rh", "85", "relative_humidity", 0.85),
        ("gust_kt", "20", "gust_m_s", 20 * 1852 / 3600),
    ],
)
def test_units_in_the_header(header, cell, field, value):
    cells = {
        "temperature_c": ("temperature_c", "10"),
        "pressure_hpa": ("pressure_hpa", "1000"),
        "relative_humidity": ("relative_humidity", "0.5"),
        "wind_speed_m_s": ("wind_speed_m_s", "1"),
        "wind_from_deg": ("wind_from_deg", "90"),
        field: (header, cell),
    }
    text = "\n".join(";".join(column) for column in zip(*cells.values(), strict=True))
    assert getattr(good(text).days[0], field) == pytest.approx(value, rel=2e-6)


def test_the_name_of_the_conditions():
    assert good(FOG, "folder/winter.txt").name == "winter"
    assert good(FOG, "pasted", title="this week").name == "this week"


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (
            f"{FOG}\nnonsense\n",
            (
                "winter.csv, line 2: 'nonsense' is not a weather report; "
                "paste one such as 'METAR EHAM 141825Z 18010KT 9999 04/04 Q1024'."
            ),
        ),
        ("metar,name\n,fog\n", "winter.csv, line 2: metar is empty; paste the weather report."),
        (
            f"metar,ground\n{FOG},mud\n",
            "winter.csv, line 2: ground is 'mud'; write one of soft, firm, hard, wet, frozen.",
        ),
        (
            f"metar,weight\n{FOG},two\n",
            "winter.csv, line 2: weight is 'two', which is no number; write a number such as 3.",
        ),
        (
            CLIMATE + "Jan,1,90,1009,0.8,6,240,,,,\n",
            (
                "winter.csv, line 2: temperature of day 'Jan' must be between -40 and 50 °C, "
                "but is 90 °C; correct it."
            ),
        ),
        (
            CLIMATE + "Jan,1,9,1009,0.8,6,upwind,,,,\n",
            (
                "winter.csv, line 2: wind from is 'upwind', which is no number; "
                "write a number such as 240 or SW."
            ),
        ),
        (
            CLIMATE + "Jan,1,9,1009,,6,240,,,,\n",
            "winter.csv, line 2: relative humidity is empty; write a number such as 0.8 or 80%.",
        ),
        (
            CLIMATE + "Jan,1,9,1009,0.8,6,240,3,,,\n",
            (
                "winter.csv, line 2: gust of day 'Jan' must be between 6 and 70 m/s, but is 3 m/s; "
                "correct it."
            ),
        ),
        (
            CLIMATE + "Jan,0,9,1009,0.8,6,240,,,,\n",
            "winter.csv: conditions 'winter': every day has weight 0; give one more.",
        ),
    ],
)
def test_one_sentence_for_each_mistake(text, sentence):
    assert sentences(text) == [sentence]


def test_missing_columns_are_named():
    read = read_conditions("month,weight,temperature_f\nJan,1,3", "c.csv")
    assert read.conditions is None
    assert [problem.instead for problem in read.problems] == [
        "add pressure_hpa (at the station, not reduced to sea level)",
        "add relative_humidity (0 to 1, or in %)",
        "add wind_speed_m_s (or wind_kt, wind_mph, wind_km_h)",
        "add wind_from_deg (degrees or N, NE …)",
    ]


def test_an_unused_column_is_named():
    read = read_conditions(f"metar,weight,colour\n{FOG},1,red\n", "c.csv")
    assert [notice.wrong for notice in read.notices] == ["the column 'colour' is not used"]
