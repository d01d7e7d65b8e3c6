"""Realistic throws, and how far kernel, precession and rigid body land from each other."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from rimwise.flight.aero import Aero
from rimwise.flight.air import Air
from rimwise.flight.body import Body
from rimwise.flight.fly import fly_many
from rimwise.flight.printed import Printed, aero_from_printed
from rimwise.flight.reference import (
    NOD_SHARE,
    Damping,
    ReferenceFlight,
    Surroundings,
    fly_reference,
)
from rimwise.flight.release import Release
from rimwise.flight.wind import Wind

if TYPE_CHECKING:
    from typing import Literal

    from numpy.typing import NDArray

    Throw = tuple[Aero, Body, Release, Air, Wind]

__all__ = ["fly_throw", "landing_differences_m", "realistic_disc", "realistic_throws"]

# Shares and limits of printed speed that give the rim widths of 1,260 approved discs
# (governing body's export, October 2020; see docs/bibliography.md).
_SPEED_LIMITS = ((1.0, 3.0), (3.0, 5.0), (5.0, 8.75), (8.75, 11.25), (11.25, 14.5))
_SPEED_SHARES = (0.30, 0.15, 0.25, 0.17, 0.13)


def realistic_disc(rng: np.random.Generator) -> tuple[Printed, Body]:
    """Draw a disc such as people carry.

    Speeds follow the measured rim widths of approved discs. The rest is common practice, no
    source: glide grows with speed from about 3 to 5½, fade from about 1 to 2½, turn is about
    −1; one stability moves turn and fade together (correlation 0.8). Weight 150–175 g,
    diameter 21.0–21.7 cm, whatever the disc.
    """
    low, high = _SPEED_LIMITS[rng.choice(5, p=_SPEED_SHARES)]
    speed = rng.uniform(low, high)
    glide = 2.8 + 0.2 * speed + 0.8 * rng.standard_normal()
    stability, own = rng.standard_normal(2)
    turn = -1.0 + 1.0 * stability
    fade = 0.8 + 0.13 * speed + 0.8 * (0.8 * stability + 0.6 * own)
    numbers = (speed, np.clip(glide, 1, 7), np.clip(turn, -5, 1), np.clip(fade, 0, 5))
    body = Body.from_printed_speed(speed, rng.uniform(0.15, 0.175), rng.uniform(0.21, 0.217))
    return Printed(*(float(number) for number in numbers)), body


def realistic_throws(
    rng: np.random.Generator, count: int, *, wobble_rad: float = 0.0
) -> list[Throw]:
    """Draw throws an amateur could make, good and bad, of any disc in any weather.

    All ranges are even and wider than one thrower's: 12–32 m/s; spin for an advance ratio
    of 0.35–0.55; launch −2° to 25°, hyzer −25° to 35°, nose −6° to 6°, heading ±20°, height
    0.6–2 m; either hand; −5 to 35 °C, 800–1040 hPa, any humidity; wind up to 8 m/s from
    anywhere over open ground. Discs as in :func:`realistic_disc`. Common practice, no source.

    Parameters
    ----------
    rng : numpy.random.Generator
        Source of chance.
    count : int
        How many.
    wobble_rad : float
        Scale of the half-normal wobble, cut at 0.6 rad; 0 for none.
    """
    throws = []
    for _ in range(count):
        printed, body = realistic_disc(rng)
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
            wobble_rad=min(abs(wobble_rad * float(rng.standard_normal())), 0.6),
        )
        air = Air(rng.uniform(-5, 35), rng.uniform(800, 1040), rng.uniform(0, 1))
        wind = Wind(rng.uniform(0, 8), rng.uniform(0, 360), roughness_m=rng.uniform(0.01, 0.1))
        throws.append((aero_from_printed(printed), body, release, air, wind))
    return throws


def fly_throw(
    throw: Throw,
    model: Literal["precession", "rigid"],
    *,
    points: int = 2,
    relative_tolerance: float = 1e-9,
    wobble_phase_rad: float = 0.0,
    nod_share: float = NOD_SHARE,
) -> ReferenceFlight:
    """Fly one throw toward north under DOP853; arguments as in :func:`fly_reference`."""
    aero, body, release, air, wind = throw
    east, north = wind.vector_10m_m_s
    scene = Surroundings(air.density_kg_m3, north, -east, wind.roughness_m)
    return fly_reference(
        aero, Damping.of(aero), body, release, scene, model=model, points=points,
        relative_tolerance=relative_tolerance, wobble_phase_rad=wobble_phase_rad,
        nod_share=nod_share,
    )  # fmt: skip


def landing_differences_m(throws: list[Throw]) -> NDArray[np.float64]:
    """Distance between the kernel's landing and DOP853's, same model, per throw.

    Returns
    -------
    (N,) float64
        Metres.
    """
    aeros, bodies, releases, airs, winds = (list(part) for part in zip(*throws, strict=True))
    fast = fly_many(aeros, bodies, releases, airs, winds).landing_m
    slow = [fly_throw(throw, "precession").position_m[-1] for throw in throws]
    return np.asarray(np.linalg.norm(fast - np.array(slow), axis=1))
