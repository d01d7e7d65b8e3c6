from __future__ import annotations

import math

import pytest

from rimwise.course.frame import LocalFrame
from rimwise.errors import InputError


def test_east_is_x_and_north_is_y():
    frame = LocalFrame(45.0, -35.0)
    assert frame.to_local(45.0, -35.0) == (0.0, 0.0)
    east, north = frame.to_local(45.0, -34.999)
    assert east > 78.0
    assert abs(north) < 0.01
    east, north = frame.to_local(45.001, -35.0)
    assert east == 0.0
    assert north > 111.0


def test_the_date_line_runs_through_a_course():
    frame = LocalFrame(-17.0, 179.9999)
    east, _ = frame.to_local(-17.0, -179.9999)
    assert east == pytest.approx(21.3, abs=0.1)
    assert frame.to_geographic(east, 0.0)[1] == pytest.approx(-179.9999, abs=1e-9)


@pytest.mark.parametrize("lat_lon", [(91.0, 0.0), (0.0, 181.0), (math.nan, 0.0)])
def test_a_position_off_the_globe_is_refused(lat_lon):
    with pytest.raises(InputError, match=r"^(latitude|longitude) must be .*\.$"):
        LocalFrame(0.0, 0.0).to_local(*lat_lon)


@pytest.mark.parametrize("point", [(60_000.0, 0.0), (math.nan, 0.0), (0.0, math.inf)])
def test_a_point_that_is_no_course_is_refused(point):
    with pytest.raises(InputError, match="within 50 km"):
        LocalFrame(0.0, 0.0).to_geographic(*point)
