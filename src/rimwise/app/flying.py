"""Fly: throws of one disc or several, in numbers and words and ready to draw."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product
from pathlib import Path
from typing import Any, Literal

import numpy as np

from rimwise.app.believing import posterior_of
from rimwise.app.box import assumptions_of, disc_named, pick, units_of
from rimwise.app.files import Written, write_whole
from rimwise.app.throwing import ThrowAsked, Thrown, cloud_release, thrown_by
from rimwise.app.wearing import as_worn
from rimwise.beliefs.fleet import build_fleet
from rimwise.beliefs.posterior import Posterior
from rimwise.errors import InputError, check_finite, check_range
from rimwise.flight.aero import Aero
from rimwise.flight.air import Air
from rimwise.flight.body import Body, rim_width_from_printed_speed_m
from rimwise.flight.domain import doubts
from rimwise.flight.flights import Flight
from rimwise.flight.fly import fly, fly_many
from rimwise.flight.printed import Printed, aero_from_printed
from rimwise.flight.wind import Wind
from rimwise.pictures.flight import MOST_THROWS, Cloud, flight_svg
from rimwise.records import words
from rimwise.records.assumptions import Assumptions
from rimwise.records.thrower import Thrower
from rimwise.records.words import Units
from rimwise.store.store import Store

__all__ = [
    "TURN_PER_MINUTE",
    "Flown",
    "FlownCloud",
    "ThrowAsked",
    "draw_flown",
    "fly_disc",
    "fly_numbers",
    "learnt_for_flying",
    "throws_asked",
]

#: One turn a minute, in rad/s.
TURN_PER_MINUTE = 2.0 * math.pi / 60.0

#: The air when no conditions are named: mild, at sea level.
MILD = Air(15.0, 1013.25, 0.6)

#: Throws in a cloud.
FEWEST_IN_CLOUD, MOST_IN_CLOUD = 10, 10000


@dataclass(frozen=True, slots=True)
class FlownCloud:
    """Where many throws of one line came to rest, with only the release scattered.

    ``rest_m`` and ``rest_left_m`` (throws,), metres from the tee, left positive; the ends
    hold 8 of 10.
    """

    throws: int
    near_m: float
    far_m: float
    right_end_m: float
    left_end_m: float
    rest_m: tuple[float, ...]
    rest_left_m: tuple[float, ...]

    def picture(self) -> Cloud:
        """Return it as it is drawn."""
        return Cloud(np.column_stack([self.rest_m, self.rest_left_m]))


@dataclass(frozen=True, slots=True)
class Flown:
    """One flown throw.

    ``flight`` is for drawing; the rest is for reading: distances in metres from the tee,
    left positive. ``doubts`` says in sentences where the throw leaves what the model was
    checked for.
    """

    label: str
    numbers: tuple[float, float, float, float]
    weight_g: float
    style: str
    hand: str
    speed_m_s: float
    spin_rad_s: float
    hyzer_deg: float
    launch_deg: float
    nose_deg: float
    wobble_deg: float
    air_density_kg_m3: float
    touch_m: float
    touch_left_m: float
    rest_m: float
    rest_left_m: float
    apex_m: float
    hang_s: float
    thrown: str
    words: str
    doubts: tuple[str, ...]
    units: Units
    flight: Flight
    cloud: FlownCloud | None = None


# -- several throws -----------------------------------------------------------------------


def throws_asked(
    asked: ThrowAsked, discs: Sequence[str], varied: Mapping[str, Sequence[Any]], units: Units
) -> list[tuple[str, str, ThrowAsked]]:
    """Return every combination of discs and varied fields, with what sets it apart in words.

    Parameters
    ----------
    varied
        Values by field of :class:`ThrowAsked`; a field with one value is the same for all.

    Returns
    -------
    list of (disc, difference, throw)

    Raises
    ------
    InputError
        When there are more throws than can be told apart in a picture.
    """
    given = {name: values for name, values in varied.items() if values}
    throws = []
    for disc, *chosen in product(discs, *given.values()):
        parts = dict(zip(given, chosen, strict=True))
        apart = [
            _difference(name, value, units) for name, value in parts.items() if len(given[name]) > 1
        ]
        throws.append((disc, ", ".join(apart), replace(asked, **parts)))
    if len(throws) > MOST_THROWS:
        raise InputError(
            f"these are {len(throws)} throws, but only {MOST_THROWS} can be told apart over each "
            "other; name fewer discs, or repeat fewer options."
        )
    return throws


def _difference(name: str, value: Any, units: Units) -> str:
    """Say a value that sets one throw apart from the others."""
    if name in ("style", "hand", "ground"):
        return {"hand": f"{value} hand", "ground": f"{value} ground"}.get(name, str(value))
    value = check_finite(name.partition("_")[0], value)
    if name == "wind_m_s":
        return f"wind {words.wind_speed(value, units)}"
    told = {
        "hyzer_deg": _hyzer_words(value),
        "nose_deg": _nose_words(value),
        "launch_deg": f"{words.number(value)}° up",
        "speed_m_s": _speed_words(value, units),
        "spin_rad_s": f"{value / TURN_PER_MINUTE:.0f} turns a minute",
        "effort": f"{100 * value:.0f} % effort",
        "wind_from_deg": f"wind {words.wind_direction(value)}",
        "wobble_deg": f"{words.number(value)}° wobble",
        "temperature_c": words.temperature(value, units),
        "altitude_m": f"at {words.distance(value, units)}",
        "ground_height_m": _height_words(value, units),
    }
    return told[name]


def draw_flown(flown: Sequence[Flown], path: Path) -> Written:
    """Draw throws over each other into an SVG file.

    Raises
    ------
    StoreError
        When the file cannot be written.
    """
    clouds = [one.cloud.picture() if one.cloud is not None else None for one in flown]
    pairs = [(one.label, one.flight) for one in flown]
    return write_whole(path, flight_svg(pairs, flown[0].units, clouds=clouds))


# -- one throw ----------------------------------------------------------------------------


def learnt_for_flying(store: Store) -> Posterior | None:
    """Return what the owner's evidence says of discs and arm; ``None`` where there is none.

    Raises
    ------
    InputError
        When there is evidence for a disc or style that is not on file.
    """
    if not len(store.throwers):
        return None
    thrower = pick(store.throwers, "thrower", None)
    return posterior_of(store, thrower, assumptions_of(store))


def fly_disc(
    store: Store,
    name: str,
    asked: ThrowAsked,
    difference: str = "",
    beliefs: Posterior | None = None,
) -> Flown:
    """Fly one of the owner's discs with the owner's arm.

    Parameters
    ----------
    difference
        What sets this throw apart from others flown with it.
    beliefs
        Discs and arm as learnt; as printed, and by the one distance, where left out.

    Raises
    ------
    RimwiseError
        When the disc or the thrower is not known, or a number is outside its range.
    """
    assume = assumptions_of(store)
    disc = disc_named(store, name)
    fleet = build_fleet(
        [disc] if beliefs is None else as_worn(store, [disc], assume),
        {mold.name: mold for mold in store.molds.all()},
        {plastic.name: plastic for plastic in store.plastics.all()},
        assume,
        everything=store.discs.all(),
    )
    if beliefs is not None:
        fleet = beliefs.learnt_fleet(fleet)
    numbers = tuple(float(v) for v in fleet.printed[0])
    rim_m = float(fleet.rim_width_m[0])
    if math.isnan(rim_m):
        rim_m = rim_width_from_printed_speed_m(float(np.clip(numbers[0], 1.0, 15.0)))
    diameter_m = float(fleet.diameter_m[0])
    body = Body.from_dimensions(
        float(fleet.mass_kg[0]), 0.212 if math.isnan(diameter_m) else diameter_m, rim_m
    )
    flown_disc = _Disc(disc.label, numbers, _aero(numbers), body, rim_m)
    thrower = pick(store.throwers, "thrower", None)
    return _flown(flown_disc, thrower, asked, assume, units_of(store), difference, beliefs)


def fly_numbers(
    numbers: tuple[float, float, float, float],
    weight_g: float,
    asked: ThrowAsked,
    units: Units = "m",
    *,
    store: Store | None = None,
    difference: str = "",
    beliefs: Posterior | None = None,
) -> Flown:
    """Fly a disc known only by its printed numbers and weight.

    The owner of ``store`` throws it; without one, or where it has no thrower yet, the throw
    needs a release speed.

    Raises
    ------
    RimwiseError
        When there is no release speed, or a number is outside its range.
    """
    assume, thrower = Assumptions(), None
    if store is not None and len(store.throwers):
        assume, thrower = assumptions_of(store), pick(store.throwers, "thrower", None)
    printed = Printed(*numbers)
    mass_kg = check_range("weight", weight_g, 60.0, 200.0, "g") / 1000.0
    body = Body.from_printed_speed(printed.speed, mass_kg)
    disc = _Disc(
        words.printed_numbers(numbers),
        numbers,
        aero_from_printed(printed),
        body,
        rim_width_from_printed_speed_m(printed.speed),
    )
    return _flown(disc, thrower, asked, assume, units, difference, beliefs)


@dataclass(frozen=True, slots=True)
class _Disc:
    label: str
    numbers: tuple[float, ...]
    aero: Aero
    body: Body
    rim_width_m: float


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
    disc: _Disc,
    thrower: Thrower | None,
    asked: ThrowAsked,
    assume: Assumptions,
    units: Units,
    difference: str,
    beliefs: Posterior | None,
) -> Flown:
    arms = () if beliefs is None else tuple(beliefs.arm(s) for s in beliefs.unknowns.styles)
    thrown = thrown_by(thrower, asked, assume, disc.body.diameter_m, arms)
    _check_throw(asked, thrown)
    release = thrown.release(asked.height_m, math.radians(asked.wobble_deg))
    air = _air(asked)
    wind = Wind(asked.wind_m_s, asked.wind_from_deg % 360.0) if asked.wind_m_s > 0 else None
    model: Literal["precession", "rigid"] = "rigid" if asked.rigid else "precession"
    ground_z_m = asked.ground_height_m
    flight = fly(
        disc.aero, disc.body, release, air, wind, model=model, ground=asked.ground,
        ground_z_m=ground_z_m, rim_width_m=disc.rim_width_m,
    )  # fmt: skip
    p = disc.numbers
    numbers = (p[0], p[1], p[2], p[3])
    found = doubts(
        disc.aero, disc.body, release, air, wind, flight, printed=numbers, ground_z_m=ground_z_m
    )
    flight = replace(flight, doubts=tuple(doubt.sentence for doubt in found))
    label = f"{disc.label}, {difference}" if difference else disc.label
    return Flown(
        label=label,
        numbers=numbers,
        weight_g=disc.body.mass_kg * 1000.0,
        style=thrown.style,
        hand=thrown.hand,
        speed_m_s=thrown.speed_m_s,
        spin_rad_s=thrown.spin_rad_s,
        hyzer_deg=thrown.hyzer_deg,
        launch_deg=thrown.launch_deg,
        nose_deg=thrown.nose_deg,
        wobble_deg=asked.wobble_deg,
        air_density_kg_m3=float(air.density_kg_m3),
        touch_m=flight.range_m,
        touch_left_m=flight.left_m,
        rest_m=float(flight.rest_m[0]),
        rest_left_m=float(flight.rest_m[1]),
        apex_m=flight.apex_m,
        hang_s=flight.hang_s,
        thrown=_thrown_words(thrown, asked, units),
        words=_words(label, flight, units),
        doubts=tuple(_in_units(doubt, units) for doubt in flight.doubts),
        units=units,
        flight=flight,
        cloud=_cloud(disc, thrown, asked, air, wind),
    )


def _cloud(
    disc: _Disc, thrown: Thrown, asked: ThrowAsked, air: Air, wind: Wind | None
) -> FlownCloud | None:
    """Throw the same line many times with the thrower's scatter; disc and air stay the same."""
    if not asked.cloud:
        return None
    count = int(check_range("cloud", asked.cloud, FEWEST_IN_CLOUD, MOST_IN_CLOUD, "throws"))
    flights = fly_many(
        disc.aero, disc.body, cloud_release(thrown, count, asked), air, wind, ground=asked.ground,
        ground_z_m=asked.ground_height_m, rim_width_m=disc.rim_width_m,
    )  # fmt: skip
    out, left = flights.rest_m[:, 0], flights.rest_m[:, 1]
    near, far = np.quantile(out, (0.1, 0.9)).tolist()
    right_end, left_end = np.quantile(left, (0.1, 0.9)).tolist()
    return FlownCloud(
        count, near, far, right_end, left_end, tuple(out.tolist()), tuple(left.tolist())
    )


def _check_throw(asked: ThrowAsked, thrown: Thrown) -> None:
    """Refuse what no throw is, in the units in which a throw is asked for."""
    check_range("release speed", thrown.speed_m_s, 1.0, 50.0, "m/s")
    check_range("spin", thrown.spin_rad_s / TURN_PER_MINUTE, 50.0, 2800.0, "turns a minute")
    check_range("launch angle", thrown.launch_deg, -90.0, 90.0, "degrees")
    check_range("hyzer", thrown.hyzer_deg, -180.0, 180.0, "degrees")
    check_range("nose angle", thrown.nose_deg, -90.0, 90.0, "degrees")
    check_range("release height", asked.height_m, 0.0, 50.0, "m")
    check_range("wobble", asked.wobble_deg, 0.0, 34.0, "degrees")
    check_range("ground height", asked.ground_height_m, -200.0, 200.0, "m")
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


# -- words --------------------------------------------------------------------------------


def _words(label: str, flight: Flight, units: Units) -> str:
    touch, rest = flight.landing_m, flight.rest_m
    return (
        f"{label}: in the air for {flight.hang_s:.1f} s, at most "
        f"{words.distance(flight.apex_m, units)} high; touches down after "
        f"{words.distance(float(touch[0]), units)}, {words.sideways(float(touch[1]), units)}; "
        f"rests at {words.distance(float(rest[0]), units)}, "
        f"{words.sideways(float(rest[1]), units)}."
    )


def _in_units(sentence: str, units: Units) -> str:
    """Say the whole metres and metres a second of a sentence as its reader thinks."""
    if units == "m":
        return sentence

    def said(found: re.Match[str]) -> str:
        value, unit = float(found[1]), found[2]
        return words.distance(value, units) if unit == "m" else words.wind_speed(value, units)

    return re.sub(r"(?<![\d.])(\d+) (m/s|m)\b", said, sentence)


def _thrown_words(thrown: Thrown, asked: ThrowAsked, units: Units) -> str:
    """Say how it was thrown: "right-hand backhand, 22.0 m/s, …"."""
    parts = [
        f"{thrown.hand}-hand {thrown.style}",
        _speed_words(thrown.speed_m_s, units),
        f"{thrown.spin_rad_s / TURN_PER_MINUTE:.0f} turns a minute",
        f"{words.number(thrown.launch_deg)}° up",
        _hyzer_words(thrown.hyzer_deg),
    ]
    if not thrown.learnt or asked.nose_deg is not None:
        parts.append(_nose_words(thrown.nose_deg))
    if asked.wobble_deg:
        parts.append(f"{words.number(asked.wobble_deg)}° wobble")
    if thrown.learnt:
        # Landings cannot tell these habits apart one by one, so none is named.
        return ", ".join([*parts, "with your habits as learnt"])
    heading_deg = math.degrees(thrown.heading_rad)
    if round(heading_deg):
        side = "left" if heading_deg > 0 else "right"
        parts.append(f"{abs(heading_deg):.0f}° {side} by habit")
    return ", ".join(parts)


def _speed_words(speed_m_s: float, units: Units) -> str:
    if units == "m":
        return f"{speed_m_s:.1f} m/s"
    return f"{speed_m_s * words.MPH_PER_M_S:.0f} mph"


def _hyzer_words(hyzer_deg: float) -> str:
    size = words.number(abs(hyzer_deg))
    if size == "0":
        return "flat"
    return f"{size}° {'hyzer' if hyzer_deg > 0 else 'anhyzer'}"


def _nose_words(nose_deg: float) -> str:
    size = words.number(abs(nose_deg))
    if size == "0":
        return "nose level"
    return f"nose {size}° {'up' if nose_deg > 0 else 'down'}"


def _height_words(height_m: float, units: Units) -> str:
    size = words.distance(abs(height_m), units)
    return f"{size} {'uphill' if height_m > 0 else 'downhill'}" if height_m else "level ground"
