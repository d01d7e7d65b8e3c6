"""Fly: one throw of one disc, in numbers, words and a picture."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from rimwise.app.box import assumptions_of, disc_named, pick, units_of
from rimwise.beliefs.arm import arm_style, spin_for_speed
from rimwise.beliefs.fleet import build_fleet
from rimwise.errors import InputError, check_finite, check_range
from rimwise.flight.aero import Aero
from rimwise.flight.air import Air
from rimwise.flight.body import Body, rim_width_from_printed_speed_m
from rimwise.flight.flights import Flight
from rimwise.flight.fly import fly
from rimwise.flight.printed import Printed, aero_from_printed
from rimwise.flight.release import Release
from rimwise.flight.wind import Wind
from rimwise.records import words
from rimwise.records.assumptions import Assumptions
from rimwise.records.thrower import Style
from rimwise.records.words import Units
from rimwise.store.store import Store

__all__ = ["TURN_PER_MINUTE", "Flown", "ThrowAsked", "fly_disc", "fly_numbers"]

#: One turn a minute, in rad/s.
TURN_PER_MINUTE = 2.0 * math.pi / 60.0

#: The air when no conditions are named: mild, at sea level.
MILD = Air(15.0, 1013.25, 0.6)


@dataclass(frozen=True, slots=True)
class ThrowAsked:
    """One throw to fly.

    Parameters
    ----------
    speed_m_s
        Release speed; the arm's own at ``effort`` when ``None``.
    wind_m_s, wind_from_deg
        Wind relative to the aim line: 0 a headwind, 90 from the right.
    ground
        Kind of ground.
    rigid
        Fly the full rigid body instead of the production model.
    """

    style: str = "backhand"
    hand: str | None = None
    speed_m_s: float | None = None
    spin_rad_s: float | None = None
    effort: float = 1.0
    hyzer_deg: float = 0.0
    launch_deg: float = 10.0
    nose_deg: float = 0.0
    height_m: float = 1.2
    wind_m_s: float = 0.0
    wind_from_deg: float = 0.0
    ground: str = "firm"
    temperature_c: float | None = None
    altitude_m: float = 0.0
    rigid: bool = False


@dataclass(frozen=True, slots=True)
class Flown:
    """One flown throw.

    ``flight`` is for drawing; the rest is for reading: distances in metres from the tee,
    left positive.
    """

    label: str
    numbers: tuple[float, float, float, float]
    weight_g: float
    speed_m_s: float
    spin_rad_s: float
    air_density_kg_m3: float
    touch_m: float
    touch_left_m: float
    rest_m: float
    rest_left_m: float
    apex_m: float
    hang_s: float
    words: str
    units: Units
    flight: Flight


def fly_disc(store: Store, name: str, asked: ThrowAsked) -> Flown:
    """Fly one of the owner's discs with the owner's arm.

    Raises
    ------
    RimwiseError
        When the disc or the thrower is not known, or a number is outside its range.
    """
    assume = assumptions_of(store)
    disc = disc_named(store, name)
    fleet = build_fleet(
        [disc],
        {mold.name: mold for mold in store.molds.all()},
        {plastic.name: plastic for plastic in store.plastics.all()},
        assume,
        everything=store.discs.all(),
    )
    thrower = pick(store.throwers, "thrower", None)
    arm = arm_style(thrower, Style(_style(asked.style)), assume)
    numbers = tuple(float(v) for v in fleet.printed[0])
    rim_m = float(fleet.rim_width_m[0])
    if math.isnan(rim_m):
        rim_m = rim_width_from_printed_speed_m(float(np.clip(numbers[0], 1.0, 15.0)))
    diameter_m = float(fleet.diameter_m[0])
    body = Body.from_dimensions(
        float(fleet.mass_kg[0]), 0.212 if math.isnan(diameter_m) else diameter_m, rim_m
    )
    speed = asked.speed_m_s
    if speed is None:
        speed = arm.speed_m_s * check_range("effort", asked.effort, 0.3, 1.0)
    spin = (
        asked.spin_rad_s if asked.spin_rad_s is not None else arm.spin_rad_s / arm.speed_m_s * speed
    )
    hand = asked.hand or str(thrower.hand)
    release = (speed, spin)
    return _flown(disc.label, numbers, _aero(numbers), body, hand, asked, release, units_of(store))


def fly_numbers(
    numbers: tuple[float, float, float, float],
    weight_g: float,
    asked: ThrowAsked,
    units: Units = "m",
) -> Flown:
    """Fly a disc known only by its printed numbers and weight; a release speed is needed."""
    if asked.speed_m_s is None:
        raise InputError("a throw of bare numbers needs a release speed; add --speed, in m/s.")
    printed = Printed(*numbers)
    mass_kg = check_range("weight", weight_g, 60.0, 200.0, "g") / 1000.0
    body = Body.from_printed_speed(printed.speed, mass_kg)
    label = words.printed_numbers(numbers)
    spin = asked.spin_rad_s
    if spin is None:
        spin = spin_for_speed(asked.speed_m_s, Assumptions().advance_ratio, body.diameter_m)
    aero = aero_from_printed(printed)
    release = (asked.speed_m_s, spin)
    return _flown(label, numbers, aero, body, asked.hand or "right", asked, release, units)


def _style(name: str) -> str:
    if name not in ("backhand", "forehand"):
        raise InputError(f"style must be backhand or forehand, but is {name!r}.")
    return name


def _aero(numbers: tuple[float, ...]) -> Aero:
    """Return the coefficients of a disc's own numbers, which may lie a little off the range."""
    from rimwise.flight.printed import aero_arrays_from_printed

    arrays = aero_arrays_from_printed(*(np.array([value]) for value in numbers))
    return Aero(
        **{
            name: float(np.asarray(getattr(arrays, name)).ravel()[0])
            for name in Aero.__dataclass_fields__
        }
    )


def _flown(
    label: str,
    numbers: tuple[float, ...],
    aero: Aero,
    body: Body,
    hand: str,
    asked: ThrowAsked,
    speed_and_spin: tuple[float, float],
    units: Units,
) -> Flown:
    if hand not in ("right", "left"):
        raise InputError(f"hand must be right or left, but is {hand!r}.")
    speed, spin = speed_and_spin
    _check_throw(asked, speed, spin)
    release = Release(
        speed_m_s=speed,
        spin_rad_s=spin,
        launch_rad=math.radians(asked.launch_deg),
        hyzer_rad=math.radians(asked.hyzer_deg),
        nose_rad=math.radians(asked.nose_deg),
        height_m=asked.height_m,
        hand="left" if hand == "left" else "right",
        style="forehand" if _style(asked.style) == "forehand" else "backhand",
    )
    air = _air(asked)
    wind = Wind(asked.wind_m_s, asked.wind_from_deg % 360.0) if asked.wind_m_s > 0 else None
    model: Literal["precession", "rigid"] = "rigid" if asked.rigid else "precession"
    flight = fly(aero, body, release, air, wind, model=model, ground=asked.ground)
    return Flown(
        label=label,
        numbers=(numbers[0], numbers[1], numbers[2], numbers[3]),
        weight_g=body.mass_kg * 1000.0,
        speed_m_s=speed,
        spin_rad_s=spin,
        air_density_kg_m3=float(air.density_kg_m3),
        touch_m=flight.range_m,
        touch_left_m=flight.left_m,
        rest_m=float(flight.rest_m[0]),
        rest_left_m=float(flight.rest_m[1]),
        apex_m=flight.apex_m,
        hang_s=flight.hang_s,
        words=_words(label, flight, units),
        units=units,
        flight=flight,
    )


def _check_throw(asked: ThrowAsked, speed_m_s: float, spin_rad_s: float) -> None:
    """Refuse what no throw is, in the units in which a throw is asked for."""
    check_range("release speed", speed_m_s, 1.0, 50.0, "m/s")
    check_range("spin", spin_rad_s / TURN_PER_MINUTE, 50.0, 2800.0, "turns a minute")
    check_range("launch angle", asked.launch_deg, -90.0, 90.0, "degrees")
    check_range("hyzer", asked.hyzer_deg, -180.0, 180.0, "degrees")
    check_range("nose angle", asked.nose_deg, -90.0, 90.0, "degrees")
    check_range("wind", asked.wind_m_s, 0.0, 60.0, "m/s")
    check_finite("wind direction", asked.wind_from_deg)
    check_range("altitude", asked.altitude_m, -500.0, 8000.0, "m")
    if asked.temperature_c is not None:
        check_range("temperature", asked.temperature_c, -60.0, 60.0, "°C")


def _air(asked: ThrowAsked) -> Air:
    if asked.temperature_c is None and asked.altitude_m == 0.0:
        return MILD
    standard = Air.standard(asked.altitude_m)
    if asked.temperature_c is None:
        return standard
    return Air(asked.temperature_c, standard.pressure_hpa, standard.relative_humidity)


def _words(label: str, flight: Flight, units: Units) -> str:
    touch, rest = flight.landing_m, flight.rest_m
    return (
        f"{label}: in the air for {flight.hang_s:.1f} s, at most "
        f"{words.distance(flight.apex_m, units)} high; touches down after "
        f"{words.distance(float(touch[0]), units)}, {words.sideways(float(touch[1]), units)}; "
        f"rests at {words.distance(float(rest[0]), units)}, "
        f"{words.sideways(float(rest[1]), units)}."
    )
