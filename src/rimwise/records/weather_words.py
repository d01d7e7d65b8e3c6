"""Weather in an owner's words, read: "40F wet, windy 15 to 20 mph from the west"."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import cast

from rimwise.errors import InputError
from rimwise.records.climate import COMPASS
from rimwise.records.conditions import Ground
from rimwise.records.evidence import Weather
from rimwise.records.evidence_words import SPEED_UNITS_M_S, read_number
from rimwise.records.words import Units

__all__ = ["compass_in", "day_in", "weather_in"]

#: An example to type, by the owner's units.
_SUCH: Mapping[Units, str] = {"m": "4C wet wind 5m/s", "ft": "40F wet wind 15mph"}

_LETTERS = {"N": "north", "E": "east", "S": "south", "W": "west"}
_POINTS = {
    name: number * 22.5
    for number, point in enumerate(COMPASS)
    for name in (point.lower(), "".join(_LETTERS[letter] for letter in point))
}
_POINT = "|".join(
    sorted(
        [
            *("[ -]?".join(_LETTERS[letter] for letter in point) for point in COMPASS),
            *(point.lower() for point in COMPASS),
        ],
        key=len,
        reverse=True,
    )
)
_COMPASS = (
    rf"(?:from |out of )?(?:the )?(?P<point>{_POINT})(?:erly|ern)?(?: wind| breeze)?(?![a-z])"
)

_NUMBER = r"[+\-−]?\d+(?:[.,]\d+)?"
_ABOUT = r"(?:(?:about|around|roughly|some) |[~≈] ?)?"
_RANGE = rf"{_ABOUT}(?P<low>{_NUMBER})(?:(?: ?[-–—] ?| to )(?P<high>{_NUMBER}))?"
_BETWEEN = re.compile(rf"between ({_NUMBER}) and ({_NUMBER})")
_SPEED_UNIT = "|".join(re.escape(unit) for unit in sorted(SPEED_UNITS_M_S, key=len, reverse=True))
_UNIT = rf"(?P<unit>{_SPEED_UNIT})"
_DEGREES = r"(?:°|degrees?|deg)"
_AHEAD = r"(?:straight )?(?:ahead|the front|front)"
_BEHIND = r"(?:straight )?(?:behind|the back|back)"
_SIDE = r"(?:the )?(?P<side>left|right)"
_GROUND = "|".join(Ground)

#: What may be said of the weather: pattern, and what it sets.
_WEATHER = tuple(
    (re.compile(pattern), sets)
    for pattern, sets in (
        (rf"{_RANGE} ?{_DEGREES}? ?(?P<scale>c|f)(?:elsius|ahrenheit)?(?![a-z])", "temperature"),
        (rf"{_RANGE} ?{_DEGREES}(?P<scale>)(?![a-z])", "temperature"),
        (rf"(?:{_GROUND}) ground|ground (?:{_GROUND})|frozen(?![a-z])", "ground"),
        (rf"(?P<way>head|tail)wind(?: of)? ?{_RANGE} ?{_UNIT}?(?![a-z])", "wind"),
        (rf"{_RANGE} ?{_UNIT}? ?(?P<way>head|tail)wind", "wind"),
        (rf"(?:windy?|breez[ey])(?: of| at)? ?{_RANGE} ?{_UNIT}?(?![a-z])", "wind"),
        (rf"{_RANGE} ?{_UNIT}(?: wind| breeze)?(?![a-z])", "wind"),
        (rf"from {_AHEAD} and {_SIDE}", "ahead and"),
        (rf"from {_BEHIND} and {_SIDE}", "behind and"),
        (rf"from {_SIDE} and (?:ahead|front)", "ahead and"),
        (rf"from {_SIDE} and behind", "behind and"),
        (rf"from {_AHEAD}", "ahead"),
        (rf"from {_BEHIND}", "behind"),
        (rf"from {_SIDE}", "side"),
        (_COMPASS, "compass"),
        (r"(?:wet|rain|rainy|drizzle|damp)(?![a-z])", "wet"),
        (r"dry(?![a-z])", "dry"),
        (r"(?:calm|no wind|still)(?: air)?(?![a-z])", "calm"),
        (r"(?:windy?|breez[ey])(?![a-z])", "windy"),
    )
)
#: What parts are joined with.
_JOIN = re.compile(r"(?:[ ,;]|(?:and|with) )+")

#: Degrees clockwise from ahead.
_FROM_DEG = {
    ("ahead", ""): 0.0, ("behind", ""): 180.0, ("side", "right"): 90.0, ("side", "left"): 270.0,
    ("ahead and", "right"): 45.0, ("ahead and", "left"): 315.0,
    ("behind and", "right"): 135.0, ("behind and", "left"): 225.0,
}  # fmt: skip


def weather_in(text: str, units: Units | None = None) -> Weather:
    """Read short words such as "4C wet wind 5m/s from the left, frozen ground".

    Wind comes as seen along the aim line. A range ("15 to 20 mph") is read as its middle. A wind
    without a unit is metres a second beside a temperature in °C, miles an hour beside one in °F,
    and refused otherwise.

    Parameters
    ----------
    units
        What the owner thinks in: degrees without a scale are °F with feet, °C with metres, and
        refused where it is not known. Examples in sentences come in it.

    Raises
    ------
    InputError
        When a part is not understood, is said twice, or cannot be.
    """
    such = f"{_SUCH[units or 'm']} from the left"
    weather, compass_deg = _read(text, units, f"{such}', or the name of a day on file")
    if compass_deg is not None:
        point = COMPASS[round(compass_deg / 22.5) % 16]
        raise InputError(
            f"the wind comes from {point} in {text.strip()!r}, but along a throw it is told as the "
            f"thrower felt it; write it as in '{such}', or name a day on file."
        )
    return weather


def day_in(text: str, units: Units | None = None) -> tuple[Weather, float | None]:
    """Read a day in short words such as "40F wet, windy 15 to 20 mph from the west".

    Parameters
    ----------
    units
        As in :func:`weather_in`.

    Returns
    -------
    tuple
        The weather, and where on the compass the wind comes from, degrees clockwise from north;
        ``None`` when the words do not say.

    Raises
    ------
    InputError
        When a part is not understood, is said twice, or cannot be.
    """
    return _read(text, units, f"{_SUCH[units or 'm']} from the west'")


def compass_in(text: str) -> float | None:
    """Read "SW", "south-west" or "from the south-west" as degrees; ``None`` when it is neither."""
    found = re.fullmatch(_COMPASS, " ".join(text.lower().split()))
    return None if found is None else _degrees_of(found["point"])


def _degrees_of(point: str) -> float:
    return _POINTS[re.sub("[^a-z]", "", point)]


def _read(text: str, units: Units | None, how: str) -> tuple[Weather, float | None]:
    rest = _BETWEEN.sub(r"\1 to \2", " ".join(text.lower().split()))
    noted: dict[str, object] = {}
    while rest := rest[_joined(rest) :]:
        for pattern, sets in _WEATHER:
            found = pattern.match(rest)
            if found:
                _note(noted, sets, found, text, units)
                rest = rest[found.end() :]
                break
        else:
            raise InputError(
                f"{rest!r} is not understood in the weather {text.strip()!r}; write it as in "
                f"'{how}."
            )
    return _weather(noted, text, units)


def _joined(rest: str) -> int:
    """Return where the next part begins."""
    found = _JOIN.match(rest)
    return found.end() if found else 0


def _note(
    noted: dict[str, object], sets: str, found: re.Match[str], text: str, units: Units | None
) -> None:
    """Keep one part of what was said."""
    parts = found.groupdict()
    made: dict[str, object]
    if sets == "temperature":
        made = _temperature(parts, found[0], units)
    elif sets == "ground":
        made = {"ground": Ground(found[0].replace("ground", "").strip())}
    elif sets == "wind":
        made = {"wind": _middle(parts), "unit": parts["unit"], "wind said": found[0]}
        if parts.get("way"):
            made["direction"] = ("line", 180.0 if parts["way"] == "tail" else 0.0)
    elif sets in ("wet", "dry"):
        made = {"wet": sets == "wet"}
    elif sets == "calm":
        made = {"wind": 0.0, "unit": "m/s", "wind said": found[0]}
    elif sets == "compass":
        made = {"direction": ("compass", _degrees_of(parts["point"]))}
    elif sets == "windy":
        made = {"windy": True}
    else:
        made = {"direction": ("line", _FROM_DEG[sets, parts.get("side") or ""])}
    for what in ("temperature", "wind", "direction", "wet", "ground"):
        if what in made and noted.get(what, made[what]) != made[what]:
            said = {"wet": "whether it was wet", "direction": "the wind's direction"}
            raise InputError(
                f"the weather {text.strip()!r} says {said.get(what, f'the {what}')} twice; keep "
                "one of them."
            )
    noted |= made


def _middle(parts: Mapping[str, str | None]) -> float:
    """Return a number, or the middle of a range."""
    low = read_number(parts["low"] or "")
    return low if parts["high"] is None else (low + read_number(parts["high"])) / 2.0


def _temperature(
    parts: Mapping[str, str | None], said: str, units: Units | None
) -> dict[str, object]:
    scale = parts["scale"] or ("" if units is None else "f" if units == "ft" else "c")
    degrees = _middle(parts)
    if not scale:
        raise InputError(f"{said!r} could be °C or °F; write {degrees:g}C or {degrees:g}F.")
    celsius = degrees if scale == "c" else (degrees - 32.0) / 1.8
    if not -40.0 <= celsius <= 50.0:
        low, high, such = ("-40C", "50C", "4C") if scale == "c" else ("-40F", "122F", "40F")
        raise InputError(
            f"the temperature must be between {low} and {high}, but is {said!r}; write it as in "
            f"{such}."
        )
    return {"temperature": celsius, "scale": scale}


def _weather(
    noted: Mapping[str, object], text: str, units: Units | None
) -> tuple[Weather, float | None]:
    wind_m_s = _wind_m_s(noted, text, units)
    frame, degrees = cast("tuple[str, float]", noted.get("direction", ("", 0.0)))
    weather = Weather(
        temperature_c=noted.get("temperature"),  # type: ignore[arg-type]
        wind_m_s=wind_m_s,
        wind_from_deg=degrees if wind_m_s and frame == "line" else None,
        wet=noted.get("wet"),  # type: ignore[arg-type]
        ground=noted.get("ground"),  # type: ignore[arg-type]
    )
    return weather, degrees if wind_m_s and frame == "compass" else None


def _wind_m_s(noted: Mapping[str, object], text: str, units: Units | None) -> float | None:
    such = {"m": "wind 5m/s", "ft": "wind 15mph"}[units or "m"]
    if "wind" not in noted:
        if "direction" in noted or "windy" in noted:
            raise InputError(
                f"the weather {text.strip()!r} has no wind speed; write it as in {such}."
            )
        return None
    wind = cast("float", noted["wind"])
    unit = str(noted["unit"] or {"c": "m/s", "f": "mph"}.get(str(noted.get("scale")), ""))
    if not unit:
        raise InputError(
            f"the wind is {wind:g} without a unit; write {wind:g}m/s, {wind:g}mph or so."
        )
    wind_m_s = wind * SPEED_UNITS_M_S[unit]
    if not 0.0 <= wind_m_s <= 40.0:
        most = f"{int(40.0 / SPEED_UNITS_M_S[unit])}{unit}"
        raise InputError(
            f"the wind must be between 0 and {most}, but is {noted['wind said']!r}; write it as in "
            f"{such}."
        )
    return wind_m_s
