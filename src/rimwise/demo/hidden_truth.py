"""What the demonstration's discs and arm really are: the truth its evidence is drawn from.

The tool never sees these numbers, only the printed ones and the evidence. All of them are
invented; so is the player.
"""

from __future__ import annotations

import csv
import io
import re
import zlib
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rimwise.flight.aero import AeroArrays
from rimwise.flight.air import Air
from rimwise.flight.body import Body, BodyArrays, rim_width_from_printed_speed_m
from rimwise.flight.flights import Flights
from rimwise.flight.fly import fly_many
from rimwise.flight.printed import aero_arrays_from_printed
from rimwise.flight.release import ReleaseArrays
from rimwise.flight.wind import Wind

__all__ = ["ROOT_SEED", "Cast", "Truth", "hidden_truth", "stream", "throw"]

Floats = NDArray[np.float64]

ROOT_SEED = 2026

#: How far molds and single discs stray from the printed numbers (speed, glide, turn, fade).
MOLD_SD = np.array([0.5, 0.5, 0.45, 0.4])
DISC_SD = np.array([0.2, 0.2, 0.3, 0.25])
WEAR = {"new": 0.0, "good": 0.2, "worn": 0.6, "beaten": 0.9}
WEAR_DRIFT = np.array([0.0, 0.0, -1.3, -0.8])
WEIGHT_SD_G, UNKNOWN_WEIGHT_G = 1.5, 172.0

#: The arm: release speed at full effort (m/s), rim speed over forward speed, cold loss.
SPEED_M_S = {"backhand": 22.4, "forehand": 19.1}
ADVANCE_RATIO = 0.46
SPEED_LOSS_PER_C, COMFORTABLE_C = 0.005, 18.0
NOSE_DEG, HEADING_BIAS_DEG = 0.8, 1.0

#: One throw's spread: speed (fraction), launch, hyzer, nose, heading (degrees).
SPREAD = np.array([0.035, 2.2, 3.5, 2.5, 3.5])
SHANK_CHANCE, SHANK_DEG = 0.03, 18.0


@dataclass(frozen=True, slots=True)
class Truth:
    """The discs as they really are, one entry each."""

    ids: tuple[str, ...]
    printed: Floats
    mass_kg: Floats

    def index(self, disc_id: str) -> int:
        """Return where a disc stands."""
        return self.ids.index(disc_id)


@dataclass(frozen=True, slots=True)
class Cast:
    """Throws as intended: disc indices and lines (degrees, effort), arrays of one length.

    ``forehand`` marks the style of each throw, ``aim_deg`` points left of the target.
    """

    disc: NDArray[np.intp]
    hyzer_deg: Floats
    launch_deg: Floats
    effort: Floats
    forehand: NDArray[np.bool_]
    aim_deg: Floats


def stream(component: str, *index: int) -> np.random.Generator:
    """Return the random stream of one component and sample index."""
    key = (zlib.crc32(component.encode()), *index)
    return np.random.default_rng(np.random.SeedSequence(ROOT_SEED, spawn_key=key))


def hidden_truth(discs_csv: str, plastics_csv: str) -> Truth:
    """Draw what the discs of the list really are, each mold and disc from its own stream."""
    discs = list(csv.DictReader(io.StringIO(discs_csv)))
    shifts = {
        row["name"]: float(row["stability shift"])
        for row in csv.DictReader(io.StringIO(plastics_csv))
    }
    printed = np.empty((len(discs), 4))
    mass_g = np.empty(len(discs))
    for i, disc in enumerate(discs):
        mold = stream("mold", zlib.crc32(disc["mold"].encode())).standard_normal(4)
        own = stream("disc", zlib.crc32(disc["disc"].encode())).standard_normal(5)
        printed[i] = [float(disc[name]) for name in ("speed", "glide", "turn", "fade")]
        printed[i] += MOLD_SD * mold + DISC_SD * own[:4] + WEAR_DRIFT * WEAR[disc["wear"]]
        printed[i, 2:] += shifts[disc["plastic"]]
        number = re.search(r"\d{3}", disc["weight"])
        mass_g[i] = (float(number[0]) if number else UNKNOWN_WEIGHT_G) + WEIGHT_SD_G * own[4]
    return Truth(tuple(disc["disc"] for disc in discs), printed, mass_g / 1000.0)


def throw(
    truth: Truth,
    cast: Cast,
    air: Air,
    random: np.random.Generator | None = None,
    *,
    wind: Wind | None = None,
    bearing_deg: float = 0.0,
    ground: str = "firm",
) -> Flights:
    """Fly each throw of the left-handed player once; without ``random``, exactly as intended."""
    count = len(cast.disc)
    wobble = np.zeros((count, 5)) if random is None else random.standard_normal((count, 5)) * SPREAD
    shank = np.zeros(count)
    if random is not None:
        side = random.choice((-1.0, 1.0), count)
        shank = np.where(random.random(count) < SHANK_CHANCE, side * SHANK_DEG, 0.0)
    cold_c = max(0.0, COMFORTABLE_C - air.temperature_c)
    full = np.where(cast.forehand, SPEED_M_S["forehand"], SPEED_M_S["backhand"])
    speed = full * cast.effort * (1.0 - SPEED_LOSS_PER_C * cold_c) * (1.0 + wobble[:, 0])
    bodies = [
        Body.from_printed_speed(float(np.clip(truth.printed[i, 0], 1.0, 15.0)), truth.mass_kg[i])
        for i in cast.disc
    ]
    release = ReleaseArrays(
        speed_m_s=speed,
        spin_rad_s=2.0 * ADVANCE_RATIO * speed / np.array([body.diameter_m for body in bodies]),
        launch_rad=np.radians(cast.launch_deg + wobble[:, 1]),
        hyzer_rad=np.radians(cast.hyzer_deg + wobble[:, 2]),
        nose_rad=np.radians(NOSE_DEG + wobble[:, 3]),
        heading_rad=np.radians(cast.aim_deg + HEADING_BIAS_DEG + wobble[:, 4] + shank),
        side=np.where(cast.forehand, 1.0, -1.0),
    )
    return fly_many(
        _aero(truth, cast),
        BodyArrays(
            np.array([body.mass_kg for body in bodies]),
            np.array([body.diameter_m for body in bodies]),
            np.array([body.axial_inertia_kg_m2 for body in bodies]),
        ),
        release,
        air,
        wind,
        bearing_deg=bearing_deg,
        ground=ground,
        rim_width_m=np.array(
            [
                rim_width_from_printed_speed_m(float(np.clip(speed, 1.0, 15.0)))
                for speed in truth.printed[cast.disc, 0]
            ]
        ),
    )


def _aero(truth: Truth, cast: Cast) -> AeroArrays:
    speed, glide, turn, fade = truth.printed[cast.disc].T
    return aero_arrays_from_printed(speed, glide, turn, fade)
