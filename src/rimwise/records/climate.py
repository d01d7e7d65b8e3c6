"""A climate by the month, and the kinds of day that it makes for a season.

A month's days differ in wetness, wind speed, wind direction and temperature. They are taken as
independent of each other, and wind speeds as spread like a Rayleigh distribution about the
month's mean (the usual one where only a mean is known). Both are assumptions.
"""

from __future__ import annotations

import math
import random
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from rimwise.errors import InputError, check_range
from rimwise.records.conditions import Cover, Ground, ScenarioDay
from rimwise.records.words import check_short, number

__all__ = [
    "COMPASS",
    "MONTHS",
    "ClimateMonth",
    "days_of_month",
    "months_in_words",
    "representative",
]

MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
_DAYS = (31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)

#: Points of the compass, clockwise from north, 22.5 degrees apart.
COMPASS = (
    *("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE"),
    *("S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"),
)

#: Wind speeds come in so many classes of equal share: light, middling, fresh.
_SPEED_CLASSES = 3
#: Samples of which the best spread is taken, and what each of their points says: month, wetness,
#: temperature, wind speed, wind direction.
_SAMPLES, _DIMENSIONS = 200, 5


@dataclass(frozen=True, slots=True)
class ClimateMonth:
    """One month of a climate table.

    Parameters
    ----------
    month
        1 to 12.
    wind_speed_m_s
        Mean at 10 m over all hours of play, calms included.
    rose
        Share of each of the 16 points of the compass among the hours that are not calm; any
        positive unit.
    calm
        Share of hours without wind.
    wet
        Share of hours with wet hands and discs.
    temperature_sd_c
        Spread of the temperature from day to day; days one spread warmer and colder are made.
    rounds
        Rounds played in the month; by its days when not known.
    """

    month: int
    temperature_c: float
    pressure_hpa: float
    relative_humidity: float
    wind_speed_m_s: float
    rose: tuple[float, ...]
    calm: float = 0.0
    wet: float = 0.0
    temperature_sd_c: float = 0.0
    rounds: float | None = None
    ground: Ground = Ground.FIRM
    cover: Cover = Cover.GREEN
    dusk: bool = False

    def __post_init__(self) -> None:
        check_range("month", self.month, 1, 12)
        where = f" of {self.name}"
        check_range("temperature" + where, self.temperature_c, -40.0, 50.0, "°C")
        check_range("temperature spread" + where, self.temperature_sd_c, 0.0, 15.0, "°C")
        check_range("wind speed" + where, self.wind_speed_m_s, 0.0, 20.0, "m/s")
        check_range("calm share" + where, self.calm, 0.0, 1.0)
        check_range("wet share" + where, self.wet, 0.0, 1.0)
        if self.rounds is not None:
            check_range("rounds" + where, self.rounds, 0.0, 1e4)
        if len(self.rose) != len(COMPASS):
            raise InputError(f"the wind rose{where} needs 16 shares, but has {len(self.rose)}.")
        if any(check_range("wind rose share" + where, s, 0.0, 1e6) < 0.0 for s in self.rose):
            raise InputError(f"the wind rose{where} has a share below 0.")
        if sum(self.rose) <= 0.0 and self.calm < 1.0 and self.wind_speed_m_s > 0.0:
            raise InputError(f"the wind rose{where} has no share above 0; give one direction more.")

    @property
    def name(self) -> str:
        """The month's name."""
        return MONTHS[self.month - 1]


def days_of_month(month: ClimateMonth) -> tuple[ScenarioDay, ...]:
    """Return every kind of day of a month; the weights sum to its rounds, or its days.

    Means over them are the month's own: temperature, wind speed, wet share, wind rose.
    """
    total = _rounds(month)
    return tuple(
        _day(month, total * a * b * c, temperature_c, wet, speed_m_s, from_deg)
        for wet, a in ((False, 1.0 - month.wet), (True, month.wet))
        for temperature_c, b in _temperatures(month)
        for speed_m_s, from_deg, c in _winds(month)
        if total * a * b * c > 0.0
    )


def _rounds(month: ClimateMonth) -> float:
    return _DAYS[month.month - 1] if month.rounds is None else month.rounds


def _temperatures(month: ClimateMonth) -> list[tuple[float, float]]:
    if month.temperature_sd_c <= 0.0:
        return [(month.temperature_c, 1.0)]
    return [
        (month.temperature_c - month.temperature_sd_c, 0.5),
        (month.temperature_c + month.temperature_sd_c, 0.5),
    ]


def _winds(month: ClimateMonth) -> list[tuple[float, float, float]]:
    """Return (speed, direction, share) of every wind of a month."""
    blowing = 1.0 - month.calm
    if month.wind_speed_m_s <= 0.0 or blowing <= 0.0:
        return [(0.0, 0.0, 1.0)]
    mean_m_s = month.wind_speed_m_s / blowing
    total = sum(month.rose)
    winds = [(0.0, 0.0, month.calm)] if month.calm > 0.0 else []
    winds += [
        (mean_m_s * factor, 22.5 * point, blowing * share / total / _SPEED_CLASSES)
        for factor in _rayleigh_means(_SPEED_CLASSES)
        for point, share in enumerate(month.rose)
        if share > 0.0
    ]
    return winds


def _rayleigh_means(classes: int) -> list[float]:
    """Return the mean of each of so many equal classes of a Rayleigh wind whose mean is 1."""
    # With scale 1 the mean is sqrt(pi / 2), and the integral of x · x exp(−x²/2) is
    # sqrt(pi / 2) erf(x / sqrt 2) − x exp(−x²/2).
    mean = math.sqrt(math.pi / 2.0)

    def below(x: float) -> float:
        if math.isinf(x):
            return mean
        return mean * math.erf(x / math.sqrt(2.0)) - x * math.exp(-0.5 * x * x)

    edges = [math.sqrt(-2.0 * math.log(1.0 - k / classes)) for k in range(classes)] + [math.inf]
    return [classes * (below(b) - below(a)) / mean for a, b in pairwise(edges)]


def _day(
    month: ClimateMonth,
    weight: float,
    temperature_c: float,
    wet: bool,
    speed_m_s: float,
    from_deg: float,
) -> ScenarioDay:
    ground = Ground.FROZEN if temperature_c <= 0.0 else Ground.WET if wet else month.ground
    blows = f"{number(speed_m_s)} m/s {COMPASS[round(from_deg / 22.5)]}" if speed_m_s else "calm"
    return ScenarioDay(
        name=f"{month.name[:3]} {number(temperature_c)} °C {'wet' if wet else 'dry'} {blows}",
        weight=weight,
        temperature_c=temperature_c,
        pressure_hpa=month.pressure_hpa,
        relative_humidity=month.relative_humidity,
        wind_speed_m_s=speed_m_s,
        wind_from_deg=from_deg,
        wet=wet,
        ground=ground,
        source="monthly climate table",
        cover=month.cover,
        dusk=month.dusk,
    )


def representative(
    months: Sequence[ClimateMonth], count: int, seed: int = 1
) -> tuple[ScenarioDay, ...]:
    """Return so many days that stand for all of a season; their weights sum to one.

    A Latin hypercube (McKay, Beckman and Conover 1979): month, wetness, temperature, wind speed
    and direction are each met within about one part in ``count``. Of some such samples the one
    is taken in which they depend least on each other.

    Parameters
    ----------
    count
        1 to 60. A day met several times counts as much more; so there may be fewer.
    seed
        Another seed takes other days.

    Raises
    ------
    InputError
        When the count is no such number, or no month has rounds.
    """
    check_range("number of days", count, 1, 60)
    shares = [_rounds(month) for month in months]
    if sum(shares) <= 0.0:
        raise InputError("no month has rounds; give one some.")
    met: dict[ScenarioDay, int] = {}
    for in_month, in_wet, in_temperature, in_speed, in_direction in _hypercube(count, seed):
        month = months[_part(shares, in_month)]
        wet = bool(_part([1.0 - month.wet, month.wet], in_wet))
        temperatures, winds = _temperatures(month), _winds(month)
        temperature_c, _ = temperatures[_part([b for _, b in temperatures], in_temperature)]
        # The winds of one speed follow each other, so this finds a speed, and then a direction.
        speeds = list(dict.fromkeys(speed for speed, _, _ in winds))
        of_speed = [[w for w in winds if w[0] == speed] for speed in speeds]
        ways = of_speed[_part([sum(w[2] for w in group) for group in of_speed], in_speed)]
        speed_m_s, from_deg, _ = ways[_part([w[2] for w in ways], in_direction)]
        day = _day(month, 1.0, temperature_c, wet, speed_m_s, from_deg)
        met[day] = met.get(day, 0) + 1
    return tuple(replace(day, weight=times / count) for day, times in met.items())


def _hypercube(count: int, seed: int) -> list[tuple[float, ...]]:
    """Return ``count`` points of five numbers from 0 to 1, the best spread of some samples."""
    draw = random.Random(seed)  # noqa: S311 - a sample, no secret
    best: list[tuple[float, ...]] = []
    least = math.inf
    for _ in range(_SAMPLES):
        columns = [
            [(place + draw.random()) / count for place in draw.sample(range(count), count)]
            for _ in range(_DIMENSIONS)
        ]
        worst = max(abs(_covariance(a, b)) for k, a in enumerate(columns) for b in columns[k + 1 :])
        if worst < least:
            best, least = list(zip(*columns, strict=True)), worst
    return best


def _covariance(a: Sequence[float], b: Sequence[float]) -> float:
    return sum((x - 0.5) * (y - 0.5) for x, y in zip(a, b, strict=True))


def _part(shares: Sequence[float], at: float) -> int:
    """Return which part lies at a place from 0 to 1 in a row of parts of such shares."""
    rest = at * sum(shares)
    for k, share in enumerate(shares):
        if rest < share:
            return k
        rest -= share
    return max(k for k, share in enumerate(shares) if share > 0.0)


def months_in_words(text: str) -> tuple[int, ...]:
    """Return the months of "Nov-Feb", "November to February", "6, 7, 8" or "all", in order.

    Raises
    ------
    InputError
        When a month cannot be told.
    """
    check_short(text, "the list of months")
    said = re.sub(r"\s+(?:to|until|through)\s+|\s*[\u2013\u2014-]\s*", "-", text.strip().casefold())
    if said in ("", "all", "year"):
        return tuple(range(1, 13))
    found: list[int] = []
    for part in re.split(r"\s*(?:,|;|\band\b|\s)\s*", said):
        ends = [_month(word, text) for word in part.split("-")]
        if len(ends) > 2:
            raise _no_month(part, text)
        first, last = ends[0], ends[-1]
        found += [(first - 1 + k) % 12 + 1 for k in range((last - first) % 12 + 1)]
    return tuple(dict.fromkeys(found))


def _month(word: str, text: str) -> int:
    if word.isdecimal() and len(word) <= 2 and 1 <= int(word) <= 12:
        return int(word)
    match = [k for k, name in enumerate(MONTHS, 1) if name.casefold().startswith(word)]
    if len(word) >= 3 and len(match) == 1:
        return match[0]
    raise _no_month(word, text)


def _no_month(word: str, text: str) -> InputError:
    return InputError(
        f"{word!r} in {text!r} is no month; write months such as Nov-Feb, or June, July."
    )
