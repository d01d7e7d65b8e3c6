"""How fast landing points are looked up on the demonstration's course."""

from __future__ import annotations

from importlib import resources

import numpy as np
import pytest

from rimwise.course.geometry import AreaIndex, HoleRaster
from rimwise.course.osm import course_from_osm

pytestmark = pytest.mark.bench


def demo_course():
    return (resources.files("rimwise.demo") / "data/course.osm").read_bytes()


@pytest.fixture(scope="module")
def course():
    return course_from_osm(demo_course()).course


@pytest.fixture(scope="module")
def points():
    return np.random.default_rng(0).uniform(-300, 300, (100_000, 2))


def test_read_course(benchmark):
    benchmark(course_from_osm, demo_course())


def test_exact_areas_of_100k_points(benchmark, course, points):
    benchmark(AreaIndex(course).kinds, points)


def test_raster_areas_of_100k_points(benchmark, course, points):
    benchmark(HoleRaster.build(course, course.hole("6")).at, points[:, 0], points[:, 1])


def test_build_raster_of_a_hole(benchmark, course):
    benchmark(HoleRaster.build, course, course.hole("6"))


def test_wood_share_of_10k_paths(benchmark, course, points):
    hole = course.hole("8")
    benchmark(HoleRaster.build(course, hole).wood_share, hole.tee, points[:10_000] / 3 + hole.tee)


def test_relief_of_100k_landings(benchmark, course, points):
    hole = course.hole("6")
    raster = HoleRaster.build(course, hole)
    benchmark(raster.relief_points, hole.tee, points / 6 + np.array(hole.basket))
