"""The air a disc flies through: density from temperature, pressure and humidity."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal

from rimwise.errors import InputError, check_range
from rimwise.flight._checks import Limits, check_fields

__all__ = ["Air", "station_pressure_hpa"]

KELVIN = 273.15

# ISO 2533:1975, defining constants of the standard atmosphere.
ISO_TEMPERATURE_K = 288.15
ISO_PRESSURE_PA = 101_325.0
ISO_LAPSE_K_M = 0.0065
ISO_GAS_CONSTANT_J_KG_K = 287.05287
ISO_GRAVITY_M_S2 = 9.80665
ISO_EXPONENT = ISO_GRAVITY_M_S2 / (ISO_LAPSE_K_M * ISO_GAS_CONSTANT_J_KG_K)

_LIMITS: Limits = {
    "temperature_c": (-60.0, 60.0, "°C"),
    "pressure_hpa": (300.0, 1100.0, "hPa"),
    "relative_humidity": (0.0, 1.0, ""),
}


@dataclass(frozen=True, slots=True)
class Air:
    """Still moist air.

    Parameters
    ----------
    temperature_c : float
        −60 … 60 °C. The density formula is stated for 15 … 27 °C and 600 … 1100 hPa;
        outside it is an extrapolation, good to about 0.1 % against CoolProp.
    pressure_hpa : float
        Pressure *here* (station pressure), 300 … 1100 hPa, not reduced to sea level.
    relative_humidity : float
        A share, 0 … 1.
    gas : {"cipm-2007", "iso-2533"}
        Equation of state. :meth:`standard` uses the standard's own.

    Raises
    ------
    InputError
        When a value is outside its range.
    """

    temperature_c: float
    pressure_hpa: float
    relative_humidity: float
    gas: Literal["cipm-2007", "iso-2533"] = field(default="cipm-2007", kw_only=True)

    def __post_init__(self) -> None:
        check_fields(self, _LIMITS)
        if self.gas not in ("cipm-2007", "iso-2533"):
            raise InputError(f"air.gas must be 'cipm-2007' or 'iso-2533', but is {self.gas!r}.")

    @property
    def density_kg_m3(self) -> float:
        """Mass of a cubic metre, kg."""
        if self.gas == "iso-2533":
            kelvin = self.temperature_c + KELVIN
            return self.pressure_hpa * 100.0 / (ISO_GAS_CONSTANT_J_KG_K * kelvin)
        return _cipm_2007(self.temperature_c, self.pressure_hpa * 100.0, self.relative_humidity)

    @classmethod
    def standard(cls, altitude_m: float = 0.0) -> Air:
        """Return the standard atmosphere at a geopotential altitude (ISO 2533:1975).

        Parameters
        ----------
        altitude_m : float
            −500 … 8000 m, the part of the standard where people throw discs.
        """
        altitude = check_range("altitude_m", altitude_m, -500.0, 8000.0, "m")
        kelvin = ISO_TEMPERATURE_K - ISO_LAPSE_K_M * altitude
        pressure = ISO_PRESSURE_PA * (kelvin / ISO_TEMPERATURE_K) ** ISO_EXPONENT
        return cls(kelvin - KELVIN, pressure / 100.0, 0.0, gas="iso-2533")

    @classmethod
    def from_metar(cls, text: str, elevation_m: float) -> Air:
        """Return the air of an airport weather report (METAR) at an elevation.

        The report's altimeter setting becomes station pressure by
        :func:`station_pressure_hpa`; temperature and dew point are taken as they are,
        with tenths where the remarks give them.

        Parameters
        ----------
        text : str
            The report, with temperature, dew point and altimeter setting.
        elevation_m : float
            Height of the course above sea level, −500 … 6000 m.

        Raises
        ------
        InputError
            When the report cannot be read or lacks one of the three.
        """
        from rimwise.flight.metar import parse_metar

        report = parse_metar(text)
        if report.temperature_c is None or report.dewpoint_c is None:
            raise InputError(
                f"The weather report {text.strip()!r} has no temperature and dew point "
                "(a group such as 18/16); give temperature and humidity by hand."
            )
        if report.altimeter_hpa is None:
            raise InputError(
                f"The weather report {text.strip()!r} has no altimeter setting "
                "(a group such as Q1013 or A2992); give the pressure by hand."
            )
        humidity = _vapour_pressure_pa(report.dewpoint_c) / _vapour_pressure_pa(
            report.temperature_c
        )
        return cls(
            report.temperature_c,
            station_pressure_hpa(report.altimeter_hpa, elevation_m),
            min(humidity, 1.0),
        )


def station_pressure_hpa(altimeter_hpa: float, elevation_m: float) -> float:
    """Pressure at an elevation from an altimeter setting (QNH), by the ISO 2533 relation.

    ``p = QNH (1 − 0.0065 H / 288.15)^5.25588``. The setting is itself made from station
    pressure with this relation, so it is undone with the same.
    """
    setting = check_range("altimeter_hpa", altimeter_hpa, 850.0, 1100.0, "hPa")
    elevation = check_range("elevation_m", elevation_m, -500.0, 6000.0, "m")
    return float(setting * (1.0 - ISO_LAPSE_K_M * elevation / ISO_TEMPERATURE_K) ** ISO_EXPONENT)


def _vapour_pressure_pa(temperature_c: float) -> float:
    """Saturation vapour pressure over water, CIPM-2007 equation A1.1."""
    kelvin = temperature_c + KELVIN
    return math.exp(
        1.2378847e-5 * kelvin * kelvin - 1.9121316e-2 * kelvin + 33.93711047 - 6.3431645e3 / kelvin
    )


def _cipm_2007(temperature_c: float, pressure_pa: float, humidity: float) -> float:
    """Density of moist air with 0.04 % carbon dioxide.

    Picard A, Davis R S, Gläser M, Fujii K (2008) Metrologia 45:149-155, equation 1 and
    appendix A: saturation pressure, enhancement factor and compressibility.
    """
    t, kelvin = temperature_c, temperature_c + KELVIN
    enhancement = 1.00062 + 3.14e-8 * pressure_pa + 5.6e-7 * t * t
    vapour = humidity * enhancement * _vapour_pressure_pa(t) / pressure_pa
    linear = 1.58123e-6 - 2.9331e-8 * t + 1.1043e-10 * t * t
    mixed = (5.707e-6 - 2.051e-8 * t) * vapour
    square = (1.9898e-4 - 2.376e-6 * t) * vapour * vapour
    compressibility = (
        1.0
        - pressure_pa / kelvin * (linear + mixed + square)
        + (pressure_pa / kelvin) ** 2 * (1.83e-11 - 0.765e-8 * vapour * vapour)
    )
    molar_mass_dry = 28.96546e-3  # kg/mol at a carbon dioxide share of 0.0004
    gas_constant = 8.314472  # J/(mol K), the value the formula was published with
    return (
        pressure_pa
        * molar_mass_dry
        / (compressibility * gas_constant * kelvin)
        * (1.0 - 0.3780 * vapour)
    )
