"""How far the fast kernel lands from the same equations under DOP853."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from rimwise.flight.aero import Aero
from rimwise.flight.air import Air
from rimwise.flight.body import Body
from rimwise.flight.fly import fly_many
from rimwise.flight.printed import Printed, aero_from_printed
from rimwise.flight.reference import Damping, Surroundings, fly_reference
from rimwise.flight.release import Release
from rimwise.flight.wind import Wind

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Throw = tuple[Aero, Body, Release, Air, Wind]

__all__ = ["landing_differences_m", "realistic_throws"]


def realistic_throws(rng: np.random.Generator, count: int) -> list[Throw]:
    """Draw throws an amateur could make: any disc, 12–32 m/s, any hand, up to 8 m/s of wind."""
    throws = []
    for _ in range(count):
        speed_number = float(rng.uniform(1, 14))
        printed = Printed(
            speed_number, rng.uniform(2, 6), rng.uniform(-4, 0.5), rng.uniform(0, 4.5)
        )
        body = Body.from_printed_speed(speed_number, float(rng.uniform(0.15, 0.178)))
        speed = float(rng.uniform(12, 32))
        release = Release(
            speed_m_s=speed,
            spin_rad_s=float(2 * rng.uniform(0.35, 0.55) * speed / body.diameter_m),
            launch_rad=float(np.radians(rng.uniform(-2, 25))),
            hyzer_rad=float(np.radians(rng.uniform(-25, 35))),
            nose_rad=float(np.radians(rng.uniform(-6, 6))),
            heading_rad=float(np.radians(rng.uniform(-20, 20))),
            height_m=float(rng.uniform(0.6, 2.0)),
            hand="right" if rng.random() < 0.5 else "left",
        )
        air = Air(rng.uniform(-5, 35), rng.uniform(800, 1040), rng.uniform(0, 1))
        wind = Wind(rng.uniform(0, 8), rng.uniform(0, 360), roughness_m=rng.uniform(0.01, 0.1))
        throws.append((aero_from_printed(printed), body, release, air, wind))
    return throws


def landing_differences_m(throws: list[Throw]) -> NDArray[np.float64]:
    """Distance between the kernel's landing and DOP853's, same model, per throw.

    Returns
    -------
    (N,) float64
        Metres.
    """
    aeros, bodies, releases, airs, winds = (list(part) for part in zip(*throws, strict=True))
    fast = fly_many(aeros, bodies, releases, airs, winds).landing_m
    slow = np.empty_like(fast)
    for k, (aero, body, release, air, wind) in enumerate(throws):
        east, north = wind.vector_10m_m_s
        scene = Surroundings(air.density_kg_m3, north, -east, wind.roughness_m)
        flight = fly_reference(
            aero.curves, Damping.of(aero), body, release, scene, model="precession", points=2
        )
        slow[k] = flight.position_m[-1]
    return np.asarray(np.linalg.norm(fast - slow, axis=1))
