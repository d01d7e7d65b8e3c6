"""Numbers and units as people say them: one place for every face, sheet and sentence.

Inside, everything is metres, seconds, kilograms and degrees Celsius; feet, miles an hour and
Fahrenheit exist only here. "Give or take" is one standard error of a mean or, for where a
single throw comes down, half the interval that holds eight of ten.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from typing import Literal

from rimwise.errors import InputError, check_finite, check_range

__all__ = [
    "METRES_PER_FOOT",
    "MPH_PER_M_S",
    "Units",
    "beaufort",
    "car_swap",
    "chance",
    "check_short",
    "check_units",
    "date_words",
    "distance",
    "in_units",
    "joined",
    "number",
    "of_rounds",
    "own_numbers",
    "plural",
    "printed_numbers",
    "short_side",
    "sideways",
    "sideways_give_or_take",
    "strokes",
    "surface",
    "temperature",
    "wind_direction",
    "wind_speed",
    "wind_words",
]

Units = Literal["m", "ft"]

#: The international foot (exact, by the 1959 agreement), and what follows from it and the mile.
METRES_PER_FOOT = 0.3048
MPH_PER_M_S = 3600.0 / (5280.0 * METRES_PER_FOOT)

#: Beaufort force by the highest mean wind in m/s that still belongs to it (WMO-No. 306, Manual
#: on Codes, code table 1100; equivalents at 10 m over open flat ground).
_BEAUFORT = (
    (0.2, "calm"),
    (1.5, "light air"),
    (3.3, "light breeze"),
    (5.4, "gentle breeze"),
    (7.9, "moderate breeze"),
    (10.7, "fresh breeze"),
    (13.8, "strong breeze"),
    (17.1, "near gale"),
    (20.7, "gale"),
    (24.4, "strong gale"),
    (28.4, "storm"),
    (32.6, "violent storm"),
    (math.inf, "hurricane"),
)

#: Where the wind comes from as seen by someone facing the basket, clockwise from ahead.
_FROM = (
    "from straight ahead",
    "from ahead and the right",
    "from the right",
    "from behind and the right",
    "from straight behind",
    "from behind and the left",
    "from the left",
    "from ahead and the left",
)


#: More than anybody says of one throw; some readings take as long as the square of the length.
LONGEST_SAID = 1_000


def check_short(text: str, what: str) -> None:
    """Refuse a sentence that is none.

    Raises
    ------
    InputError
        When it has more letters than :data:`LONGEST_SAID`.
    """
    if len(text) > LONGEST_SAID:
        raise InputError(
            f"{what} has {len(text):,} letters, more than the {LONGEST_SAID:,} that are read; "
            "say it shorter."
        )


def check_units(units: str) -> Units:
    """Return ``units`` if they are known.

    Raises
    ------
    InputError
        When they are neither "m" nor "ft".
    """
    if units == "m":
        return "m"
    if units == "ft":
        return "ft"
    raise InputError(f"units must be 'm' or 'ft', but are {units!r}.")


def number(value: float, decimals: int = 0) -> str:
    """Write a number with a true minus sign; never "−0"."""
    text = f"{check_finite('value', value):.{decimals}f}"
    if text.startswith("-"):
        return f"−{text[1:]}" if float(text) != 0.0 else text[1:]
    return text


def surface(square_m: float, units: Units) -> str:
    """Write an area to three figures, as in "27,700 m²"; in square feet where feet are shown."""
    shown = square_m if units == "m" else square_m / METRES_PER_FOOT**2
    return f"{float(f'{shown:.3g}'):,.0f} {units}²"


def plural(count: int, noun: str) -> str:
    """Say "1 disc", "20 discs"."""
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def joined(parts: Sequence[str], last: str = "and") -> str:
    """Join words as a sentence does: "a", "a and b", "a, b and c"."""
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} {last} {parts[-1]}"


def in_units(length_m: float, units: Units) -> float:
    """Convert metres to the unit that is shown."""
    return length_m if units == "m" else length_m / METRES_PER_FOOT


def distance(length_m: float, units: Units = "m") -> str:
    """Say a distance in whole metres or feet: "90 m", "295 ft"."""
    return f"{number(in_units(length_m, units))} {units}"


def sideways(left_m: float, units: Units = "m") -> str:
    """Say a sideways distance as the thrower sees it: "4 m left", "3 m right", "straight"."""
    size = number(abs(in_units(left_m, units)))
    if size == "0":
        return "straight"
    return f"{size} {units} {'left' if left_m > 0 else 'right'}"


def short_side(left_m: float, units: Units = "m") -> str:
    """Say a sideways distance on a scale: "4 left", "3 right", "0"."""
    return sideways(left_m, units).replace(f" {units} ", " ").replace("straight", "0")


def sideways_give_or_take(left_m: float, spread_m: float, units: Units = "m") -> str:
    """Say "4 m left, give or take 6"."""
    check_range("spread_m", spread_m, 0.0, math.inf)
    return f"{sideways(left_m, units)}, give or take {number(in_units(spread_m, units))}"


def strokes(value: float, error: float | None = None) -> str:
    """Say "0.04 strokes, give or take 0.02"."""
    text = f"{number(value, 2)} strokes"
    return text if error is None else f"{text}, give or take {number(error, 2)}"


def of_rounds(share: float) -> str:
    """Say how often a kind of day comes: "30 of 100 rounds"; nothing where it always does."""
    often = f"{100.0 * share:.0f}"
    return "" if often == "100" else f"{often} of 100 rounds"


def chance(share: float) -> str:
    """Say a probability out of a hundred throws: "3 of 100", "fewer than 1 of 100", "none"."""
    check_range("chance", share, 0.0, 1.0)
    if share == 0.0:
        return "none of 100"
    if share < 0.005:
        return "fewer than 1 of 100"
    return f"{share * 100:.0f} of 100"


def temperature(temperature_c: float, units: Units = "m") -> str:
    """Say a temperature in °C, or in °F to those who think in feet."""
    if units == "m":
        return f"{number(temperature_c)} °C"
    return f"{number(temperature_c * 9.0 / 5.0 + 32.0)} °F"


def beaufort(speed_m_s: float) -> tuple[int, str]:
    """Return the Beaufort force of a mean wind and its name.

    Parameters
    ----------
    speed_m_s
        0 to 150; rounded to tenths first, as the scale is printed.
    """
    tenths = round(check_range("wind speed", speed_m_s, 0.0, 150.0, "m/s"), 1)
    return next((force, name) for force, (top, name) in enumerate(_BEAUFORT) if tenths <= top)


def wind_speed(speed_m_s: float, units: Units = "m") -> str:
    """Say "8 m/s", or "18 mph" to those who think in feet."""
    if units == "m":
        return f"{number(speed_m_s)} m/s"
    return f"{number(speed_m_s * MPH_PER_M_S)} mph"


def wind_direction(from_deg: float) -> str:
    """Say where the wind comes from; 0 is a headwind, 90 from the right."""
    return _FROM[round(check_finite("wind direction", from_deg) / 45.0) % 8]


def wind_words(speed_m_s: float, from_deg: float | None = None, units: Units = "m") -> str:
    """Say "fresh breeze 8 m/s from the left"; without direction when it is ``None``."""
    force, name = beaufort(speed_m_s)
    if force == 0:
        return "calm"
    told = f"{name} {wind_speed(speed_m_s, units)}"
    return told if from_deg is None else f"{told} {wind_direction(from_deg)}"


def printed_numbers(numbers: Sequence[float], decimals: int = 0) -> str:
    """Say speed, glide, turn and fade: "7 / 5 / −1 / 2"."""
    return " / ".join(
        number(value, 0 if float(value).is_integer() and decimals == 0 else max(decimals, 1))
        for value in numbers
    )


def own_numbers(numbers: Sequence[float]) -> str:
    """Say the numbers that a disc goes by for its owner, to the half: "7 / 5 / −1.5 / 2"."""
    return printed_numbers([round(2.0 * value) / 2.0 for value in numbers])


def date_words(on: str) -> str:
    """Say an ISO date with the month in letters ("7 June 2026"); other text stays as it is."""
    try:
        day = dt.date.fromisoformat(on)
    except ValueError:
        return on
    return f"{day.day} {day:%B} {day.year}"


def car_swap(
    day: str, out: Sequence[str], into: Sequence[str], saves: float, saves_se: float
) -> str:
    """Say the swap at the car on one kind of day; ``saves`` is strokes a round on such a day."""
    if not into and not out:
        return f"{day}: nothing changes."
    if not into:
        return f"{day}: {joined(out)} out if you like, for none of them is missed."
    change = f"{joined(into)} {f'in for {joined(out)}' if out else 'in'}"
    told = strokes(max(saves, 0.0), saves_se)
    if saves < 2.0 * saves_se:
        luck = f"no gain that can be told from luck ({told})"
        return f"{day}: {change}, if you like; {luck}."
    return f"{day}: {change}; saves {told}, a round."
