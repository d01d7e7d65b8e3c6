"""What is seen of the reference throw, against the same throw flown and looked at on its own."""

from __future__ import annotations

import numpy as np
import pytest

from rimwise.flight.air import Air
from rimwise.flight.fly import fly_many
from rimwise.flight.meaning import PART_S, observe, reference_body, reference_release
from rimwise.flight.printed import aero_arrays_from_printed

DISCS = ([7.0, 12.0, 3.0, 9.0], [5.0, 5.0, 3.0, 4.0], [-2.0, 0.0, 0.0, -4.5], [1.5, 4.0, 0.0, 0.5])
AERO = aero_arrays_from_printed(*DISCS)


def test_the_side_after_the_first_part_and_the_hook_of_the_last_are_those_of_the_path() -> None:
    seen = observe(AERO, 25.0, DISCS[0])
    bodies = [reference_body(speed) for speed in DISCS[0]]
    flights = fly_many(
        AERO, bodies, reference_release(25.0), Air.standard(0.0).density_kg_m3, path_points=4001
    )
    for n, path in enumerate(flights.path_m):
        time_s = np.linspace(0.0, flights.hang_s[n], len(path))
        assert -np.interp(PART_S, time_s, path[:, 1]) == pytest.approx(seen.turned_m[n], abs=0.01)
        heading = np.unwrap(np.arctan2(np.gradient(path[:, 1]), np.gradient(path[:, 0])))
        then = np.interp(flights.hang_s[n] - PART_S, time_s, heading)
        assert np.degrees(heading[-1] - then) == pytest.approx(seen.hook_deg[n], abs=1.0)
    assert seen.range_m == pytest.approx(flights.range_m)
    assert seen.drift_m == pytest.approx(-flights.rightmost_m)


def test_a_disc_that_holds_is_never_on_the_turn_side_and_hooks() -> None:
    seen = observe(AERO, 20.0, DISCS[0])
    assert seen.turned_m[1] < 0.0
    assert seen.drift_m[1] < 0.1
    assert seen.hook_deg[1] > 10.0
    assert seen.finish_deg[1] > 0.0


def test_a_flight_shorter_than_its_parts_is_taken_whole() -> None:
    """At 3 m/s every disc is down in less than a second: the side is that of the first touch."""
    seen = observe(AERO, 3.0)
    assert (seen.hang_s < PART_S).all()
    landed = np.tan(np.radians(seen.finish_deg)) * seen.range_m
    assert seen.turned_m == pytest.approx(-landed, abs=1e-6)


def test_the_body_goes_with_the_printed_speed() -> None:
    """More axial inertia at equal coefficients and mass tips less."""
    always_fades = aero_arrays_from_printed([7.0], [5.0], [1.0], [5.0])
    rims = sorted((2.0, 7.0, 13.0), key=lambda rim: reference_body(rim).axial_inertia_kg_m2)
    light, usual, heavy = (observe(always_fades, 22.0, rim).turned_m[0] for rim in rims)
    assert light < usual < heavy < 0.0
    assert observe(always_fades, 22.0).turned_m[0] == observe(always_fades, 22.0, 7.0).turned_m[0]
