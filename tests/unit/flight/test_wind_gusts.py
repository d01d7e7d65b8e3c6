"""Gusts scatter around the mean wind as stated, and reproducibly."""

from __future__ import annotations

import math

import numpy as np
import pytest

from rimwise.errors import InputError
from rimwise.flight.air import Air
from rimwise.flight.body import Body
from rimwise.flight.fly import fly_many
from rimwise.flight.printed import Printed, aero_from_printed
from rimwise.flight.release import Release
from rimwise.flight.wind import (
    GUST_PEAK_FACTOR,
    LATERAL_SHARE,
    WIDEST_GUST,
    Wind,
    WindArrays,
)

COUNT = 40_000
DEFINITE = 4.0  # standard errors; a false alarm in 16,000 seeds, and the seed is fixed


def along_and_across(winds: WindArrays, from_deg: float) -> tuple[np.ndarray, np.ndarray]:
    """Components of winds along and across the direction they mostly blow in."""
    toward = math.radians(from_deg + 180.0)
    east, north = np.asarray(winds.east_m_s), np.asarray(winds.north_m_s)
    along = east * math.sin(toward) + north * math.cos(toward)
    return along, east * math.cos(toward) - north * math.sin(toward)


@pytest.mark.parametrize("from_deg", [0.0, 90.0, 217.0])
@pytest.mark.parametrize("gust_m_s", [None, 12.0])
def test_mean_and_spread_are_those_stated(from_deg: float, gust_m_s: float | None) -> None:
    wind = Wind(6.0, from_deg, gust_m_s)
    along, across = along_and_across(wind.gusts(COUNT, np.random.default_rng(1)), from_deg)
    sd = 6.0 / math.log(10.0 / 0.03) if gust_m_s is None else (12.0 - 6.0) / GUST_PEAK_FACTOR
    assert along.mean() == pytest.approx(6.0, abs=DEFINITE * sd / math.sqrt(COUNT))
    assert across.mean() == pytest.approx(0.0, abs=DEFINITE * sd / math.sqrt(COUNT))
    # Cutting at 3.5 takes 0.3 % off the standard deviation of a normal.
    of_sd = DEFINITE / math.sqrt(2 * COUNT)
    assert along.std() == pytest.approx(sd, rel=of_sd + 0.003)
    assert across.std() == pytest.approx(LATERAL_SHARE * sd, rel=of_sd + 0.003)
    assert abs(np.corrcoef(along, across)[0, 1]) < DEFINITE / math.sqrt(COUNT)


def test_a_reported_gust_is_met_now_and_then() -> None:
    """One throw in some hundreds meets the reported gust: Φ(−2.8) is 1 in 391."""
    along, _ = along_and_across(Wind(5.0, 30.0, 11.0).gusts(COUNT, np.random.default_rng(2)), 30.0)
    assert np.mean(along > 11.0) == pytest.approx(1 / 391, rel=0.3)


def test_nothing_gusts_in_still_air_or_in_a_wind_the_same_at_all_heights() -> None:
    assert Wind(0.0, 0.0).gust_sd_m_s == 0.0
    assert Wind(5.0, 0.0, roughness_m=0.0).gust_sd_m_s == 0.0
    calm = Wind(5.0, 90.0, roughness_m=0.0).gusts(3, np.random.default_rng(0))
    assert np.asarray(calm.east_m_s) == pytest.approx([-5.0] * 3)


def test_spread_does_not_depend_on_the_height_of_the_report() -> None:
    """In a logarithmic wind, ``v(z) / ln(z/z0)`` is one number."""
    low = Wind(4.0, 0.0, height_m=2.0)
    high = Wind(low.speed_at_m_s(10.0), 0.0)
    assert low.gust_sd_m_s == pytest.approx(high.gust_sd_m_s)
    one, other = (w.gusts(5, np.random.default_rng(3)) for w in (low, high))
    assert np.asarray(one.north_m_s) == pytest.approx(np.asarray(other.north_m_s))


def test_equal_seeds_give_equal_winds_and_others_do_not() -> None:
    wind = Wind(6.0, 45.0)
    one, same, other = (
        np.asarray(wind.gusts(8, np.random.default_rng(seed)).east_m_s) for seed in (5, 5, 6)
    )
    assert one.tobytes() == same.tobytes()
    assert not np.array_equal(one, other)


@pytest.mark.parametrize("wind", [Wind(60.0, 10.0, 90.0), Wind(60.0, 45.0, roughness_m=2.0)])
def test_the_strongest_gusts_still_fly(wind: Wind) -> None:
    winds = wind.gusty(np.array([[9.0, 9.0], [-9.0, 9.0], [9.0, -9.0], [0.0, 0.0]]))
    aero = aero_from_printed(Printed(7, 5, -1, 2))
    throw = Release(23.0, 95.0, 0.15, 0.0, 0.0)
    flights = fly_many(aero, Body.from_printed_speed(7, 0.175), throw, Air.standard(0), winds)
    assert np.isfinite(flights.landing_m).all()


def test_draws_are_cut() -> None:
    wind = Wind(6.0, 0.0)
    winds = wind.gusty(np.array([[100.0, -100.0], [WIDEST_GUST, -WIDEST_GUST]]))
    assert np.asarray(winds.north_m_s)[0] == np.asarray(winds.north_m_s)[1]
    assert np.asarray(winds.east_m_s)[0] == np.asarray(winds.east_m_s)[1]


@pytest.mark.parametrize("normals", [np.zeros(3), np.zeros((2, 3)), np.array([[0.0, math.nan]])])
def test_other_draws_are_refused(normals: np.ndarray) -> None:
    with pytest.raises(InputError, match=r"^normals must be finite numbers of shape \(N, 2\)"):
        Wind(6.0, 0.0).gusty(normals)


def test_no_throws_are_refused() -> None:
    with pytest.raises(InputError, match="count must be at least 1, but is 0"):
        Wind(6.0, 0.0).gusts(0, np.random.default_rng(0))


def test_gusts_widen_a_landing_cloud() -> None:
    aero = aero_from_printed(Printed(7, 5, -1, 2))
    body, throw, air = Body.from_printed_speed(7, 0.175), Release(23.0, 95.0, 0.15, 0, 0), 1.2
    across = Wind(7.0, 90.0)
    spread = [
        fly_many(aero, body, throw, air, wind.gusts(400, np.random.default_rng(9))).left_m.std()
        for wind in (across, Wind(7.0, 90.0, gust_m_s=14.0))
    ]
    assert 0.5 < spread[0] < spread[1]


def test_what_holding_a_gust_for_a_flight_costs() -> None:
    """The figures that :meth:`Wind.gusty` states.

    Length of eddies by EN 1991-1-4, annex B (memory), averaged over a flight of 100 m with an
    exponential correlation; and the profile's share at 2 m.
    """
    roughness = 0.03
    eddy_m = 300.0 * (10.0 / 200.0) ** (0.67 + 0.05 * math.log(roughness))
    assert eddy_m == pytest.approx(70.0, rel=0.05)
    x = 100.0 / eddy_m
    assert math.sqrt(2 * (x - 1 + math.exp(-x))) / x == pytest.approx(0.8, abs=0.02)
    assert Wind(1.0, 0.0).speed_at_m_s(2.0) == pytest.approx(0.75, abs=0.03)
