"""The demonstration's files are what their generator writes and what the tool can read."""

from __future__ import annotations

import csv
import math
from importlib import resources
from itertools import pairwise

import numpy as np
import pytest
from pydantic import TypeAdapter

from rimwise.course.geometry import AreaIndex
from rimwise.course.osm import course_from_osm
from rimwise.demo import generate
from rimwise.flight.metar import parse_metar
from rimwise.records.carts import Cart
from rimwise.records.conditions import Ground
from rimwise.records.courses import AreaKind
from rimwise.records.discs import Grip, Mold, Plastic, Printed, Status
from rimwise.records.thrower import Hand, Thrower

DATA = resources.files("rimwise.demo") / "data"


def rows(name):
    return list(csv.DictReader((DATA / name).read_text(encoding="utf-8").splitlines()))


@pytest.fixture(scope="module")
def found():
    return course_from_osm((DATA / "course.osm").read_bytes())


def test_the_course_reads_without_a_warning_and_says_it_is_invented(found):
    assert found.warnings == ()
    assert found.course.name == generate.COURSE_NAME
    assert found.course.attribution == generate.NOTICE
    assert "Invented" in generate.NOTICE
    assert len(found.notes) == 1  # the mandatory, whose side the map does not say
    assert [zone.hole for zone in found.course.drop_zones] == ["6"]


def test_eighteen_holes_of_sensible_length_that_walk_into_each_other(found):
    holes = found.course.holes
    assert [hole.ref for hole in holes] == [str(number) for number in range(1, 19)]
    for hole in holes:
        low, high = (55.0, 125.0) if hole.par == 3 else (135.0, 200.0)
        assert low <= hole.length_m <= high
    assert sum(hole.par == 4 for hole in holes) == 3
    walks = [math.dist(one.basket, two.tee) for one, two in pairwise((*holes, holes[0]))]
    assert all(15.0 <= walk <= 45.0 for walk in walks)
    # The wind must come from everywhere in the course of a round.
    assert {round(hole.bearing_deg / 90.0) % 4 for hole in holes} == {0, 1, 2, 3}
    climbs = [hole.elevation_change_m for hole in holes]
    assert min(climbs) < -2.0
    assert max(climbs) > 2.0


def test_pond_wood_and_lane_come_into_play(found):
    course, index = found.course, AreaIndex(found.course)
    ends = index.kinds(np.array([at for hole in course.holes for at in (hole.tee, hole.basket)]))
    assert not any(mask.any() for mask in ends.values())

    def beside(kind, reach_m):
        """Holes with such an area within reach of their line."""
        near = set()
        for hole in course.holes:
            line = np.linspace(hole.tee, hole.basket, 60)
            for turn in np.linspace(0.0, math.tau, 12):
                shift = reach_m * np.array([math.cos(turn), math.sin(turn)])
                if index.kinds(line + shift)[kind].any():
                    near.add(hole.ref)
        return near

    assert {"4", "5", "6", "14"} <= beside(AreaKind.WATER, 25.0)
    assert {"7", "8", "9", "10", "12"} <= beside(AreaKind.WOOD, 25.0)
    assert {"2", "18"} <= beside(AreaKind.OUT_OF_BOUNDS, 28.0)
    over = course.hole("6")
    assert index.kinds(np.linspace(over.tee, over.basket, 60))[AreaKind.WATER].mean() > 0.25
    (wood,) = (area for area in course.areas if area.name == "Pine wood")
    assert len(wood.openings) == 1


def test_discs_are_sound_and_varied():
    discs = rows("discs.csv")
    assert len({disc["disc"] for disc in discs}) == len(discs) == 34
    plastics = {plastic["name"]: plastic for plastic in rows("plastics.csv")}
    molds = {}
    for disc in discs:
        mold = Mold(
            disc["mold"],
            Printed(*(float(disc[k]) for k in ("speed", "glide", "turn", "fade"))),
            disc["maker"],
        )
        assert molds.setdefault(mold.name, mold) == mold
        assert mold.name.startswith(f"{disc['maker']} ")
        assert disc["plastic"] in plastics
        assert disc["floats"] == plastics[disc["plastic"]]["floats"]
        assert disc["wear"] in ("new", "good", "worn", "beaten")
        Status(disc["status"])
    stability = [mold.printed.turn + mold.printed.fade for mold in molds.values()]
    assert min(stability) <= -2.0
    assert max(stability) >= 3.0
    available = [disc for disc in discs if Status(disc["status"]).available]
    assert 25 <= len(available) <= 34


def test_plastics_are_sound_and_trade_grip_in_the_cold_for_grip_in_the_heat():
    plastics = {}
    for row in rows("plastics.csv"):
        grip = Grip(*(float(row[f"grip {air}"])
                      for air in ("cold-dry", "cold-wet", "warm-dry", "hot-sweaty")))  # fmt: skip
        plastics[row["name"]] = Plastic(
            row["name"], grip, float(row["durability"]), row["floats"] == "yes",
            float(row["stability shift"]),
        )  # fmt: skip
    soft, firm = plastics["soft base"], plastics["firm glossy"]
    assert soft.grip.cold_wet > firm.grip.cold_wet
    assert soft.grip.hot_sweaty < firm.grip.hot_sweaty
    assert soft.durability < firm.durability
    assert soft.stability_shift < firm.stability_shift


def test_winter_reports_are_metars_of_no_airport():
    winter = rows("winter.csv")
    assert len(winter) == 3
    reports = [parse_metar(row["metar"]) for row in winter]
    assert all(row["metar"].startswith("METAR ZZZZ ") for row in winter)
    assert sum(float(row["weight"]) for row in winter) == pytest.approx(1.0)
    assert all(-2.0 <= report.temperature_c <= 5.0 for report in reports)
    assert max(report.wind_speed_m_s for report in reports) > 8.0
    assert [report.wind_speed_m_s for report in reports].count(0.0) == 1
    assert {Ground(row["ground"]) for row in winter} == {Ground.WET, Ground.FROZEN}


def test_summer_is_dry_and_warm():
    summer = rows("summer.csv")
    assert [row["month"] for row in summer] == ["June", "July", "August"]
    assert {row["wet"] for row in summer} == {"no"}
    assert all(24.0 <= float(row["temperature_c"]) <= 30.0 for row in summer)
    assert max(float(row["wind_speed_m_s"]) for row in summer) > 7.0
    assert {Ground(row["ground"]) for row in summer} == {Ground.FIRM, Ground.HARD}


def test_the_player_throws_left_handed():
    player = TypeAdapter(Thrower).validate_json((DATA / "thrower.json").read_bytes())
    assert player.hand is Hand.LEFT
    assert [skill.fairway_distance_m for skill in player.styles] == [90.0, 70.0]


def test_a_full_upper_pouch_nearly_tips_the_cart():
    """Static stability of a rigid body: it falls when its centre of mass passes the axle."""
    cart = TypeAdapter(Cart).validate_json((DATA / "cart.json").read_bytes())

    def backward_deg(discs_in_pouch):
        discs = {"front slot": 2, "main well": 14, "upper pouch": discs_in_pouch}
        parts = [(cart.mass_kg, cart.com_x_m, cart.com_z_m)]
        parts += [(item.mass_kg, item.x_m, item.z_m) for item in cart.items]
        parts += [(pocket.mass_kg + 0.172 * discs[pocket.name], pocket.x_m, pocket.z_m)
                  for pocket in cart.pockets]  # fmt: skip
        moment_x = sum(mass * x for mass, x, _ in parts)
        moment_z = sum(mass * z for mass, _, z in parts)
        return math.degrees(math.atan2(moment_x, moment_z))

    assert 0.0 < backward_deg(6) < 6.5 < 8.0 < backward_deg(0)
