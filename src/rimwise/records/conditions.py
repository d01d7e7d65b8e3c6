"""The weather to come: scenario days with weights, in named sets (a season, a round)."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from rimwise.errors import InputError, check_range

__all__ = ["Conditions", "Cover", "Ground", "ScenarioDay"]


class Ground(StrEnum):
    """What the disc lands on."""

    SOFT = "soft"
    FIRM = "firm"
    HARD = "hard"
    WET = "wet"
    FROZEN = "frozen"


class Cover(StrEnum):
    """What hides a disc on the ground, by season: the assumptions say how well."""

    GREEN = "green"
    BARE = "bare"
    LEAVES = "leaves"
    SNOW = "snow"


@dataclass(frozen=True, slots=True)
class ScenarioDay:
    """One kind of day.

    Parameters
    ----------
    weight
        Share of the season's rounds played on such a day; any positive unit.
    pressure_hpa
        Station pressure (not reduced to sea level).
    relative_humidity
        Fraction, 0 to 1.
    wind_speed_m_s, wind_from_deg, gust_m_s
        Wind at 10 m and the direction it comes from, clockwise from true north.
    wet
        Whether hands and discs are wet.
    water_recovery
        Chance to get a disc that does not float back out of the water without going in
        after it (posted rules and safety first).
    cover
        What hides a disc on the ground: grown grass, ground bare in winter, fallen leaves, snow.
    dusk
        Whether light is poor for finding a disc, as on league nights in winter.
    """

    name: str
    weight: float
    temperature_c: float
    pressure_hpa: float
    relative_humidity: float
    wind_speed_m_s: float
    wind_from_deg: float
    gust_m_s: float | None = None
    wet: bool = False
    ground: Ground = Ground.FIRM
    water_recovery: float = 0.2
    source: str = ""
    cover: Cover = Cover.GREEN
    dusk: bool = False

    def __post_init__(self) -> None:
        where = f" of day '{self.name}'"
        check_range("weight" + where, self.weight, 0.0, 1e6)
        check_range("temperature" + where, self.temperature_c, -40.0, 50.0, "°C")
        check_range("pressure" + where, self.pressure_hpa, 500.0, 1100.0, "hPa")
        check_range("relative humidity" + where, self.relative_humidity, 0.0, 1.0)
        check_range("wind speed" + where, self.wind_speed_m_s, 0.0, 40.0, "m/s")
        check_range("wind direction" + where, self.wind_from_deg, 0.0, 360.0, "degrees")
        check_range("water recovery" + where, self.water_recovery, 0.0, 1.0)
        if self.gust_m_s is not None:
            check_range("gust" + where, self.gust_m_s, self.wind_speed_m_s, 70.0, "m/s")


@dataclass(frozen=True, slots=True)
class Conditions:
    """A named set of scenario days."""

    name: str
    days: tuple[ScenarioDay, ...]

    def __post_init__(self) -> None:
        if not self.days:
            raise InputError(f"conditions '{self.name}' have no day; add at least one.")
        if sum(day.weight for day in self.days) <= 0:
            raise InputError(f"conditions '{self.name}': every day has weight 0; give one more.")

    @property
    def shares(self) -> tuple[float, ...]:
        """The days' weights as fractions that sum to one."""
        total = sum(day.weight for day in self.days)
        return tuple(day.weight / total for day in self.days)
