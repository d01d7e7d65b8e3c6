"""The named sets of days on file, and new ones from a climate, a forecast or plain words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from rimwise.app.box import pick, units_of
from rimwise.app.bring import read_file
from rimwise.errors import InputError, NotFoundError
from rimwise.records.climate import (
    COMPASS,
    MONTHS,
    days_of_month,
    months_in_words,
    representative,
)
from rimwise.records.conditions import Conditions, Cover, Ground, ScenarioDay
from rimwise.records.words import Units, chance, joined, plural, temperature, wind_words
from rimwise.store.exchange.problems import refuse
from rimwise.store.store import Store

__all__ = [
    "DEFAULT_DAYS",
    "DayShown",
    "DirectionError",
    "WeatherShown",
    "day_from_numbers",
    "days_from_climate",
    "days_from_forecast",
    "days_from_words",
    "delete_weather",
    "put_day",
    "show_weather",
    "undo_weather",
]

#: Kinds of day that stand for a season unless the owner asks for more.
DEFAULT_DAYS = 6


class DirectionError(InputError):
    """Where the wind comes from is missing, not understood or said in two ways."""


@dataclass(frozen=True, slots=True)
class DayShown:
    """One kind of day; ``share`` of the rounds."""

    name: str
    share: float
    temperature_c: float
    wind_speed_m_s: float
    wind_from_deg: float
    gust_m_s: float | None
    wet: bool
    ground: str
    cover: str
    dusk: bool


@dataclass(frozen=True, slots=True)
class WeatherShown:
    """A set of days; ``notices`` say how it was made."""

    name: str
    days: tuple[DayShown, ...]
    wet_share: float
    mean_temperature_c: float
    mean_wind_m_s: float
    notices: tuple[str, ...]
    units: Units


def show_weather(store: Store, name: str | None = None) -> tuple[WeatherShown, ...]:
    """Return one set of days, or all of them.

    Raises
    ------
    InputError, NotFoundError
        When there is none on file, or none of this name.
    """
    if name is None and store.conditions.keys():
        return tuple(_shown(store, one) for one in store.conditions.all())
    return (_shown(store, pick(store.conditions, "conditions", name)),)


def days_from_climate(
    store: Store,
    path: Path,
    name: str,
    *,
    months: str = "all",
    count: int = DEFAULT_DAYS,
    every: bool = False,
    seed: int = 1,
    elevation_m: float = 0.0,
    dusk: bool | None = None,
) -> WeatherShown:
    """Make a set of days from a monthly climate table and keep it under a name.

    Parameters
    ----------
    months
        Such as "Nov-Feb".
    count, every
        How many days stand for all; or every kind of day there is.
    seed
        Of the sample, see :func:`rimwise.records.climate.representative`.
    elevation_m
        Height of the course, for the pressure where the table has none.
    dusk
        Whether rounds are played in poor light; as the table says when not given.

    Raises
    ------
    InputError
        When the file has a problem or lacks a month.
    """
    from rimwise.store.exchange.climate import read_climate

    read = read_climate(read_file(path), path.name, elevation_m=elevation_m)
    refuse(read.problems)
    known = {month.month: month for month in read.months}
    asked = months_in_words(months)
    missing = [MONTHS[number - 1] for number in asked if number not in known]
    if missing:
        raise InputError(
            f"{path.name} has no row for {joined(missing)}; add it, or ask for other months."
        )
    days = [day for number in asked for day in days_of_month(known[number])]
    taken = tuple(days)
    if not every:
        taken = representative([known[number] for number in asked], count, seed)
    if dusk is not None:
        taken = tuple(replace(day, dusk=dusk) for day in taken)
    conditions = Conditions(name, taken)
    store.conditions.put(conditions)
    said = [_covers(asked, len(days), taken, every=every)]
    if not every:
        said.append(_all_kinds(days, units_of(store)))
    said += map(str, read.notices)
    return _shown(store, conditions, tuple(said))


def _covers(
    asked: tuple[int, ...], kinds: int, taken: tuple[ScenarioDay, ...], *, every: bool
) -> str:
    names = [MONTHS[number - 1] for number in asked]
    season = names[0] if len(names) == 1 else f"{names[0]} to {names[-1]}"
    if every:
        return f"{plural(kinds, 'kind')} of day from {season}; more days make every plan slower."
    return f"{plural(len(taken), 'day')} stand for {plural(kinds, 'kind')} of day from {season}."


def _all_kinds(days: Sequence[ScenarioDay], units: Units) -> str:
    """Say what the whole climate is like, beside what stands for it."""
    whole = Conditions("all", tuple(days))
    pairs = list(zip(whole.days, whole.shares, strict=True))
    air = sum(share * day.temperature_c for day, share in pairs)
    wind = sum(share * day.wind_speed_m_s for day, share in pairs)
    wet = sum(share for day, share in pairs if day.wet)
    return (
        f"Over all of them: {temperature(air, units)} on average, wind "
        f"{wind_words(wind, None, units)}, wet {chance(wet)}."
    )


def days_from_forecast(
    store: Store,
    text: str,
    name: str,
    *,
    elevation_m: float = 0.0,
    temperature_c: float | None = None,
    cover: str = "green",
    dusk: bool = False,
) -> WeatherShown:
    """Make a set of days from an airport's forecast (TAF) or report (METAR).

    Raises
    ------
    InputError
        When it cannot be read, or a forecast names no temperature and none is given.
    """
    from rimwise.store.exchange.conditions import day_from_metar
    from rimwise.store.exchange.taf import days_from_taf, is_taf

    hides = _cover(cover)
    if is_taf(text):
        days = days_from_taf(text, elevation_m, temperature_c=temperature_c, cover=hides, dusk=dusk)
    else:
        days = (day_from_metar(text, elevation_m, cover=hides, dusk=dusk),)
    conditions = Conditions(name, days)
    store.conditions.put(conditions)
    return _shown(store, conditions)


def days_from_words(
    store: Store,
    words: str,
    name: str,
    *,
    wind_from: str = "",
    elevation_m: float = 0.0,
    humidity: float = 0.75,
    cover: str = "green",
    dusk: bool = False,
) -> WeatherShown:
    """Make a set of one day from plain words such as "4C wet wind 5m/s, frozen ground".

    Parameters
    ----------
    wind_from
        A point of the compass or degrees; needed with a wind whose words do not say it.

    Raises
    ------
    InputError
        When a part is not understood, or the temperature or the wind's direction is missing.
    """
    from rimwise.flight.air import Air
    from rimwise.records.weather_words import day_in

    units = units_of(store)
    said, from_deg = day_in(words, units)
    if said.temperature_c is None:
        such = "40F" if units == "ft" else "4C"
        raise InputError(f"the weather {words!r} has no temperature; write one such as {such}.")
    if said.wind_from_deg is not None:
        raise InputError(
            "for a whole course say where the wind comes from on the compass, as in from the west."
        )
    wind_m_s = said.wind_m_s or 0.0
    from_deg = _from_deg(wind_from, from_deg, needed=wind_m_s > 0.0)
    wet = bool(said.wet)
    day = ScenarioDay(
        name=name,
        weight=1.0,
        temperature_c=said.temperature_c,
        pressure_hpa=float(Air.standard(elevation_m).pressure_hpa),
        relative_humidity=humidity,
        wind_speed_m_s=wind_m_s,
        wind_from_deg=from_deg,
        wet=wet,
        ground=said.ground or (Ground.WET if wet else Ground.FIRM),
        source=words.strip(),
        cover=_cover(cover),
        dusk=dusk,
    )
    conditions = Conditions(name, (day,))
    store.conditions.put(conditions)
    return _shown(store, conditions)


def day_from_numbers(
    name: str,
    *,
    weight: float,
    temperature_c: float,
    wind_speed_m_s: float,
    wind_from: str,
    gust_m_s: float | None = None,
    elevation_m: float = 0.0,
    humidity: float = 0.75,
    wet: bool = False,
    ground: str = "firm",
    cover: str = "green",
    dusk: bool = False,
) -> ScenarioDay:
    """Return one kind of day from plain numbers; pressure is the standard one at its height.

    Raises
    ------
    InputError
        When a number cannot be, or the direction of a wind is missing.
    """
    from rimwise.flight.air import Air

    return ScenarioDay(
        name=name,
        weight=weight,
        temperature_c=temperature_c,
        pressure_hpa=float(Air.standard(elevation_m).pressure_hpa),
        relative_humidity=humidity,
        wind_speed_m_s=wind_speed_m_s,
        wind_from_deg=_from_deg(wind_from, None, needed=wind_speed_m_s > 0.0),
        gust_m_s=gust_m_s,
        wet=wet,
        ground=_ground(ground),
        source="plain numbers",
        cover=_cover(cover),
        dusk=dusk,
    )


def put_day(store: Store, name: str, day: ScenarioDay, at: int | None = None) -> WeatherShown:
    """Put a day into a set of days, in place of the one at ``at`` or as one more; make the set.

    Raises
    ------
    InputError
        When another day of the set has this name, or there is no day at ``at``.
    """
    with store.atomic():
        days = list(store.conditions.get(name).days) if name in store.conditions.keys() else []  # noqa: SIM118 - a shelf has no other way
        if day.name.lower() in [one.name.lower() for k, one in enumerate(days) if k != at]:
            raise InputError(f"{name} has a day {day.name!r} already; give this one another name.")
        if at is None:
            days.append(day)
        else:
            days[_place(days, at, name)] = day
        conditions = Conditions(name, tuple(days))
        store.conditions.put(conditions)
    return _shown(store, conditions)


def delete_weather(store: Store, name: str, at: int | None = None) -> None:
    """Delete a set of days, or the day at ``at`` of it; carries and plans of it stay.

    Raises
    ------
    InputError, NotFoundError
        When there is no such set or day, or it is the set's only day.
    """
    with store.atomic():
        days = list(store.conditions.get(name).days)
        if at is None:
            store.conditions.delete(name)
            return
        if len(days) == 1:
            raise InputError(f"this is the only day of {name}; delete the whole set instead.")
        del days[_place(days, at, name)]
        store.conditions.put(Conditions(name, tuple(days)))


def undo_weather(store: Store, name: str) -> None:
    """Take the last change of a set of days back, its deletion too.

    Raises
    ------
    NotFoundError
        When there never was such a set.
    InputError
        When what it was cannot be put back.
    """
    from rimwise.app.history import undo
    from rimwise.store.changes import step_numbers

    with store.atomic():
        steps = step_numbers(store.connection, "conditions", name)
        if not steps:
            raise NotFoundError(f"there are no days called {name!r}, and never were.")
        undo(store, max(steps))


def _place(days: Sequence[ScenarioDay], at: int, name: str) -> int:
    if not 0 <= at < len(days):
        raise InputError(f"{name} has no day number {at + 1}; it has {len(days)}.")
    return at


def _from_deg(text: str, in_words_deg: float | None, *, needed: bool) -> float:
    """Return where the wind comes from, as named apart or in the words; 0 when not needed."""
    named_deg = _direction(text) if text.strip() else None
    if named_deg is not None and in_words_deg not in (None, named_deg):
        point = COMPASS[round((in_words_deg or 0.0) / 22.5) % 16]
        raise DirectionError(f"--from is {text!r}, but the words say {point}; keep one of them.")
    found_deg = in_words_deg if named_deg is None else named_deg
    if needed and found_deg is None:
        raise DirectionError(
            "the wind's direction is missing; say it with --from, as in SW, west or 225."
        )
    return 0.0 if found_deg is None else found_deg


def _direction(text: str) -> float:
    from rimwise.records.weather_words import compass_in

    word = text.strip()
    point_deg = compass_in(word)
    if point_deg is not None:
        return point_deg
    if word.isdecimal() and int(word) <= 360:
        return float(word)
    raise DirectionError(
        f"--from is {text!r}; write a point of the compass such as SW or west, or degrees."
    )


def _ground(text: str) -> Ground:
    try:
        return Ground(text.strip().lower())
    except ValueError:
        raise InputError(f"ground is {text!r}; write one of {', '.join(Ground)}.") from None


def _cover(text: str) -> Cover:
    try:
        return Cover(text.strip().lower())
    except ValueError:
        words = ", ".join(cover.value for cover in Cover)
        raise InputError(f"--cover is {text!r}; write one of {words}.") from None


def _shown(store: Store, conditions: Conditions, notices: tuple[str, ...] = ()) -> WeatherShown:
    pairs = list(zip(conditions.days, conditions.shares, strict=True))
    return WeatherShown(
        name=conditions.name,
        days=tuple(
            DayShown(
                day.name,
                share,
                day.temperature_c,
                day.wind_speed_m_s,
                day.wind_from_deg,
                day.gust_m_s,
                day.wet,
                day.ground.value,
                day.cover.value,
                day.dusk,
            )
            for day, share in pairs
        ),
        wet_share=sum(share for day, share in pairs if day.wet),
        mean_temperature_c=sum(share * day.temperature_c for day, share in pairs),
        mean_wind_m_s=sum(share * day.wind_speed_m_s for day, share in pairs),
        notices=notices,
        units=units_of(store),
    )
