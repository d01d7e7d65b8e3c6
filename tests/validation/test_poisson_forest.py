"""The chance to strike a stem against forests whose every stem stands somewhere.

Source: the void probability of a Poisson point process, exp(-density × area), in any textbook of
stochastic geometry (Chiu S N, Stoyan D, Kendall W S, Mecke J (2013) Stochastic Geometry and its
Applications; memory, unverified), and here a count of stems by NumPy and shapely.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from rimwise.course.woods import DISC_WIDTH_M, WOODS, canopy_m, hits_per_m, stems_in_words
from rimwise.errors import InputError
from rimwise.records.assumptions import Assumptions
from rimwise.records.courses import Area, AreaKind

ASSUME = Assumptions()
SQUARE = ((0.0, 0.0), (9.0, 0.0), (9.0, 9.0))


@pytest.mark.parametrize("stems_per_ha", [120.0, 400.0, 1500.0])
def test_straight_flights_strike_as_often_as_in_planted_forests(stems_per_ha):
    """4000 forests; the share of clear 20 m flights lies within 4 standard errors."""
    rng = np.random.default_rng(3)
    flown_m, side_m, forests = 20.0, 30.0, 4000
    flight = shapely.LineString([(5.0, 15.0), (5.0 + flown_m, 15.0)])
    reach_m = 0.5 * (ASSUME.wood_stem_m + DISC_WIDTH_M)
    counts = rng.poisson(stems_per_ha / 1e4 * side_m**2, forests)
    stems = shapely.points(rng.uniform(0.0, side_m, (counts.sum(), 2)))
    struck = shapely.distance(stems, flight) < reach_m
    owner = np.repeat(np.arange(forests), counts)
    hit = np.bincount(owner, struck, minlength=forests) > 0
    wood = Area(AreaKind.WOOD, SQUARE, stems_per_ha=stems_per_ha)
    # The disc's round ends strike a little more than its path's length says.
    length_m = flown_m + math.pi / 4.0 * 2.0 * reach_m
    clear = math.exp(-hits_per_m(wood, ASSUME) * length_m)
    error = math.sqrt(clear * (1.0 - clear) / forests)
    assert abs((1.0 - hit.mean()) - clear) < 4.0 * error


def test_an_unknown_wood_is_the_assumed_one_and_close_to_a_medium_one():
    plain = Area(AreaKind.WOOD, SQUARE)
    assert hits_per_m(plain, ASSUME) == ASSUME.wood_hit_per_m
    assert canopy_m(plain, ASSUME) == ASSUME.wood_canopy_m
    medium = Area(AreaKind.WOOD, SQUARE, stems_per_ha=WOODS["medium"], canopy_m=8.0)
    assert hits_per_m(medium, ASSUME) == pytest.approx(ASSUME.wood_hit_per_m, rel=0.1)
    assert canopy_m(medium, ASSUME) == 8.0


def test_stems_are_said_in_words_or_numbers():
    assert stems_in_words(" Dense ") == WOODS["dense"]
    assert stems_in_words("250") == 250.0
    with pytest.raises(InputError, match="'some' is no wood; write the stems"):
        stems_in_words("some")
