"""A scenario day as the simulation needs it, split into the factors that a season changes.

Six things differ between two seasons: grip, arm, air, wind, ground and water. They are kept
apart so that each can be taken from another day alone, which is how a swap's cause is found.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from rimwise.flight.air import Air
from rimwise.flight.wind import Wind
from rimwise.records.assumptions import Assumptions
from rimwise.records.conditions import Conditions, ScenarioDay
from rimwise.records.thrower import Thrower

__all__ = ["FACTORS", "Day", "DayWind", "couple_days", "day_of", "days_of"]

#: What a season changes, in the order in which causes are told.
FACTORS = ("grip", "arm", "air", "wind", "ground", "water")

#: The fields of a day behind a factor, where they are not its name.
_FIELDS = {
    "air": ("air_density_kg_m3",),
    "ground": ("ground", "cover", "dusk"),
    "water": ("water_recovery",),
}
#: A gust is about this many standard deviations above the mean wind (memory: peak factor
#: of a 3 s gust in ten minutes, 2.5 to 3).
GUST_PEAK_FACTOR = 2.8


@dataclass(frozen=True, slots=True)
class DayWind:
    """Mean wind at 10 m, where it comes from, and its spread from throw to throw."""

    speed_m_s: float
    from_deg: float
    sd_m_s: float
    roughness_m: float

    @property
    def strongest_m_s(self) -> float:
        """A strong but not rare gust: mean and two thirds of a standard deviation."""
        return self.speed_m_s + self.sd_m_s * 2.0 / 3.0


@dataclass(frozen=True, slots=True)
class Day:
    """One kind of day.

    Parameters
    ----------
    share
        Fraction of the rounds played on such a day.
    grip
        Weights of the four kinds of air (cold-dry, cold-wet, warm-dry, hot-sweaty) in what
        the hand feels; they sum to one.
    arm
        Factor on release speed.
    air_density_kg_m3
        Density of the air.
    ground
        Kind of ground, a name of :class:`rimwise.records.conditions.Ground`.
    water_recovery
        Chance to get a sunken disc back without going in after it.
    cover, dusk
        What hides a disc on the ground, a name of :class:`rimwise.records.conditions.Cover`,
        and whether the light is poor.
    """

    name: str
    share: float
    grip: tuple[float, float, float, float]
    arm: float
    air_density_kg_m3: float
    wind: DayWind
    ground: str
    water_recovery: float
    cover: str = "green"
    dusk: bool = False

    def with_factor(self, factor: str, other: Day) -> Day:
        """Return this day with one factor taken from another day."""
        fields = _FIELDS.get(factor, (factor,))
        return replace(self, **{field: getattr(other, field) for field in fields})

    def grip_grades(self, grades: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the grip felt on this day, from grades of shape (n, 4); shape (n,)."""
        return np.asarray(grades @ np.asarray(self.grip))


def day_of(day: ScenarioDay, share: float, thrower: Thrower, assume: Assumptions) -> Day:
    """Turn a recorded day into the factors of a simulation."""
    air = Air(day.temperature_c, day.pressure_hpa, day.relative_humidity)
    speed_m_s = day.wind_speed_m_s * assume.shelter_factor
    return Day(
        name=day.name,
        share=share,
        grip=_grip_weights(day, assume),
        arm=thrower.cold_arm.speed_factor(day.temperature_c),
        air_density_kg_m3=float(air.density_kg_m3),
        wind=DayWind(
            speed_m_s=speed_m_s,
            from_deg=day.wind_from_deg,
            sd_m_s=_gust_sd_m_s(day, speed_m_s, assume),
            roughness_m=assume.wind_roughness_m,
        ),
        ground=day.ground.value,
        water_recovery=day.water_recovery,
        cover=day.cover.value,
        dusk=day.dusk,
    )


def days_of(conditions: Conditions, thrower: Thrower, assume: Assumptions) -> tuple[Day, ...]:
    """Turn a named set of days into simulation days whose shares sum to one."""
    return tuple(
        day_of(day, share, thrower, assume)
        for day, share in zip(conditions.days, conditions.shares, strict=True)
        if share > 0
    )


def _grip_weights(day: ScenarioDay, assume: Assumptions) -> tuple[float, float, float, float]:
    """Blend the four kinds of air by temperature; between cold and hot it is warm and dry.

    Over a band of 8 °C around each limit the kinds mix, so that no degree is a cliff.
    """
    band_c = 8.0
    cold = float(np.clip(0.5 + (assume.cold_below_c - day.temperature_c) / band_c, 0.0, 1.0))
    hot = float(np.clip(0.5 + (day.temperature_c - assume.hot_above_c) / band_c, 0.0, 1.0))
    warm = 1.0 - cold - hot
    if day.wet:  # warm rain is graded like cold rain: water on the rim is what slips
        return 0.0, cold + warm, 0.0, hot
    return cold, 0.0, warm, hot


def _gust_sd_m_s(day: ScenarioDay, speed_m_s: float, assume: Assumptions) -> float:
    if day.gust_m_s is not None:
        return (day.gust_m_s - day.wind_speed_m_s) * assume.shelter_factor / GUST_PEAK_FACTOR
    steady = Wind(speed_m_s, day.wind_from_deg, roughness_m=assume.wind_roughness_m)
    return speed_m_s * steady.turbulence_intensity()


def couple_days(here: Sequence[Day], there: Sequence[Day]) -> list[tuple[Day, Day, float]]:
    """Pair the days of two seasons by the rank of their wind, with the share of each pair.

    The calmest share of one season meets the calmest share of the other, and so on (a
    comonotone coupling): at most ``len(here) + len(there) − 1`` pairs whose shares sum to one.
    """
    left = sorted(here, key=lambda day: (day.wind.speed_m_s, day.name))
    right = sorted(there, key=lambda day: (day.wind.speed_m_s, day.name))
    pairs: list[tuple[Day, Day, float]] = []
    i = j = 0
    left_rest, right_rest = left[0].share, right[0].share
    while i < len(left) and j < len(right):
        share = min(left_rest, right_rest)
        if share > 1e-12:
            pairs.append((left[i], right[j], share))
        left_rest -= share
        right_rest -= share
        if left_rest <= 1e-12:
            i += 1
            left_rest = left[i].share if i < len(left) else 0.0
        if right_rest <= 1e-12:
            j += 1
            right_rest = right[j].share if j < len(right) else 0.0
    return pairs
