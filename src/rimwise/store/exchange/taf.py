"""Scenario days from an airport forecast (TAF, WMO No. 306, FM-51).

Only what a flight needs is read: wind, precipitation, and the hours for which they hold. The
temperature comes from the forecast's TX and TN groups where it has them, or from the caller.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from rimwise.errors import InputError
from rimwise.records.conditions import Cover, Ground, ScenarioDay
from rimwise.store.exchange.conditions import WET_GROUP

__all__ = ["days_from_taf", "is_taf"]

#: Share of its hours in which a temporary fluctuation holds: by definition less than half.
TEMPORARY_SHARE = 1.0 / 3.0

_EXAMPLE = "paste one such as 'TAF EHAM 251130Z 2512/2618 22015G25KT 9999 SCT020'"
_WIND = re.compile(r"(VRB|\d{3})(\d{2,3})(?:G(\d{2,3}))?(KT|MPS|KMH)")
_SPAN = re.compile(r"(\d{2})(\d{2})/(\d{2})(\d{2})")
_FROM = re.compile(r"FM(\d{2})(\d{2})(\d{2})")
_TEMPERATURE = re.compile(r"(TX|TN)(M?\d{2})/(\d{2})(\d{2})Z")
_M_S = {"KT": 1852.0 / 3600.0, "MPS": 1.0, "KMH": 1.0 / 3.6}


@dataclass(frozen=True, slots=True)
class _Spell:
    """Weather that holds from one hour to another of the forecast, with a share of them."""

    start: float
    end: float
    share: float
    wind_m_s: float | None = None
    from_deg: float | None = None
    gust_m_s: float | None = None
    wet: bool | None = None


def is_taf(text: str) -> bool:
    """Say whether a text is a forecast and no report."""
    words = text.split()
    return bool(words) and words[0] == "TAF"


def days_from_taf(
    text: str,
    elevation_m: float,
    *,
    temperature_c: float | None = None,
    relative_humidity: float = 0.75,
    cover: Cover = Cover.GREEN,
    dusk: bool = False,
) -> tuple[ScenarioDay, ...]:
    """Return one day for each spell of the forecast, weighted by its hours.

    Parameters
    ----------
    elevation_m
        Height of the course above sea level; a forecast has no pressure, so it is the
        standard atmosphere's.
    temperature_c
        Taken where the forecast has none; else between its highest and lowest.

    Raises
    ------
    InputError
        When it is no forecast, has no wind, or there is no temperature.
    """
    from rimwise.flight.air import Air

    words = text.upper().rstrip("= \n").split()
    spells = _spells(words, text)
    found = [_degrees(m[2]) for word in words if (m := _TEMPERATURE.fullmatch(word))]
    if temperature_c is None and not found:
        raise InputError("the forecast names no temperature; give one with --temperature.")
    degrees = temperature_c if temperature_c is not None else sum(found) / len(found)
    pressure = float(Air.standard(elevation_m).pressure_hpa)
    return tuple(
        ScenarioDay(
            name=f"{_clock(spell.start)} to {_clock(spell.end)}"
            + ("" if spell.share > 0.5 else ", at times"),
            weight=(spell.end - spell.start) * spell.share,
            temperature_c=degrees,
            pressure_hpa=pressure,
            relative_humidity=relative_humidity,
            wind_speed_m_s=spell.wind_m_s or 0.0,
            wind_from_deg=spell.from_deg or 0.0,
            gust_m_s=spell.gust_m_s,
            wet=bool(spell.wet),
            ground=Ground.WET if spell.wet else Ground.FIRM,
            source=" ".join(text.split()),
            cover=cover,
            dusk=dusk,
        )
        for spell in spells
    )


def _spells(words: list[str], text: str) -> list[_Spell]:
    """Return the spells of a forecast in order; lasting changes end the spell before."""
    parts = _parts(words)
    span = next((m for word in parts[0] if (m := _SPAN.fullmatch(word))), None)
    if "TAF" not in words[:1] or span is None:
        raise InputError(f"{text.strip()[:60]!r} is no forecast; {_EXAMPLE}.")
    first = int(span[1])
    start, end = _hour(span[1], span[2], first), _hour(span[3], span[4], first)
    base = _told(parts[0], _Spell(start, end, 1.0))
    if base.wind_m_s is None or end <= start:
        raise InputError(f"the forecast names no wind or no hours; {_EXAMPLE}.")
    lasting, passing = [base], []
    for part in parts[1:]:
        now = lasting[-1]
        begins, ends = _times(part, first, now)
        if part[0] in ("TEMPO", "INTER") or part[0].startswith("PROB"):
            share = TEMPORARY_SHARE
            if part[0].startswith("PROB"):
                share = int(part[0][4:6]) / 100.0 * (TEMPORARY_SHARE if "TEMPO" in part else 1.0)
            passing.append(_told(part, replace(now, start=begins, end=ends, share=share)))
            continue
        # A gradual change is taken to happen in the middle of its hours.
        at = begins if part[0].startswith("FM") else 0.5 * (begins + ends)
        lasting[-1] = replace(now, end=min(now.end, max(at, now.start)))
        anew = replace(now, start=at, end=end)
        if part[0].startswith("FM"):  # everything is told anew
            anew = replace(anew, wet=False)
        lasting.append(_told(part, anew))
    return _shared([one for one in lasting if one.end > one.start], passing)


def _shared(lasting: list[_Spell], passing: list[_Spell]) -> list[_Spell]:
    """Take the hours of passing spells from the lasting ones that they interrupt."""
    left = [one.end - one.start for one in lasting]
    for spell in passing:
        for k, one in enumerate(lasting):
            hours = min(one.end, spell.end) - max(one.start, spell.start)
            left[k] -= max(hours, 0.0) * spell.share
    kept = [
        replace(one, share=max(hours, 0.0) / (one.end - one.start))
        for one, hours in zip(lasting, left, strict=True)
    ]
    return [one for one in (*kept, *passing) if one.share > 0.0 and one.end > one.start]


def _parts(words: list[str]) -> list[list[str]]:
    """Split the words at the groups that announce a change."""
    parts: list[list[str]] = [[]]
    for word in words:
        change = word in ("BECMG", "TEMPO", "INTER") or _FROM.fullmatch(word)
        if change or re.fullmatch(r"PROB\d{2}", word):
            if word == "TEMPO" and len(parts[-1]) == 1 and parts[-1][0].startswith("PROB"):
                parts[-1].append(word)
                continue
            parts.append([])
        parts[-1].append(word)
    return parts


def _times(part: list[str], first: int, now: _Spell) -> tuple[float, float]:
    at = _FROM.fullmatch(part[0])
    if at:
        return _hour(at[1], at[2], first) + int(at[3]) / 60.0, now.end
    span = next((m for word in part if (m := _SPAN.fullmatch(word))), None)
    if span is None:
        raise InputError(f"the change '{' '.join(part)}' in the forecast names no hours.")
    return _hour(span[1], span[2], first), _hour(span[3], span[4], first)


def _told(part: list[str], spell: _Spell) -> _Spell:
    """Return a spell with what one part of the forecast says of wind and rain."""
    weather = [word for word in part if WET_GROUP.fullmatch(word)]
    dried = any(word in ("NSW", "CAVOK", "SKC") for word in part)
    if weather or dried:
        spell = replace(spell, wet=bool(weather))
    wind = next((m for word in part if (m := _WIND.fullmatch(word))), None)
    if wind is None:
        return spell
    factor = _M_S[wind[4]]
    speed, gust = int(wind[2]) * factor, int(wind[3]) * factor if wind[3] else None
    if gust is not None and gust < speed:
        gust = None
    from_deg = None if wind[1] == "VRB" else float(wind[1]) % 360.0
    return replace(spell, wind_m_s=speed, from_deg=from_deg, gust_m_s=gust)


def _hour(day: str, hour: str, first: int) -> float:
    """Return hours since the beginning of the first day; a month may end in between."""
    days = int(day) - first
    return 24.0 * (days if days >= 0 else 1) + int(hour)


def _clock(hours: float) -> str:
    later = "next day " if hours >= 24.0 else ""
    return f"{later}{int(hours) % 24:02d}:{round(60 * (hours % 1)):02d}"


def _degrees(text: str) -> float:
    return -float(text[1:]) if text.startswith("M") else float(text)
