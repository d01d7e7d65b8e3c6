"""Scenario days from the decoded reports in authorities/metar.csv (WMO No. 306, FM-15)."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from rimwise.store.exchange.conditions import read_conditions

SOURCE = Path(__file__).parents[1] / "authorities" / "metar.csv"
LINES = [line for line in SOURCE.read_text("utf-8").splitlines() if not line.startswith("#")]
REPORTS = list(csv.DictReader(LINES))

KNOT_M_S = 1852 / 3600  # exact, by the international nautical mile


@pytest.mark.parametrize("decoded", REPORTS, ids=lambda decoded: decoded["report"][6:10])
def test_a_line_becomes_the_decoded_day(decoded):
    read = read_conditions(f"2,5 league day | {decoded['report']}", "reports.txt", elevation_m=0.0)
    assert read.problems == ()
    (day,) = read.conditions.days
    assert (day.name, day.weight) == ("league day", 2.5)
    assert day.temperature_c == pytest.approx(float(decoded["temperature_c"]), abs=0.05)
    assert day.pressure_hpa == pytest.approx(float(decoded["altimeter_hpa"]), abs=0.05)
    assert day.wind_speed_m_s == pytest.approx(float(decoded["wind_kt"]) * KNOT_M_S, rel=1e-4)
    assert day.wind_from_deg == float(decoded["wind_from_deg"] or 0.0)
    gust_kt = float(decoded["gust_kt"] or 0.0)
    assert (day.gust_m_s or 0.0) == pytest.approx(gust_kt * KNOT_M_S, rel=1e-4)
    assert day.wet is any(group in decoded["report"].split() for group in ("-RA", "TSRA"))
    # Saturated air where the dew point is the temperature, drier the wider they part.
    apart_c = float(decoded["temperature_c"]) - float(decoded["dewpoint_c"])
    assert (day.relative_humidity == 1.0) is (apart_c == 0.0)


def test_the_reports_are_there():
    assert len(REPORTS) == 4
