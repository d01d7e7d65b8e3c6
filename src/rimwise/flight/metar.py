"""Reading airport weather reports (METAR, WMO No. 306, FM-15)."""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from typing import Any

from rimwise.errors import InputError

__all__ = ["WeatherReport", "parse_metar"]


@dataclass(frozen=True, slots=True)
class WeatherReport:
    """What a flight needs from a report; ``None`` where the report is silent.

    A variable wind (``VRB``) has a speed but no direction.
    """

    temperature_c: float | None
    dewpoint_c: float | None
    altimeter_hpa: float | None
    wind_speed_m_s: float | None
    wind_from_deg: float | None
    gust_m_s: float | None


def parse_metar(text: str) -> WeatherReport:
    """Read one report.

    Units of the report (knots, MPS, KMH; inches or hectopascal) become SI; tenths of
    degrees are taken from the remarks' T group.

    Raises
    ------
    InputError
        When the text is no METAR.
    """
    from metar import Metar

    example = "paste one such as 'METAR EHAM 141825Z 18010KT 9999 04/04 Q1024'"
    if not text.strip():
        raise InputError(f"The weather report is empty; {example}.")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            report: Any = Metar.Metar(" ".join(text.split()).rstrip("="), strict=False)
    except Exception:
        # The library raises its own and, on some nonsense, plain index and value errors.
        raise InputError(f"{text.strip()!r} is not a weather report; {example}.") from None
    if report.station_id is None or report.time is None:
        raise InputError(f"{text.strip()!r} is not a weather report; {example}.")
    return WeatherReport(
        temperature_c=_value(report.temp, "C"),
        dewpoint_c=_value(report.dewpt, "C"),
        altimeter_hpa=_value(report.press, "HPA"),
        wind_speed_m_s=_value(report.wind_speed, "MPS"),
        wind_from_deg=_value(report.wind_dir, None),
        gust_m_s=_value(report.wind_gust, "MPS"),
    )


def _value(quantity: Any, unit: str | None) -> float | None:
    if quantity is None:
        return None
    return float(quantity.value() if unit is None else quantity.value(unit))
