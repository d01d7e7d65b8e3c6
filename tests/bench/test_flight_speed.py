"""Flights per second of the kernel, beside a plain loop over SciPy in the same run."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

import numpy as np
import pytest

from rimwise.flight.aero import Aero
from rimwise.flight.air import Air
from rimwise.flight.body import Body
from rimwise.flight.compare import realistic_throws
from rimwise.flight.fly import fly_many
from rimwise.flight.printed import aero_arrays_from_printed
from rimwise.flight.reference import Damping, Surroundings, fly_reference
from rimwise.flight.release import ReleaseArrays
from rimwise.flight.wind import WindArrays

if TYPE_CHECKING:
    from pytest_benchmark.fixture import BenchmarkFixture

FLIGHTS = 200_000


@pytest.mark.bench
def test_flight_speed(benchmark: BenchmarkFixture) -> None:
    rng = np.random.default_rng(1)
    offsets = rng.standard_normal((2, FLIGHTS)) * 0.4
    aero = aero_arrays_from_printed(7.0, 5.0, -1.0 + offsets[0], 2.0 + offsets[1])
    body = Body.from_printed_speed(7, 0.175)
    release = ReleaseArrays(
        22.0 + rng.standard_normal(FLIGHTS),
        93.0,
        0.15 + 0.04 * rng.standard_normal(FLIGHTS),
        0.1 + 0.07 * rng.standard_normal(FLIGHTS),
        0.04 * rng.standard_normal(FLIGHTS),
    )
    wind = WindArrays(rng.standard_normal(FLIGHTS), 2.0 + rng.standard_normal(FLIGHTS))
    density = Air.standard(0).density_kg_m3

    benchmark.pedantic(
        fly_many, args=(aero, body, release, density, wind), rounds=5, warmup_rounds=1
    )
    per_second = FLIGHTS / benchmark.stats.stats.min
    loop = _scipy_flights_per_second()
    benchmark.extra_info["flights_per_second"] = round(per_second)
    benchmark.extra_info["scipy_flights_per_second"] = round(loop, 1)
    benchmark.extra_info["ratio"] = round(per_second / loop)


def _scipy_flights_per_second(count: int = 20) -> float:
    throws: list[tuple[Aero, Body, object, Air, object]] = realistic_throws(
        np.random.default_rng(1), count
    )
    started = time.perf_counter()
    for aero, body, release, air, _wind in throws:
        fly_reference(
            aero.curves, Damping.of(aero), body, release, Surroundings(air.density_kg_m3),
            model="precession", points=2,
        )  # fmt: skip
    return count / (time.perf_counter() - started)
