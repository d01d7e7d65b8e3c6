"""Evidence said back in a line: what was kept, as its owner would say it."""

from __future__ import annotations

import math
from functools import singledispatch

from rimwise.records import words
from rimwise.records.discs import GRIP_WORDS
from rimwise.records.evidence import (
    Comparison,
    ConditionGrade,
    GripGrade,
    Knock,
    Putts,
    Quality,
    Round,
    Throw,
    Weather,
)
from rimwise.records.thrower import Line
from rimwise.records.words import Units

__all__ = ["evidence_words", "line_words", "weather_words"]

_MORE = {
    Quality.STABILITY: "more stable than",
    Quality.REACH: "farther than",
    Quality.GRIP: "better to grip than",
}
_ALIKE = {
    Quality.STABILITY: "about as stable as",
    Quality.REACH: "goes about as far as",
    Quality.GRIP: "grips about like",
}


@singledispatch
def evidence_words(record: object, _units: Units = "m", /) -> str:
    """Say a piece of evidence in a line, without its date.

    Parameters
    ----------
    record
        A throw, a comparison, a grade, a knock, putts or a round.
    _units
        "m" or "ft", for lengths.
    """
    raise TypeError(f"{type(record).__name__} is no evidence")


@evidence_words.register
def _throw(record: Throw, units: Units = "m") -> str:
    side = words.sideways(record.left_m, units)
    parts = [f"{record.disc_id} {words.distance(record.distance_m, units)}, {side}"]
    parts.append(line_words(record.line))
    if record.first_touch_m is not None:
        parts.append(f"first touch at {words.distance(record.first_touch_m, units)}")
    if record.speed_m_s is not None:
        parts.append(f"released at {words.wind_speed(record.speed_m_s, units)}")
    if record.spin_rad_s is not None:
        parts.append(f"{words.number(record.spin_rad_s * 30.0 / math.pi)} turns a minute")
    return _joined("; ".join(parts), record.conditions, record.weather, record.note, units)


@evidence_words.register
def _comparison(record: Comparison, units: Units = "m") -> str:
    if record.alike:
        told = f"{record.more} {_ALIKE[record.quality]} {record.less}"
    else:
        how = "plainly" if record.plainly else "slightly"
        told = f"{record.more} {how} {_MORE[record.quality]} {record.less}"
    return _joined(told, "", Weather(), record.note, units)


@evidence_words.register
def _grip(record: GripGrade, _units: Units = "m") -> str:
    word = GRIP_WORDS[round(record.grade)]
    return f"{record.disc_id} grips {record.grade:g} of 5 ({word}) in {record.air} air"


@evidence_words.register
def _wear(record: ConditionGrade, units: Units = "m") -> str:
    told = f"{record.disc_id} {words.number(100.0 * record.wear)} % worn"
    return _joined(told, "", Weather(), record.note, units)


@evidence_words.register
def _knock(record: Knock, units: Units = "m") -> str:
    how = "hit hard" if record.hard else "touched"
    return _joined(f"{record.disc_id}: {record.what}, {how}", "", Weather(), record.note, units)


@evidence_words.register
def _putts(record: Putts, units: Units = "m") -> str:
    length = words.number(words.in_units(record.distance_m, units), 1).removesuffix(".0")
    told = f"putts from {length} {units}: {record.made} of {record.tried} made"
    return _joined(told, record.conditions, record.weather, "", units)


@evidence_words.register
def _round(record: Round, units: Units = "m") -> str:
    total = sum(score.strokes for score in record.scores)
    told = f"{record.course}: {words.plural(len(record.scores), 'hole')} in {total} strokes"
    return _joined(told, record.conditions, record.weather, record.note, units)


def line_words(line: Line) -> str:
    """Say a line: "backhand, 5° hyzer, launched at 10°, 80 % effort"."""
    bank = (
        "flat"
        if line.hyzer_deg == 0.0
        else f"{abs(line.hyzer_deg):g}° {'hyzer' if line.hyzer_deg > 0 else 'anhyzer'}"
    )
    effort = "full effort" if line.effort == 1.0 else f"{100.0 * line.effort:.0f} % effort"
    return f"{line.style}, {bank}, launched at {words.number(line.launch_deg)}°, {effort}"


def weather_words(weather: Weather, units: Units = "m") -> str:
    """Say what was noted of the weather: "4 °C, wet, wind 5 m/s from the left"."""
    parts = []
    if weather.temperature_c is not None:
        parts.append(words.temperature(weather.temperature_c, units))
    if weather.wet is not None:
        parts.append("wet" if weather.wet else "dry")
    if weather.wind_m_s is not None:
        wind = words.wind_speed(weather.wind_m_s, units)
        way = weather.wind_from_deg
        told = "calm" if weather.wind_m_s == 0.0 else f"wind {wind}"
        parts.append(told if way is None else f"{told} {words.wind_direction(way)}")
    if weather.ground is not None:
        parts.append(f"{weather.ground} ground")
    return ", ".join(parts)


def _joined(told: str, conditions: str, weather: Weather, note: str, units: Units) -> str:
    day = conditions or weather_words(weather, units)
    if conditions and weather.wind_from_deg is not None:
        day += f", wind {words.wind_direction(weather.wind_from_deg)}"
    parts = [told, *([f"in {day}"] if day else []), *([note] if note else [])]
    return "; ".join(parts)
