"""How much more often a disc is lost, by ground cover, colour and light."""

from __future__ import annotations

import pytest
from small_worlds import ASSUME, THROWER

from rimwise.decide.days import day_of
from rimwise.decide.visibility import hidden_in, loss_factors
from rimwise.records.conditions import Cover, ScenarioDay

COLOURS = ["white", "bright orange", "dark green", "blue", ""]


def test_green_ground_in_good_light_is_what_others_are_compared_with():
    assert loss_factors(["blue", ""], "green", ASSUME).tolist() == [1.0, 1.0]


@pytest.mark.parametrize(
    ("cover", "hidden", "season"),
    [
        ("green", "dark green", 1.0),
        ("bare", None, ASSUME.bare_loss),
        ("leaves", "bright orange", ASSUME.leaves_loss),
        ("snow", "white", ASSUME.snow_loss),
    ],
)
def test_a_disc_of_the_colour_of_the_ground_is_lost_more_often(cover, hidden, season):
    expected = [season * (ASSUME.hidden_colour_loss if c == hidden else 1.0) for c in COLOURS]
    assert loss_factors(COLOURS, cover, ASSUME).tolist() == expected


def test_poor_light_costs_every_disc_alike():
    day, dusk = (loss_factors(COLOURS, "leaves", ASSUME, dusk=late) for late in (False, True))
    assert dusk == pytest.approx(ASSUME.dusk_loss * day)


def test_the_last_word_is_the_colour_and_an_unknown_one_is_never_hidden():
    assert hidden_in("Bright-ORANGE", "leaves")
    assert not hidden_in("orange blue", "leaves")
    assert not any(hidden_in("sanguine", cover.value) for cover in Cover)


def test_a_scenario_day_hands_its_cover_and_light_on():
    day = ScenarioDay("league", 1.0, 3.0, 1000.0, 0.8, 4.0, 230.0, cover=Cover.LEAVES, dusk=True)
    made = day_of(day, 1.0, THROWER, ASSUME)
    assert (made.cover, made.dusk) == ("leaves", True)
    plain = day_of(ScenarioDay("d", 1.0, 3.0, 1000.0, 0.8, 4.0, 230.0), 1.0, THROWER, ASSUME)
    assert (plain.cover, plain.dusk) == ("green", False)
