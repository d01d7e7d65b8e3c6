"""All evidence on file: what beliefs are learned from."""

from __future__ import annotations

from dataclasses import replace

from rimwise.app.wearing import recorded_in, wear_by_day, wear_histories
from rimwise.beliefs.observed import PLAIN_DAY, Evidence
from rimwise.records.assumptions import Assumptions
from rimwise.records.conditions import ScenarioDay
from rimwise.records.evidence import Recorded, Weather
from rimwise.records.evidence_telling import weather_words
from rimwise.store.store import Store

__all__ = ["evidence_of", "weather_day"]


def evidence_of(store: Store, assume: Assumptions, recorded: Recorded | None = None) -> Evidence:
    """Return what beliefs about discs and arm are learned from, the same for the same records.

    Every throw and comparison counts with the disc as worn on its day.

    A throw keeps the weather that was noted with it: its day here is the day on file that it
    names, or a mild and calm one, with what was noted put in its place.

    Parameters
    ----------
    recorded
        What to go by; when not given, all on record, but of each disc only the latest throws,
        as many as the assumption ``learn_throws`` says. The others count for its wear.
    """
    if recorded is None:
        recorded = recorded_in(store, latest=round(assume.learn_throws))
    on_file = {day.name: day for kind in store.conditions.all() for day in kind.days}
    days: dict[str, ScenarioDay] = {}
    throws = []
    for throw in recorded.throws:
        usual = on_file.get(throw.conditions, PLAIN_DAY)
        day = _day_of(throw.conditions, throw.weather, usual)
        days[day.name] = day
        throws.append(replace(throw, conditions=day.name))
    seen = [(throw.disc_id, throw.on) for throw in throws]
    for one in recorded.comparisons:
        seen += [(one.more, one.on), (one.less, one.on)]
    return Evidence(
        wear=wear_by_day(wear_histories(store, assume, recorded), seen, assume),
        throws=tuple(throws),
        comparisons=recorded.comparisons,
        grip_grades=recorded.grip_grades,
        condition_grades=recorded.condition_grades,
        days=days,
        older_throws=sum(recorded.left_out.values()),
    )


def weather_day(store: Store, conditions: str, weather: Weather) -> ScenarioDay:
    """Return the day on file that is named, or a mild and calm one, with what was noted of it."""
    on_file = {day.name: day for kind in store.conditions.all() for day in kind.days}
    return _day_of(conditions, weather, on_file.get(conditions, PLAIN_DAY))


def _day_of(conditions: str, weather: Weather, usual: ScenarioDay) -> ScenarioDay:
    """Return the day of one throw; its wind comes along the aim line, or from anywhere."""
    same_day = Weather(usual.temperature_c, usual.wind_speed_m_s, None, usual.wet, usual.ground)
    if not weather or weather == same_day:
        return usual
    named = f"{conditions}: " if conditions else ""
    wind_m_s = usual.wind_speed_m_s if weather.wind_m_s is None else weather.wind_m_s
    return replace(
        usual,
        name=f"{named}{weather_words(weather)}",
        temperature_c=_noted(weather.temperature_c, usual.temperature_c),
        wind_speed_m_s=wind_m_s,
        wind_from_deg=_noted(weather.wind_from_deg, 0.0),
        gust_m_s=None,
        wet=usual.wet if weather.wet is None else weather.wet,
        ground=usual.ground if weather.ground is None else weather.ground,
    )


def _noted(value: float | None, usual: float) -> float:
    return usual if value is None else value
