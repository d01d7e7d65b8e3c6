"""Ladders of a carry: doubled and missing rungs, and what a disc on a missing one would save."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from rimwise.app.ladders import between, carried_ladders, from_home, tell_ladder
from rimwise.app.rungs import Landings, ladder_of
from rimwise.records.assumptions import Assumptions

Z = np.random.default_rng(4).standard_normal((8, 2000))
MEANS = {"a": 0.0, "b": 4.0, "c": 8.0, "d": 20.0, "e": 24.0, "home": 14.5, "far": 9.5}
ROLES = dict.fromkeys(MEANS, "mid-range")
CARRIED = ("e", "d", "c", "b", "a")


def landings(noise_m: float, reach: dict[str, float] | None = None, **assumed: float) -> Landings:
    """Discs that finish at their means, give or take, and all reach 60 m unless told."""
    finish = {disc: mean + noise_m * Z[i] for i, (disc, mean) in enumerate(MEANS.items())}
    out = {disc: (reach or {}).get(disc, 60.0) + 0.0 * Z[0] for disc in MEANS}
    return Landings(finish, out, replace(Assumptions(), **assumed))


def test_a_step_surely_much_wider_than_usual_lacks_a_rung() -> None:
    ladder = ladder_of("mid-range", CARRIED, landings(0.5))
    assert ladder.discs == ("a", "b", "c", "d", "e")
    assert ladder.usual_m == pytest.approx(4.0, abs=0.1)
    (rung,) = ladder.missing
    assert (rung.below, rung.above) == ("c", "d")
    # The difference of two independent normals of sd 0.5: eight of ten within 1.2816 * 0.7071.
    assert rung.high_m - rung.step_m == pytest.approx(1.2816 * 0.7071, abs=0.08)
    assert rung.low_m > 8.0
    assert ladder_of("mid-range", CARRIED, landings(4.0)).missing == ()
    assert ladder_of("mid-range", CARRIED, landings(0.5, rung_gap_times=3.5)).missing == ()
    few = ladder_of("mid-range", ("a", "c", "d"), landings(0.5))
    assert (few.usual_m, few.missing) == (None, ())


def test_doubled_is_more_likely_than_not_alike_in_finish_and_reach() -> None:
    # Two means 4 m apart with sd 2 each: the difference is normal with mean 4 and sd 2.828;
    # P(-3 <= difference <= 3) = Phi(-0.354) - Phi(-2.475) = 0.355.
    stand = landings(2.0)
    assert stand.doubled("a", "b") == pytest.approx(0.355, abs=0.02)
    assert ladder_of("mid-range", ("a", "b"), stand).doubled == ()
    wide = landings(0.5, rung_same_m=5.0)
    pairs = [(one.first, one.second) for one in ladder_of("mid-range", CARRIED, wide).doubled]
    assert pairs == [("a", "b"), ("b", "c"), ("d", "e")]
    longer = landings(0.5, {"b": 70.0}, rung_same_m=5.0)
    pairs = [(one.first, one.second) for one in ladder_of("mid-range", CARRIED, longer).doubled]
    assert pairs == [("d", "e")]


def test_doubled_discs_do_not_make_the_usual_step_small() -> None:
    stand = landings(0.2)
    twin = {**stand.finish_m, "twin": stand.finish_m["a"] + 0.1, "other": stand.finish_m["b"] + 0.1}
    out = dict.fromkeys(twin, stand.reach_m["a"])
    ladder = ladder_of("mid-range", [*CARRIED, "twin", "other"], Landings(twin, out))
    assert len(ladder.doubled) == 2
    assert ladder.usual_m == pytest.approx(4.0, abs=0.2)


def test_what_stands_on_the_missing_rung_comes_from_home_or_from_between() -> None:
    stand = landings(0.5)
    (ladder,) = carried_ladders((*CARRIED, "lone"), ROLES | {"lone": "putter"}, stand)
    (rung,) = ladder.missing
    assert from_home(rung, "mid-range", ("far", "home"), ROLES, stand) == "home"
    assert from_home(rung, "mid-range", ("far",), ROLES, stand) == ""
    assert from_home(rung, "mid-range", ("home",), ROLES | {"home": "putter"}, stand) == ""
    numbers = np.array([[5.0, 4.0, -1.0, 1.0], [5.0, 3.0, 0.0, 3.0]])
    fleet = SimpleNamespace(index=["c", "d"].index, printed=numbers)
    middle = between(rung, fleet)
    assert (middle.speed, middle.glide, middle.turn, middle.fade) == (5.0, 3.5, -0.5, 2.0)


def test_the_strokes_say_whether_a_missing_rung_matters() -> None:
    ladder = ladder_of("mid-range", CARRIED, landings(0.5))
    pays = tell_ladder(ladder, [("home", 0.2, 0.05)], "m").missing[0]
    assert not pays.cosmetic
    assert pays.words == (
        "Mid-ranges: from c to d is a step of 12 m sideways (11 to 13), where 4 is usual. home, "
        "which is at home, stands there and would save 0.20 strokes, give or take 0.05, a round."
    )
    for saves, error in ((0.2, 0.15), (0.004, 0.0), (-0.1, 0.01)):
        eye = tell_ladder(ladder, [("", saves, error)], "ft").missing[0]
        assert eye.cosmetic
        assert eye.words.endswith(
            "A disc between them would save nothing that can be told from luck: "
            "the gap is cosmetic."
        )
        assert "a step of 39 ft" in eye.words


def test_doubled_discs_that_share_one_are_told_together() -> None:
    ladder = ladder_of("mid-range", CARRIED, landings(0.3, rung_same_m=5.0))
    told = tell_ladder(ladder, [("", 0.0, 0.0) for _ in ladder.missing], "m")
    assert told.doubled_words.endswith("alike: a, b and c; d and e.")
