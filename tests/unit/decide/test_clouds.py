"""Clouds: the same bytes every time, mirrored hands, and honest interpolation."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from small_worlds import (
    ASSUME,
    CALM,
    FOUR,
    THROWER,
    disc,
    fleet_of,
    simulator,
    windy,
)

from rimwise.decide._score import CHANNELS
from rimwise.decide.clouds import (
    CHOOSING,
    DIRECTIONS,
    REPORTING,
    SCREENING,
    VALUING,
    Draws,
    Simulator,
)
from rimwise.decide.days import Day
from rimwise.decide.demand import prices_for
from rimwise.decide.lies import Lie, open_lie
from rimwise.decide.pricing import TARGETS_GUARDED, Actions, price_lies, trace_lie
from rimwise.records.assumptions import Assumptions
from rimwise.records.thrower import Hand, Scatter, Style, StyleSkill, Thrower

VALUE = 2.0 + np.arange(401) / 60.0
FLEET = fleet_of()
#: Nothing is left to chance: no scatter, discs as printed, sure grip.
SURE = Assumptions(
    printed_speed_sd=0.0, printed_glide_sd=0.0, printed_turn_sd=0.0, printed_fade_sd=0.0,
    spin_scatter=0.0, poor_grip_slips=0.0, poor_grip_scatter=0.0, poor_grip_speed_loss=0.0,
)  # fmt: skip
STILL = Thrower(
    "S", Hand.RIGHT, (StyleSkill(Style.BACKHAND, 85.0, scatter=Scatter(0.0, 0.0, 0.0, 0.0, 0.0)),)
)


def chosen_lines(sim: Simulator, day: Day, lies: list[Lie]):  # type: ignore[no-untyped-def]
    flown = sim.clouds(FLEET, day)
    prices = prices_for(FLEET, day, ASSUME)
    actions = price_lies(
        flown.points, day.wind.from_deg, lies, VALUE, prices, flown.nerve, targets=TARGETS_GUARDED
    )
    return flown, prices, actions


def test_same_seed_same_bytes_whatever_the_threads() -> None:
    day = windy(4.0, 60.0)
    first = simulator().clouds(FLEET, day).points.tobytes()
    assert simulator(threads=1).clouds(FLEET, day).points.tobytes() == first
    assert simulator().clouds(FLEET, day).points.tobytes() == first
    assert simulator(seed=4).clouds(FLEET, day).points.tobytes() != first


def test_a_discs_cloud_does_not_depend_on_the_others() -> None:
    day = windy(4.0, 60.0)
    alone = simulator().clouds(fleet_of(FOUR[2:3]), day).points
    assert np.array_equal(alone[0], simulator().clouds(FLEET, day).points[2])


def test_the_three_sets_of_draws_are_independent() -> None:
    sets = [
        Draws.sobol(1024, 1, SCREENING),
        *(Draws.independent(1024, 1, k) for k in (CHOOSING, REPORTING, VALUING)),
    ]
    assert len({SCREENING, CHOOSING, REPORTING, VALUING}) == 4
    for column in range(7):
        together = np.corrcoef([draws.normal[:, column] for draws in sets])
        assert np.abs(together[np.triu_indices(3, 1)]).max() < 4.0 / np.sqrt(1024)


@pytest.mark.parametrize(
    "draws", [Draws.sobol(1024, 1, SCREENING), Draws.independent(4096, 1, REPORTING)]
)
def test_draws_have_the_shapes_that_they_claim(draws: Draws) -> None:
    error = 4.0 / np.sqrt(len(draws))
    assert np.abs(draws.normal.mean(axis=0)).max() < error
    assert np.abs(draws.normal.std(axis=0) - 1.0).max() < error
    assert np.abs(draws.normal).max() <= 3.5
    assert draws.slip.min() > 0.0
    assert draws.slip.max() < 1.0
    assert draws.nerve.mean() == pytest.approx(1.0, abs=error)
    together = np.corrcoef(np.column_stack([draws.normal, draws.slip, draws.nerve]).T)
    assert np.abs(together - np.eye(9)).max() < error


@pytest.mark.parametrize("speed_m_s", [0.0, 3.0, 7.0, 12.0])
def test_stronger_wind_is_flown_from_more_sides(speed_m_s: float) -> None:
    day = windy(speed_m_s, 0.0)
    expected = next(n for most, n in DIRECTIONS if day.wind.strongest_m_s <= most)
    points = simulator(screening=2).clouds(fleet_of(FOUR[:1]), day).points
    assert points.shape == (1, len(simulator().bases), expected, 4, CHANNELS, 2)
    assert np.isfinite(points).all()


@pytest.mark.parametrize("from_deg", [0.0, 55.0, 270.0])
def test_a_left_hander_is_the_mirror_image(from_deg: float) -> None:
    """Mirrored wind, mirrored turn: the same strokes, and landings on the other side."""
    lies = [open_lie(d, 0.0) for d in (40.0, 95.0)]
    left = replace(THROWER, hand=Hand.LEFT)
    one, other = (
        chosen_lines(simulator(who), windy(5.0, wind), lies)[2]
        for who, wind in ((THROWER, from_deg), (left, (360.0 - from_deg) % 360.0))
    )
    assert one.cost == pytest.approx(other.cost, abs=2e-4)
    for hands, wind in (((THROWER, from_deg), (left, -from_deg % 360.0)),):
        first, second = (
            simulator(who).throw_actions(FLEET, windy(5.0, w), lies, actions, REPORTING)
            for (who, w), actions in zip((hands, wind), (one, _mirrored(one)), strict=True)
        )
    assert first.rest[..., 0] == pytest.approx(second.rest[..., 0], abs=1e-6)
    assert first.rest[..., 1] == pytest.approx(-second.rest[..., 1], abs=1e-6)


def _mirrored(actions: Actions) -> Actions:
    table = actions.table.copy()
    table[:, :, [4, 6]] *= -1.0
    return Actions(table)


def test_a_forehand_fades_the_other_way() -> None:
    both = Thrower(
        "B", Hand.RIGHT, (StyleSkill(Style.BACKHAND, 85.0), StyleSkill(Style.FOREHAND, 85.0))
    )
    sim = simulator(both)
    flat = {base.style: n for n, base in enumerate(sim.bases) if base.hyzer_deg == 0.0}
    points = sim.clouds(fleet_of(FOUR[3:]), CALM).points[0, :, 0, -1]
    finish = {style: points[n, 1] + points[n, 3] for style, n in flat.items()}
    assert np.median(finish[Style.BACKHAND]) > 2.0
    assert np.median(finish[Style.FOREHAND]) < -2.0


def test_without_chance_every_sample_is_one_throw() -> None:
    sim = simulator(STILL, SURE)
    fleet = fleet_of([disc("a", plastic="light floating")], replace(SURE))
    sure = replace(fleet, mass_sd_kg=np.zeros(1), plastic_sd=np.zeros(1))
    points = sim.clouds(sure, CALM).points
    assert np.ptp(points, axis=-1).max() < 1e-4


def test_a_poor_grip_scatters_wider_and_throws_shorter() -> None:
    discs = [disc("good", plastic="soft base"), disc("poor", plastic="slick premium")]
    cold = replace(CALM, grip=(0.0, 1.0, 0.0, 0.0))
    points = simulator(screening=256).clouds(fleet_of(discs), cold).points[:, :, 0, -1]
    good, poor = points.astype(np.float64)
    assert np.all(poor[:, 0].mean(axis=-1) < good[:, 0].mean(axis=-1))
    assert np.all(poor[:, 1].std(axis=-1) > good[:, 1].std(axis=-1))
    warm = simulator(screening=256).clouds(fleet_of(discs), CALM).points[1, :, 0, -1]
    assert np.all(warm[:, 0].mean(axis=-1) > poor[:, 0].mean(axis=-1))


def test_a_cold_arm_throws_shorter_and_thick_air_too() -> None:
    fleet = fleet_of(FOUR[2:3])

    def reach(day: Day) -> float:
        return float(simulator().clouds(fleet, day).points[0, :, 0, -1, 0].mean())

    assert reach(replace(CALM, arm=0.9)) < 0.92 * reach(CALM)
    assert reach(replace(CALM, air_density_kg_m3=1.3)) != reach(CALM)


@pytest.mark.parametrize("speed_m_s", [0.0, 3.0, 6.0, 9.0])
def test_blended_clouds_land_where_exact_flights_do(speed_m_s: float) -> None:
    """The same draws through both: interpolated wind, effort and aim against a true flight."""
    day, sim = windy(speed_m_s, 40.0), simulator(screening=64)
    lies = [open_lie(d, b) for d in (35.0, 60.0, 90.0) for b in (0.0, 77.0, 160.0, 290.0)]
    flown, prices, actions = chosen_lines(sim, day, lies)
    exact = _exact_on_screening_draws(sim, day, lies, actions)
    off_m = []
    for r, lie in enumerate(lies):
        for d in range(len(FLEET)):
            blended = trace_lie(
                flown.points[d, actions.base(r, d)], day.wind.from_deg, lie, VALUE,
                prices.table[d], flown.nerve, actions.table[r, d],
            )[:, 1:3].mean(axis=0)  # fmt: skip
            off_m.append(float(np.hypot(*(blended - exact[r, d].mean(axis=0)))))
    assert np.median(off_m) < 0.5
    assert np.quantile(off_m, 0.9) < 1.0


def _exact_on_screening_draws(sim: Simulator, day: Day, lies: list[Lie], actions: Actions):  # type: ignore[no-untyped-def]
    """Fly the chosen lines exactly, on the draws that the clouds were flown with."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(
            Draws, "independent", lambda *_: Draws.sobol(sim.screening, sim.seed, SCREENING)
        )
        patch.setattr(type(FLEET), "sample_printed", _as_screening(type(FLEET).sample_printed))
        patch.setattr(type(FLEET), "sample_mass_kg", _as_screening(type(FLEET).sample_mass_kg))
        same_size = replace(sim, reporting=sim.screening)
        return same_size.throw_actions(FLEET, day, lies, actions, REPORTING).rest


def _as_screening(function):  # type: ignore[no-untyped-def]
    return lambda self, samples, seed, _set: function(self, samples, seed, SCREENING)


def test_in_wind_the_direction_of_the_hole_matters() -> None:
    sim, day = simulator(), windy(7.0, 0.0)
    lies = [open_lie(80.0, bearing) for bearing in (0.0, 90.0, 180.0)]
    _, _, actions = chosen_lines(sim, day, lies)
    head, cross, tail = actions.cost.min(axis=1)
    assert head - tail > 0.05
    assert abs(head - cross) > 0.01
    calm = chosen_lines(sim, CALM, lies)[2].cost
    assert np.ptp(calm, axis=0).max() == 0.0


@pytest.mark.parametrize("slope", [0.06, -0.06])
def test_a_slope_is_allowed_for_as_a_flight_to_higher_ground_has_it(slope: float) -> None:
    """Moved clouds against flights to level ground as high as the target, 6 in a hundred."""
    sim = simulator(screening=64)
    lies = [replace(open_lie(d, 0.0), slope=slope) for d in (40.0, 65.0)]
    flown, prices, actions = chosen_lines(sim, CALM, lies)
    exact = _exact_on_screening_draws(sim, CALM, lies, actions)
    for r, lie in enumerate(lies):
        for d in range(len(FLEET)):
            points = flown.points[d, actions.base(r, d)]
            blended = trace_lie(
                points, 0.0, lie, VALUE, prices.table[d], flown.nerve, actions.table[r, d]
            )
            x, y = blended[:, 1:3].mean(axis=0)
            assert x == pytest.approx(exact[r, d, :, 0].mean(), rel=0.09)
            assert y == pytest.approx(exact[r, d, :, 1].mean(), abs=2.5)


def test_the_middle_throw_starts_at_the_lie_and_ends_within_its_cloud() -> None:
    sim, day, lie = simulator(), windy(4.0, 60.0), open_lie(80.0, 0.0)
    _, _, actions = chosen_lines(sim, day, [lie])
    for d in range(len(FLEET)):
        alone = Actions(actions.table[:, d : d + 1])
        path = sim.middle_throw(FLEET.subset([d]), day, lie, alone, points=30)
        assert path.shape == (30, 3)
        assert path[0, :2] == pytest.approx([0.0, 0.0])
        assert path[-1, 2] == pytest.approx(0.0, abs=0.02)
        touch = sim.throw_actions(FLEET.subset([d]), day, [lie], alone, REPORTING).touch[0, 0]
        off = (path[-1, :2] - touch.mean(axis=0)) / touch.std(axis=0)
        assert np.abs(off).max() < 1.0


def test_distance_left_is_of_each_lies_own_disc() -> None:
    sim, lies = simulator(), [open_lie(50.0, 0.0), open_lie(90.0, 0.0), open_lie(30.0, 0.0)]
    _, _, actions = chosen_lines(sim, CALM, lies)
    best = np.array([2, 0, 2])
    left_m = sim.distance_left(FLEET, CALM, lies, actions, best)
    rest = sim.throw_actions(FLEET, CALM, lies, actions, VALUING).rest
    for r, lie in enumerate(lies):
        own = rest[r, best[r]]
        assert left_m[r] == pytest.approx(np.hypot(lie.distance_m - own[:, 0], own[:, 1]))


def test_learnt_habits_move_every_release_by_as_much() -> None:
    usual = simulator()
    (arm,) = {arm.style: arm for arm in usual.arms}.values()
    strayed = replace(arm, hyzer_bias_rad=0.05, launch_bias_rad=-0.03, heading_bias_rad=0.02)
    learnt = replace(usual, learnt_arms=(strayed,))
    draws = Draws.independent(8, 1, 0)
    sample, base = np.arange(8), np.zeros(8, dtype=np.intp)
    before, after = (
        sim._releases(fleet_of(), CALM, 0, draws, base, np.ones(8), sample, np.zeros(8))
        for sim in (usual, learnt)
    )
    np.testing.assert_allclose(after.hyzer_rad - before.hyzer_rad, 0.05, rtol=1e-9)
    np.testing.assert_allclose(after.launch_rad - before.launch_rad, -0.03, rtol=1e-9)
    heading_rad = after.heading_rad - before.heading_rad
    np.testing.assert_allclose(heading_rad, 0.02 - arm.heading_bias_rad, rtol=1e-9)
    np.testing.assert_array_equal(after.speed_m_s, before.speed_m_s)
    np.testing.assert_array_equal(after.nose_rad, before.nose_rad)
