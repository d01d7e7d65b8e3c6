"""Rungs: places among the discs of a role, and how sure they are."""

from __future__ import annotations

import numpy as np

from rimwise.app.rungs import Landings, rung_of

Z = np.random.default_rng(1).standard_normal(400)
FINISH = {
    "turner": -10.0 + 0.1 * Z,
    "straight": 0.0 * Z,
    "twin": 1.0 - 2.0 * Z,
    "fader": 20.0 + 0.1 * Z,
    "putter": 5.0 * Z,
}
LANDINGS = Landings(FINISH, dict.fromkeys(FINISH, 60.0 + 0.0 * Z))
ROLES = dict.fromkeys(FINISH, "fairway driver") | {"putter": "putter"}
OTHERS = sorted(FINISH)


def test_places_run_from_the_turn_side_to_the_fade_side():
    places = {
        name: rung_of(name, LANDINGS, ROLES, OTHERS).place
        for name in ("turner", "straight", "twin", "fader")
    }
    assert places == {"turner": 1, "straight": 2, "twin": 3, "fader": 4}


def test_two_discs_that_may_be_either_way_have_unsure_places_and_are_one_rung():
    straight = rung_of("straight", LANDINGS, ROLES, OTHERS)
    assert (straight.place, straight.place_low, straight.place_high) == (2, 2, 3)
    said = straight.words("m")
    assert "number 2 (anywhere from 2 to 3) from the turn side" in said
    assert (
        "between turner (10 m more to the turn side) and twin (1 m more to the fade side)" in said
    )
    assert said.endswith("twin and it are one rung.")


def test_ends_of_a_ladder_have_one_neighbour_and_a_sure_place_is_not_doubted():
    said = rung_of("fader", LANDINGS, ROLES, OTHERS).words("m")
    assert "number 4 from the turn side, next to twin (19 m more to the turn side)." in said


def test_a_disc_alone_in_its_role_says_so():
    rung = rung_of("putter", LANDINGS, ROLES, OTHERS)
    assert rung.of == 1
    assert rung.words("m") == "It is your only putter."
