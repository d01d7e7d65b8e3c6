"""Air, wind and weather reports against published values and general libraries."""

from __future__ import annotations

import math

import psychrolib
import pytest
from authority_tables import read_table
from CoolProp.HumidAirProp import HAPropsSI

from rimwise.flight.air import Air, station_pressure_hpa
from rimwise.flight.metar import parse_metar
from rimwise.flight.wind import TERRAIN_ROUGHNESS_M, Wind

KNOT_M_S = 1852 / 3600


@pytest.mark.parametrize("row", read_table("air_density.csv"), ids=lambda r: r["temperature_c"])
def test_density_is_cipm_2007(row: dict[str, str]) -> None:
    """Picard, Davis, Gläser, Fujii (2008) Metrologia 45:149-155, to all printed digits."""
    air = Air(
        float(row["temperature_c"]),
        float(row["pressure_pa"]) / 100,
        float(row["relative_humidity"]),
    )
    assert air.density_kg_m3 == pytest.approx(float(row["density_kg_m3"]), abs=0.6e-6)


@pytest.mark.parametrize("temperature_c", [-20.0, -5.0, 5.0, 20.0, 35.0, 45.0])
@pytest.mark.parametrize("humidity", [0.0, 0.5, 1.0])
@pytest.mark.parametrize("pressure_hpa", [700.0, 800.0, 1013.25, 1050.0])
def test_density_agrees_with_coolprop(
    temperature_c: float, humidity: float, pressure_hpa: float
) -> None:
    """CoolProp's moist air is another equation of state; 0.1 % is a tenth of a gram per litre."""
    per_dry_kg = HAPropsSI(
        "Vha", "T", temperature_c + 273.15, "P", pressure_hpa * 100, "R", humidity
    )
    density = Air(temperature_c, pressure_hpa, humidity).density_kg_m3
    assert density == pytest.approx(1 / per_dry_kg, rel=1e-3)


@pytest.mark.parametrize(("temperature_c", "humidity"), [(10.0, 0.3), (20.0, 0.5), (30.0, 0.9)])
def test_density_agrees_with_psychrolib(temperature_c: float, humidity: float) -> None:
    """ASHRAE Handbook formulas as kept by psychrolib (ideal gas: 0.1 %)."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    ratio = psychrolib.GetHumRatioFromRelHum(temperature_c, humidity, 101325.0)
    expected = psychrolib.GetMoistAirDensity(temperature_c, ratio, 101325.0)
    assert Air(temperature_c, 1013.25, humidity).density_kg_m3 == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize(
    "row", read_table("standard_atmosphere.csv"), ids=lambda r: r["altitude_m"]
)
def test_standard_atmosphere_is_iso_2533(row: dict[str, str]) -> None:
    air = Air.standard(float(row["altitude_m"]))
    assert air.temperature_c + 273.15 == pytest.approx(float(row["temperature_k"]), abs=1e-9)
    assert air.pressure_hpa * 100 == pytest.approx(float(row["pressure_pa"]), abs=0.06)
    assert air.density_kg_m3 == pytest.approx(float(row["density_kg_m3"]), abs=0.6e-5)


@pytest.mark.parametrize("row", read_table("metar.csv"), ids=lambda r: r["report"][6:10])
def test_weather_reports_are_read_as_decoded(row: dict[str, str]) -> None:
    """WMO No. 306 FM-15; values as decoded in public guides. Pressures to 0.1 hPa of rounding."""
    report = parse_metar(row["report"])
    assert report.temperature_c == pytest.approx(float(row["temperature_c"]), abs=0.05)
    assert report.dewpoint_c == pytest.approx(float(row["dewpoint_c"]), abs=0.05)
    assert report.altimeter_hpa == pytest.approx(float(row["altimeter_hpa"]), abs=0.06)
    wind = Wind.from_metar(row["report"])
    assert wind.speed_m_s == pytest.approx(float(row["wind_kt"]) * KNOT_M_S, rel=1e-4)
    assert wind.from_deg == float(row["wind_from_deg"] or 0)
    if row["gust_kt"]:
        assert wind.gust_m_s == pytest.approx(float(row["gust_kt"]) * KNOT_M_S, rel=1e-4)
    else:
        assert wind.gust_m_s is None
    air = Air.from_metar(row["report"], 0.0)
    assert air.pressure_hpa == pytest.approx(float(row["altimeter_hpa"]), abs=0.06)


def test_station_pressure_inverts_the_standard_atmosphere() -> None:
    """With the standard setting, the pressure up there is ISO 2533's."""
    for row in read_table("standard_atmosphere.csv"):
        pressure = station_pressure_hpa(1013.25, float(row["altitude_m"])) * 100
        assert pressure == pytest.approx(float(row["pressure_pa"]), abs=0.06)


def test_roughness_lengths_are_the_published_classes() -> None:
    """EN 1991-1-4 Table 4.1 and the WMO/Davenport classes."""
    published = {float(row["z0_m"]) for row in read_table("terrain_roughness.csv")}
    assert set(TERRAIN_ROUGHNESS_M.values()) == published


@pytest.mark.parametrize("roughness_m", [0.003, 0.01, 0.05])
def test_wind_profile_is_the_eurocode_one(roughness_m: float) -> None:
    """cr(z) = kr ln(z/z0), kr = 0.19 (z0/0.05)^0.07 (EN 1991-1-4, 4.3.2), as ratios to 10 m."""
    kr = 0.19 * (roughness_m / 0.05) ** 0.07
    wind = Wind(7.0, 0.0, roughness_m=roughness_m)
    for height in (2.0, 5.0, 20.0):
        expected = 7.0 * (kr * math.log(height / roughness_m)) / (kr * math.log(10 / roughness_m))
        assert wind.speed_at_m_s(height) == pytest.approx(expected, rel=1e-12)
        intensity = 1 / math.log(height / roughness_m)  # EN 1991-1-4, 4.4, kI = c0 = 1
        assert wind.turbulence_intensity(height) == pytest.approx(intensity, rel=1e-12)
