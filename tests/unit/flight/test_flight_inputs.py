"""Bad input is answered with one clear sentence; arrays and single objects mean the same."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from rimwise.errors import InputError
from rimwise.flight.aero import AERO_LIMITS, Aero, AeroArrays
from rimwise.flight.air import Air, station_pressure_hpa
from rimwise.flight.body import Body, BodyArrays
from rimwise.flight.fly import fly, fly_many
from rimwise.flight.ground import Ground
from rimwise.flight.metar import parse_metar
from rimwise.flight.printed import Printed, aero_arrays_from_printed, aero_from_printed
from rimwise.flight.reference import Damping, Surroundings, fly_reference
from rimwise.flight.release import Release, ReleaseArrays
from rimwise.flight.wind import Wind, WindArrays

if TYPE_CHECKING:
    from collections.abc import Callable

AERO = aero_from_printed(Printed(7, 5, -1, 2))
BODY = Body.from_printed_speed(7, 0.175)
THROW = Release(22.0, 95.0, 0.15, 0.05, 0.0)
AIR = Air.standard(0)


@pytest.mark.parametrize(
    ("make", "named"),
    [
        (lambda: Air(math.nan, 1013.0, 0.5), "air.temperature_c"),
        (lambda: Air(20.0, 29.92, 0.5), "air.pressure_hpa"),
        (lambda: Air(20.0, 1013.0, 50.0), "air.relative_humidity"),
        (lambda: Air("warm", 1013.0, 0.5), "air.temperature_c"),  # type: ignore[arg-type]
        (lambda: Air(20.0, 1013.0, 0.5, gas="steam"), "air.gas"),  # type: ignore[arg-type]
        (lambda: Air.standard(20_000.0), "altitude_m"),
        (lambda: station_pressure_hpa(29.92, 0.0), "altimeter_hpa"),
        (lambda: Wind(-1.0, 0.0), "wind.speed_m_s"),
        (lambda: Wind(5.0, math.inf), "wind.from_deg"),
        (lambda: Wind(5.0, 0.0, gust_m_s=3.0), "wind.gust_m_s"),
        (lambda: Wind(5.0, 0.0, height_m=2.0, roughness_m=1.0), "wind.height_m"),
        (lambda: Body(175.0, 0.21, 0.001, 0.0006), "body.mass_kg"),
        (lambda: Body(0.175, 21.2, 0.001, 0.0006), "body.diameter_m"),
        (lambda: Body(0.175, 0.212, 0.0025, 0.0013), "body.axial_inertia_kg_m2"),
        (lambda: Body(0.175, 0.212, 0.0015, 0.0005), "body.transverse_inertia_kg_m2"),
        (lambda: Body.from_dimensions(0.175, 0.212, 1.7), "rim_width_m"),
        (lambda: Aero(0.1, 2.0, -0.1, 1.0, 0.0, 0.0, 0.1), "aero.cd0"),
        (lambda: AERO.curves(2.0), "alpha_rad"),
        (lambda: Printed(16, 5, -1, 2), "printed.speed"),
        (lambda: Printed(7, 5, -6, 2), "printed.turn"),
        (lambda: Release(0.0, 95.0, 0.1, 0.0, 0.0), "release.speed_m_s"),
        (lambda: Release(22.0, -95.0, 0.1, 0.0, 0.0), "release.spin_rad_s"),
        (lambda: Release(22.0, 95.0, 10.0, 0.0, 0.0), "release.launch_rad"),
        (lambda: Release(22.0, 95.0, 0.1, 0.0, 0.0, hand="both"), "release.hand"),  # type: ignore[arg-type]
        (lambda: Release(22.0, 95.0, 0.1, 0.0, 0.0, style="roll"), "release.style"),  # type: ignore[arg-type]
        (lambda: Ground(0.0, 0.2, 0.5), "ground.friction"),
        (lambda: Ground.named("lava"), "ground"),
        (lambda: fly(AERO, BODY, THROW, AIR, model="toy"), "model"),  # type: ignore[arg-type]
        (lambda: fly(AERO, BODY, THROW, AIR, ground="lava"), "ground"),
        (lambda: fly(AERO, BODY, THROW, AIR, bearing_deg=math.nan), "bearing_deg"),
        (lambda: fly(AERO, BODY, THROW, AIR, ground_z_m=1e4), "ground_z_m"),
        (lambda: fly("disc", BODY, THROW, AIR), "aero"),  # type: ignore[arg-type]
        (lambda: fly_many(AERO, BODY, [], AIR), "release"),
        (lambda: fly_many(AERO, BODY, THROW, 1000.0), "air"),
        (lambda: fly_many(AERO, BODY, THROW, AIR, 5.0), "wind"),  # type: ignore[arg-type]
        (lambda: fly_many(AERO, BODY, THROW, AIR, path_points=1), "path_points"),
        (lambda: fly_many(AERO, BODY, THROW, AIR, WindArrays(np.zeros((2, 2)))), "wind.east_m_s"),
        (lambda: fly_many(AERO, BODY, THROW, AIR, WindArrays("breeze")), "wind.east_m_s"),
        (
            lambda: fly_many(
                AERO, BODY, ReleaseArrays(np.array([20.0, math.nan]), 95.0, 0.1, 0.0, 0.0), AIR
            ),
            "release.speed_m_s",
        ),
        (
            lambda: fly_reference(
                AERO.curves, Damping(), BODY, THROW, Surroundings(1.2),
                model="toy",  # type: ignore[arg-type]
            ),
            "model",
        ),
    ],
)  # fmt: skip
def test_bad_arguments_are_named_in_one_sentence(make: Callable[[], Any], named: str) -> None:
    with pytest.raises(InputError) as caught:
        make()
    text = str(caught.value)
    assert text.startswith(named)
    assert text.endswith(".")
    assert "\n" not in text


def test_unequal_lengths_are_named() -> None:
    releases = ReleaseArrays(np.full(3, 20.0), 95.0, np.zeros(2), 0.0, 0.0)
    with pytest.raises(InputError, match=r"launch_rad has 2 entries but speed_m_s has 3"):
        fly_many(AERO, BODY, releases, AIR)


@pytest.mark.parametrize(
    "text", ["", "   ", "hello", "METAR", "18010KT", "METAR XX nonsense", "\x00\x01", "METAR " * 40]
)
def test_nonsense_weather_is_an_input_error(text: str) -> None:
    for read in (Wind.from_metar, lambda t: Air.from_metar(t, 100.0), parse_metar):
        with pytest.raises(InputError, match=r"weather report") as caught:
            read(text)
        assert "\n" not in str(caught.value)


def test_weather_without_wind_or_temperature_says_so() -> None:
    with pytest.raises(InputError, match="no wind"):
        Wind.from_metar("METAR EHAM 141825Z 9999 04/04 Q1024")
    with pytest.raises(InputError, match="no temperature"):
        Air.from_metar("METAR EHAM 141825Z 18010KT 9999 Q1024", 0.0)
    with pytest.raises(InputError, match="no altimeter setting"):
        Air.from_metar("METAR EHAM 141825Z 18010KT 9999 04/04", 0.0)


def test_units_and_variable_wind_of_reports() -> None:
    metres = Wind.from_metar("METAR UUEE 141825Z 18005MPS 9999 04/04 Q1024")
    assert (metres.speed_m_s, metres.from_deg) == (5.0, 180.0)
    hours = Wind.from_metar("METAR ZZZZ 141825Z 09036KMH 9999 04/04 Q1024")
    assert hours.speed_m_s == pytest.approx(10.0)
    variable = parse_metar("METAR EHAM 141825Z VRB03KT 9999 04/04 Q1024")
    assert variable.wind_from_deg is None
    assert variable.wind_speed_m_s == pytest.approx(3 * 1852 / 3600, rel=1e-4)
    assert Wind.from_metar("METAR EHAM 141825Z VRB03KT 9999 04/04 Q1024").from_deg == 0.0


def test_lists_and_arrays_mean_the_same() -> None:
    releases = [Release(s, 95.0, 0.15, 0.05, 0.0) for s in (18.0, 22.0, 26.0)]
    aeros = [aero_from_printed(Printed(7, 5, t, 2)) for t in (-3, -1, 0)]
    winds = [Wind(3.0, d) for d in (0.0, 90.0, 200.0)]
    listed = fly_many(aeros, [BODY] * 3, releases, [AIR] * 3, winds)
    vectors = np.array([w.vector_10m_m_s for w in winds])
    arrays = fly_many(
        AeroArrays(**{n: np.array([getattr(a, n) for a in aeros]) for n in AERO_LIMITS}),
        BodyArrays(BODY.mass_kg, BODY.diameter_m, np.full(3, BODY.axial_inertia_kg_m2)),
        ReleaseArrays(np.array([18.0, 22.0, 26.0]), 95.0, 0.15, 0.05, 0.0),
        AIR.density_kg_m3,
        WindArrays(vectors[:, 0], vectors[:, 1]),
    )
    assert listed.landing_m.tobytes() == arrays.landing_m.tobytes()
    assert len(listed) == 3


def test_read_only_arrays_are_taken() -> None:
    speeds = np.broadcast_to(22.0, (4,))
    flights = fly_many(AERO, BODY, ReleaseArrays(speeds, 95.0, 0.15, 0.05, 0.0), AIR)
    assert np.ptp(flights.landing_m, axis=0).max() == 0.0


def test_wind_blows_from_where_it_is_said_to() -> None:
    """Aim line east: wind from the east is in the face; from the south it comes from the right."""
    calm = fly(AERO, BODY, THROW, AIR, bearing_deg=90.0)
    head = fly(AERO, BODY, THROW, AIR, Wind(5.0, 90.0), bearing_deg=90.0)
    cross = fly(AERO, BODY, THROW, AIR, Wind(5.0, 180.0), bearing_deg=90.0)
    assert head.range_m < calm.range_m
    assert head.apex_m > calm.apex_m
    assert cross.left_m > calm.left_m + 3.0
    assert Wind(5.0, 270.0).vector_10m_m_s == pytest.approx((5.0, 0.0))


def test_printed_arrays_equal_single_and_stay_finite_outside() -> None:
    printed = Printed(9, 5, -2, 1.5)
    single = aero_from_printed(printed)
    arrays = aero_arrays_from_printed([9.0], [5.0], [-2.0], [1.5])
    for name in AERO_LIMITS:
        assert np.ravel(getattr(arrays, name))[0] == getattr(single, name)
    # A little outside the printed ranges, as beliefs sample them: still a flying disc.
    grid = np.array(np.meshgrid([0.5, 15.5], [0.5, 7.5], [-6.5, 2.5], [-0.8, 6.5])).reshape(4, -1)
    flights = fly_many(aero_arrays_from_printed(*grid), BODY, THROW, AIR)
    assert np.isfinite(flights.landing_m).all()
    assert flights.landed.all()


def test_damping_kinds_agree_where_they_should() -> None:
    """At speed V the raw kind is the dimensionless kind times d / 2V."""
    hat = Aero.with_dimensionless_damping(0.14, 2.15, 0.06, 1.25, -0.05, 0.0, 0.05, cl_p=-2.0)
    lag = BODY.diameter_m / (2 * THROW.speed_m_s)
    raw = Aero(0.14, 2.15, 0.06, 1.25, -0.05, 0.0, 0.05, cl_p_s=-2.0 * lag)
    apart = fly(hat, BODY, THROW, AIR).landing_m - fly(raw, BODY, THROW, AIR).landing_m
    bare = Aero(0.14, 2.15, 0.06, 1.25, -0.05, 0.0, 0.05)
    effect = fly(hat, BODY, THROW, AIR).landing_m - fly(bare, BODY, THROW, AIR).landing_m
    assert np.linalg.norm(apart) < 0.5 * np.linalg.norm(effect)
