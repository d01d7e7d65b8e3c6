"""One throw: sides, units, pictures, and that its parts agree with one another."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from datetime import date
from xml.etree import ElementTree as ET

import pytest

from rimwise.app.flying import (
    TURN_PER_MINUTE,
    ThrowAsked,
    draw_flown,
    fly_disc,
    fly_numbers,
    learnt_for_flying,
    throws_asked,
)
from rimwise.app.noting import When, note_throw
from rimwise.errors import InputError, StoreError
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


def test_a_throw_starts_from_the_stock_throw(unplanned):
    with open_store(unplanned) as store:
        stock = store.throwers.get("Invented player").stock
        assert (stock.hyzer_deg, stock.launch_deg) == (5.0, 10.0)
        plain = fly_disc(store, "nh27-blue", ThrowAsked())
        said = fly_disc(
            store, "nh27-blue", ThrowAsked(hyzer_deg=5.0, launch_deg=10.0, effort=stock.effort)
        )
        flat = fly_disc(store, "nh27-blue", ThrowAsked(hyzer_deg=0.0))
        forehand = fly_disc(store, "nh27-blue", ThrowAsked(style="forehand"))
        numbers = fly_numbers(NUMBERS, 172.0, ThrowAsked(), store=store)
    assert plain.words == said.words != flat.words
    assert (plain.hyzer_deg, plain.launch_deg) == (5.0, 10.0)
    assert plain.thrown.startswith("left-hand backhand, ")
    assert plain.thrown.endswith("10° up, 5° hyzer, nose level")
    assert forehand.hyzer_deg == 0.0  # the stock throw says nothing of another style
    assert (numbers.hand, numbers.speed_m_s) == ("left", plain.speed_m_s)


def test_the_habit_and_nose_of_the_arm_are_thrown_too(unplanned):
    with open_store(unplanned) as store:
        thrower = store.throwers.get("Invented player")
        skill = replace(thrower.styles[0], heading_bias_deg=4.0, nose_deg=3.0)
        store.throwers.put(replace(thrower, styles=(skill, *thrower.styles[1:])))
        biased = fly_disc(store, "nh27-blue", ThrowAsked(effort=0.6))
        level = fly_disc(store, "nh27-blue", ThrowAsked(effort=0.6, nose_deg=0.0))
    assert "nose 3° up, 4° right by habit" in biased.thrown
    assert "nose level" in level.thrown
    early = biased.flight.position_m[5]
    assert math.degrees(math.atan2(early[1], early[0])) == pytest.approx(-4.0, abs=0.3)


def test_a_cloud_scatters_the_release_and_a_left_handers_is_the_mirror_image():
    asked = replace(ASKED, cloud=400)
    right = fly_numbers(NUMBERS, 172.0, asked).cloud
    left = fly_numbers(NUMBERS, 172.0, replace(asked, hand="left")).cloud
    other = fly_numbers(NUMBERS, 172.0, replace(asked, seed=2)).cloud
    assert len(right.rest_m) == right.throws == 400
    assert right.rest_m == pytest.approx(left.rest_m, abs=1e-6)
    assert right.rest_left_m == pytest.approx([-y for y in left.rest_left_m], abs=1e-6)
    assert right.rest_m != other.rest_m
    assert sum(right.near_m <= x <= right.far_m for x in right.rest_m) == pytest.approx(320, abs=2)
    assert right.far_m - right.near_m > 3.0
    assert fly_numbers(NUMBERS, 172.0, ASKED).cloud is None


def test_scatter_grows_away_from_the_stock_throw(unplanned):
    with open_store(unplanned) as store:
        near, far = (
            fly_disc(store, "nh3-yellow", ThrowAsked(hyzer_deg=hyzer, effort=0.5, cloud=500)).cloud
            for hyzer in (5.0, 25.0)
        )
    assert far.left_end_m - far.right_end_m > near.left_end_m - near.right_end_m


def test_a_wobble_costs_distance_and_is_said():
    clean = fly_numbers(NUMBERS, 172.0, ASKED)
    wobbly = fly_numbers(NUMBERS, 172.0, replace(ASKED, wobble_deg=15.0))
    assert wobbly.touch_m < clean.touch_m
    assert wobbly.thrown == f"{clean.thrown}, 15° wobble"
    cloud = fly_numbers(NUMBERS, 172.0, replace(ASKED, wobble_deg=15.0, cloud=200)).cloud
    assert cloud.far_m < fly_numbers(NUMBERS, 172.0, replace(ASKED, cloud=200)).cloud.far_m


def test_a_higher_landing_is_met_earlier():
    level = fly_numbers(NUMBERS, 172.0, ASKED)
    uphill = fly_numbers(NUMBERS, 172.0, replace(ASKED, ground_height_m=3.0))
    assert uphill.touch_m < level.touch_m
    assert float(uphill.flight.landing_m[2]) == pytest.approx(3.0)


def test_doubts_are_told_where_the_throw_leaves_what_was_checked():
    usual = fly_numbers(NUMBERS, 172.0, replace(ASKED, ground="soft"))
    fast = fly_numbers(NUMBERS, 172.0, replace(ASKED, speed_m_s=45.0))
    assert any("45 m/s is faster" in doubt for doubt in fast.doubts)
    assert not any("faster" in doubt for doubt in usual.doubts)
    assert fast.flight.doubts == fast.doubts
    feet = fly_numbers(NUMBERS, 172.0, replace(ASKED, speed_m_s=45.0), "ft")
    assert any("101 mph is faster" in doubt for doubt in feet.doubts)
    assert not any(" m/s" in doubt or " m " in doubt for doubt in feet.doubts)


def test_throws_are_every_combination_named_by_what_sets_them_apart():
    varied = {"hyzer_deg": [0.0, -10.0], "wind_m_s": [4.0], "effort": []}
    throws = throws_asked(ThrowAsked(), ["a", "b"], varied, "m")
    assert [(disc, apart) for disc, apart, _ in throws] == [
        ("a", "flat"), ("a", "10° anhyzer"), ("b", "flat"), ("b", "10° anhyzer"),
    ]  # fmt: skip
    assert {asked.wind_m_s for _, _, asked in throws} == {4.0}
    assert [asked.hyzer_deg for _, _, asked in throws] == [0.0, -10.0] * 2
    with pytest.raises(InputError, match="these are 6 throws, but only 5"):
        throws_asked(ThrowAsked(), ["a", "b", "c"], varied, "m")


@pytest.mark.parametrize(
    ("field", "values", "units", "said"),
    [
        ("wind_m_s", [0.0, 8.0], "m", ["wind 0 m/s", "wind 8 m/s"]),
        ("speed_m_s", [20.0, 22.5], "ft", ["45 mph", "50 mph"]),
        ("nose_deg", [-2.0, 3.0], "m", ["nose 2° down", "nose 3° up"]),
        ("ground_height_m", [0.0, -6.1], "ft", ["level ground", "20 ft downhill"]),
        ("wind_from_deg", [0.0, 90.0], "m", ["wind from straight ahead", "wind from the right"]),
        ("spin_rad_s", [100.0, 50.0], "m", ["955 turns a minute", "477 turns a minute"]),
        ("effort", [1.0, 0.6], "m", ["100 % effort", "60 % effort"]),
        ("wobble_deg", [0.0, 12.0], "m", ["0° wobble", "12° wobble"]),
        ("launch_deg", [4.0, 12.0], "m", ["4° up", "12° up"]),
        ("style", ["backhand", "forehand"], "m", ["backhand", "forehand"]),
        ("ground", ["wet", "hard"], "m", ["wet ground", "hard ground"]),
    ],
)
def test_differences_in_words(field, values, units, said):
    throws = throws_asked(ThrowAsked(), ["x"], {field: values}, units)
    assert [apart for _, apart, _ in throws] == said


def test_several_throws_in_one_command(cli, unplanned, tmp_path):
    picture = tmp_path / "both.svg"
    words = ("nh27-blue", "7/5/-1/2", "--wind", "11mph", "--cloud", 60, "--wobble", 20)
    said = cli("--data", unplanned, "fly", *words, "--svg", picture)
    assert said.code == 0
    assert said.out.startswith("1  NH 27 soft base, blue, marked dot: ")
    assert "\n2  7 / 5 / −1 / 2: " in said.out
    assert said.out.count("Of 60 throws with this scatter, 8 of 10 rest") == 2
    assert "Take with care: " in said.out
    texts = "".join(ET.fromstring(picture.read_text("utf-8")).itertext())  # noqa: S314 - our own
    assert "2 flights over each other" in texts
    both = json.loads(cli("--data", unplanned, "fly", *words, "--json").out)
    assert [one["label"] for one in both] == ["NH 27 soft base, blue, marked dot", "7 / 5 / −1 / 2"]
    assert len(both[0]["cloud"]["rest_m"]) == 60
    assert both[0]["doubts"] == both[0]["flight"]["doubts"]


def test_speeds_may_have_units(cli, tmp_path):
    none = tmp_path / "none.db"
    said = [
        json.loads(cli("--data", none, "fly", "7/5/-1/2", "--speed", text, "--json").out)
        for text in ("20", "20m/s", "72km/h", "44.7387mph")
    ]
    assert {round(one["speed_m_s"], 3) for one in said} == {20.0}


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
        draw_flown([flown], tmp_path / "no" / "x.svg")
    assert not list(tmp_path.iterdir())


def test_what_was_learnt_of_the_arm_and_disc_is_flown_and_no_angle_of_it_is_named(unplanned):
    with open_store(unplanned) as store:
        assert learnt_for_flying(store) is None  # nothing is on file yet
        plain = fly_disc(store, "ol17-white", ThrowAsked())
        for length_m in (38, 40, 41, 39, 40, 42):
            note_throw(store, "ol17-white", f"{length_m}m 3L", When(date(2026, 11, 20)))
        beliefs = learnt_for_flying(store)
        learnt = fly_disc(store, "ol17-white", ThrowAsked(cloud=400), beliefs=beliefs)
        numbers = fly_numbers(NUMBERS, 172.0, ThrowAsked(), store=store, beliefs=beliefs)
        nosed = fly_disc(store, "ol17-white", ThrowAsked(nose_deg=2.0), beliefs=beliefs)
    assert plain.rest_m > 45.0
    assert 35.0 < learnt.rest_m < plain.rest_m
    assert learnt.cloud.near_m < learnt.rest_m < learnt.cloud.far_m
    assert learnt.thrown.endswith("10° up, 5° hyzer, with your habits as learnt")
    assert "nose" not in learnt.thrown
    assert "nose 2° up" in nosed.thrown
    assert numbers.speed_m_s == learnt.speed_m_s < plain.speed_m_s
