"""One throw: sides, units, pictures, and that its parts agree with one another."""

from __future__ import annotations

import math
from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest

from rimwise.app.flying import TURN_PER_MINUTE, ThrowAsked, fly_disc, fly_numbers
from rimwise.app.sheets import draw_flight
from rimwise.errors import StoreError
from rimwise.store.opening import open_store

NUMBERS = (7.0, 5.0, -1.0, 2.0)
ASKED = ThrowAsked(speed_m_s=22.0)


def test_a_left_handers_throw_is_the_mirror_image_in_numbers_and_words():
    right = fly_numbers(NUMBERS, 172.0, ASKED)
    left = fly_numbers(NUMBERS, 172.0, replace(ASKED, hand="left"))
    assert right.rest_left_m > 1.0  # a right-hander's backhand fades left
    assert left.rest_left_m == -right.rest_left_m
    assert left.rest_m == right.rest_m
    assert "left" in right.words
    assert left.words == right.words.replace("left", "right")


def test_a_forehand_fades_to_the_other_side():
    backhand = fly_numbers(NUMBERS, 172.0, ASKED)
    forehand = fly_numbers(NUMBERS, 172.0, replace(ASKED, style="forehand"))
    assert forehand.rest_left_m == -backhand.rest_left_m


def test_wind_from_the_right_drifts_a_throw_left():
    calm = fly_numbers(NUMBERS, 172.0, ASKED)
    windy = fly_numbers(NUMBERS, 172.0, replace(ASKED, wind_m_s=5.0, wind_from_deg=90.0))
    assert windy.touch_left_m > calm.touch_left_m + 1.0


def test_thin_air_is_what_it_says():
    # ISO 2533: 1.0065 kg/m³ at 2000 m in the standard atmosphere.
    high = fly_numbers(NUMBERS, 172.0, replace(ASKED, altitude_m=2000.0))
    assert high.air_density_kg_m3 == pytest.approx(1.0065, abs=0.001)
    cold = fly_numbers(NUMBERS, 172.0, replace(ASKED, altitude_m=2000.0, temperature_c=-20.0))
    assert cold.air_density_kg_m3 > high.air_density_kg_m3


def test_feet_are_the_same_throw():
    metres = fly_numbers(NUMBERS, 172.0, ASKED)
    feet = fly_numbers(NUMBERS, 172.0, ASKED, "ft")
    assert feet.touch_m == metres.touch_m
    assert f"after {metres.touch_m:.0f} m" in metres.words
    assert f"after {feet.touch_m / 0.3048:.0f} ft" in feet.words
    assert " m," not in feet.words


def test_the_owners_arm_sets_speed_and_spin(unplanned):
    with open_store(unplanned) as store:
        full = fly_disc(store, "nh27-blue", ThrowAsked())
        soft = fly_disc(store, "nh27-blue", ThrowAsked(effort=0.5))
        given = fly_disc(store, "nh27-blue", ThrowAsked(speed_m_s=18.0))
        other = fly_disc(store, "nh27-blue", ThrowAsked(hand="right"))
    assert soft.speed_m_s == pytest.approx(full.speed_m_s / 2)
    assert soft.spin_rad_s == pytest.approx(full.spin_rad_s / 2)
    assert given.speed_m_s == 18.0
    assert given.spin_rad_s / 18.0 == pytest.approx(full.spin_rad_s / full.speed_m_s)
    assert full.rest_left_m == -other.rest_left_m != 0  # the demo's player is left-handed
    assert full.rest_m > soft.rest_m


def test_spin_is_asked_in_turns_a_minute(cli, unplanned):
    said = cli("--data", unplanned, "fly", "nh27-blue", "--spin", 1200, "--json")
    assert f'"spin_rad_s": {1200 * TURN_PER_MINUTE}' in said.out
    assert pytest.approx(2 * math.pi) == 60 * TURN_PER_MINUTE


def test_the_command_speaks_and_draws_in_the_owners_units(cli, unplanned, tmp_path):
    assert cli("--data", unplanned, "init", "--units", "ft").code == 0
    picture = tmp_path / "throw.svg"
    said = cli("--data", unplanned, "fly", "nh27-blue", "--svg", picture)
    assert said.code == 0
    assert " ft high" in said.out
    assert "0 ft" in said.out  # the axis
    assert " m " not in said.out
    assert f"Drawn into {picture}." in said.out.replace("\n", " ")
    root = ET.fromstring(picture.read_text("utf-8"))  # noqa: S314 - our own file
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    texts = "".join(root.itertext())
    assert " ft" in texts
    assert "NH 27" in texts


def test_bare_numbers_need_no_data_file(cli, tmp_path):
    said = cli("--data", tmp_path / "none.db", "fly", "7/5/−1/2", "--speed", "22", "--rigid")
    assert said.code == 0
    assert said.out.startswith("7 / 5 / −1 / 2: in the air for")
    assert not list(tmp_path.iterdir())


def test_a_picture_that_cannot_be_written_leaves_nothing(tmp_path):
    flown = fly_numbers(NUMBERS, 172.0, ASKED)
    with pytest.raises(StoreError, match="cannot be written"):
        draw_flight(flown, tmp_path / "no" / "x.svg")
    assert not list(tmp_path.iterdir())
