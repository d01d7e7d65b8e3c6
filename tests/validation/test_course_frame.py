"""The local frame against PROJ (through pyproj), geodesics after Karney (2013).

C. F. F. Karney, Algorithms for geodesics, J. Geodesy 87 (2013), 43–55, as PROJ's Geod; the
ellipsoidal orthographic projection of IOGP Guidance Note 7-2 (method 9840) as PROJ's ortho.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pyproj import Geod, Proj

from rimwise.course.frame import LocalFrame

WGS84 = Geod(ellps="WGS84")
centimetre = 0.01

latitudes = st.floats(-60.0, 60.0)
longitudes = st.floats(-180.0, 180.0)
offsets = st.floats(-500.0, 500.0)


@settings(deadline=None)
@given(latitudes, longitudes, offsets, offsets, offsets, offsets)
def test_distances_and_bearings_between_points_of_a_course_are_geodesic(
    lat, lon, east_1, north_1, east_2, north_2
):
    frame = LocalFrame(lat, lon)
    lat_1, lon_1 = frame.to_geographic(east_1, north_1)
    lat_2, lon_2 = frame.to_geographic(east_2, north_2)
    azimuth, _, distance = WGS84.inv(lon_1, lat_1, lon_2, lat_2)
    ours = math.hypot(east_2 - east_1, north_2 - north_1)
    # 1 cm in 500 m, at most 1 cm on anything shorter.
    assert abs(ours - distance) < centimetre * max(1.0, distance / 500.0)
    if distance > 20.0:
        bearing = math.degrees(math.atan2(east_2 - east_1, north_2 - north_1))
        assert abs((bearing - azimuth + 180.0) % 360.0 - 180.0) < 0.01


@settings(deadline=None)
@given(st.floats(-85.0, 85.0), longitudes, st.floats(0.0, 360.0), st.floats(0.0, 3000.0))
def test_a_geodesic_from_the_origin_keeps_its_length_and_azimuth(lat, lon, azimuth, distance):
    lon_2, lat_2, _ = WGS84.fwd(lon, lat, azimuth, distance)
    east, north = LocalFrame(lat, lon).to_local(lat_2, lon_2)
    assert east == pytest.approx(distance * math.sin(math.radians(azimuth)), abs=centimetre)
    assert north == pytest.approx(distance * math.cos(math.radians(azimuth)), abs=centimetre)


@settings(deadline=None)
@given(st.floats(-85.0, 85.0), longitudes, st.floats(-4000.0, 4000.0), st.floats(-4000.0, 4000.0))
def test_it_is_the_ellipsoidal_orthographic_projection_of_proj(lat, lon, east, north):
    # PROJ reads the origin from text; give both the same digits.
    lat, lon = round(lat, 6), round(lon, 6)
    projection = Proj(proj="ortho", ellps="WGS84", lat_0=lat, lon_0=lon)
    lat_1, lon_1 = LocalFrame(lat, lon).to_geographic(east, north)
    assert projection(lon_1, lat_1) == pytest.approx((east, north), abs=1e-5)


@given(st.floats(-89.0, 89.0), longitudes, st.floats(-4000.0, 4000.0), st.floats(-4000.0, 4000.0))
def test_there_and_back_again(lat, lon, east, north):
    frame = LocalFrame(lat, lon)
    assert frame.to_local(*frame.to_geographic(east, north)) == pytest.approx(
        (east, north), abs=1e-5
    )
