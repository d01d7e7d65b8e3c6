"""Ground play: what must hold whatever the assumptions, and what players know of skips."""

from __future__ import annotations

import itertools
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rimwise.errors import InputError
from rimwise.flight import _ground
from rimwise.flight.air import Air
from rimwise.flight.body import Body
from rimwise.flight.flights import Flight
from rimwise.flight.fly import fly, fly_many
from rimwise.flight.ground import (
    GROUNDS,
    KINDS,
    ROLLED,
    SKIPPED,
    SLID,
    STUCK,
    STUCK_WITHIN_M,
    Ground,
    GroundPlay,
    play_ground,
    play_to_rest,
    roller_release,
)
from rimwise.flight.printed import Printed, aero_from_printed

MICROMETRE = 1e-6
GRAVITY_M_S2 = 9.80665
Landings = tuple[np.ndarray, np.ndarray, np.ndarray]


def landing(
    speed_m_s: float, bank_deg: float, down_m_s: float, *, left_deg: float = 0.0,
    nose_deg: float = 0.0,
) -> Landings:  # fmt: skip
    """One disc at the origin that travels along x, left edge down by the bank."""
    bank, left, nose = np.radians([bank_deg, left_deg, nose_deg])
    velocity = np.array([[speed_m_s * np.cos(left), speed_m_s * np.sin(left), -down_m_s]])
    axis = np.array([[-np.sin(nose) * np.cos(bank), np.sin(bank), np.cos(nose) * np.cos(bank)]])
    return np.zeros((1, 3)), velocity, axis


def many_landings(count: int, seed: int = 4) -> tuple[Landings, np.ndarray]:
    """Landings of every sort, spins of both senses."""
    rng = np.random.default_rng(seed)
    velocity = rng.normal(size=(count, 3)) * [8, 4, 3]
    velocity[:, 2] = -np.abs(velocity[:, 2])
    axis = rng.normal(size=(count, 3))
    axis /= np.linalg.norm(axis, axis=1)[:, None]
    return (rng.normal(size=(count, 3)), velocity, axis), rng.uniform(-120, 120, count)


def reach(play: GroundPlay, start: np.ndarray | float = 0.0) -> np.ndarray:
    return np.linalg.norm(play.rest_m - start, axis=1)


component = st.floats(-40, 40)


@settings(max_examples=400, deadline=None)
@given(
    st.tuples(component, component, component), st.tuples(*[st.floats(-1, 1)] * 3),
    st.floats(-30, 30), st.floats(0.07, 0.18), st.floats(0.02, 3.0), st.floats(0.05, 2.0),
    st.floats(0, 0.9), st.floats(0, 1), st.floats(0.01, 1),
)  # fmt: skip
def test_energy_never_rises_and_everything_stays_finite(
    velocity: tuple[float, ...], axis: tuple[float, ...], rim_speed: float, radius: float,
    ratio: float, friction: float, restitution: float, dig: float, rolling: float,
) -> None:  # fmt: skip
    """Motion, spin and height together, from each touch to the next, to a roll and its end."""
    length = np.linalg.norm(axis)
    unit = np.array(axis) / length if length > 1e-3 else np.array([0.0, 0.0, 1.0])
    disc = np.array([[0.0, 0.0, *velocity, *unit, rim_speed, radius, ratio, friction]])
    out = np.empty((1, len(_ground.OUTCOMES)))
    paths = np.empty((1, _ground.PATH_POINTS, 3))
    energies = np.empty((1, _ground.ENERGIES))
    surface = np.array([restitution, dig, rolling])
    _ground.play(disc, surface, 0, 1, out, paths, energies)
    assert np.isfinite(out).all()
    assert np.isfinite(paths).all()
    steep = np.hypot(unit[0], unit[1])
    begun = 0.5 * np.dot(velocity, velocity) + 0.5 * ratio * rim_speed**2
    begun += GRAVITY_M_S2 * radius * steep
    assert energies[0, 0] == pytest.approx(begun)
    assert np.diff(energies[0]).max() <= 1e-9 * (1.0 + begun)
    assert out[0, 2:].min() >= 0.0


def test_no_disc_slides_on_more_than_it_brought() -> None:
    """Friction takes μ g per metre slid, from motion, spin and height together."""
    where, spin = many_landings(2000)
    for ground in GROUNDS.values():
        play = play_ground(*where, ground, 0.03, spin_rad_s=spin)
        energy = 0.5 * (where[1] ** 2).sum(axis=1) + 0.36 * (0.106 * spin) ** 2
        energy += GRAVITY_M_S2 * 0.106
        spent = GRAVITY_M_S2 * ground.friction * play.slid_m
        slides = play.kind != ROLLED  # a roller's spin drives it on while its rim still slips
        assert np.all(spent[slides] <= energy[slides])


def test_left_hand_is_the_mirror_image_on_the_ground() -> None:
    (start, velocity, axis), spin = many_landings(500)
    flip = np.array([1.0, -1.0, 1.0])
    right = play_ground(start, velocity, axis, GROUNDS["firm"], spin_rad_s=spin, path=True)
    left = play_ground(
        start * flip, velocity * flip, axis * flip, GROUNDS["firm"], spin_rad_s=-spin, path=True
    )
    assert left.path_m == pytest.approx(right.path_m * flip, abs=MICROMETRE)
    assert left.rest_m == pytest.approx(right.rest_m * flip, abs=MICROMETRE)
    assert np.array_equal(left.kind, right.kind)


@pytest.mark.parametrize("degrees", [37.0, 90.0, 200.0])
def test_turning_the_scene_turns_the_rest(degrees: float) -> None:
    (start, velocity, axis), spin = many_landings(500)
    cosine, sine = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    turn = np.array([[cosine, -sine, 0.0], [sine, cosine, 0.0], [0.0, 0.0, 1.0]])
    plain = play_to_rest(start, velocity, axis, GROUNDS["hard"], spin_rad_s=spin)
    turned = play_to_rest(
        start @ turn.T, velocity @ turn.T, axis @ turn.T, GROUNDS["hard"], spin_rad_s=spin
    )
    assert turned == pytest.approx(plain @ turn.T, abs=MICROMETRE)


def test_a_disc_on_its_back_plays_like_one_on_its_belly() -> None:
    (start, velocity, axis), spin = many_landings(300)
    one = play_to_rest(start, velocity, axis, GROUNDS["firm"], spin_rad_s=spin)
    other = play_to_rest(start, velocity, -axis, GROUNDS["firm"], spin_rad_s=-spin)
    assert np.array_equal(one, other)


def test_neighbours_and_threads_do_not_matter() -> None:
    where, spin = many_landings(1200)
    rim = np.linspace(0.008, 0.028, 1200)
    together = play_to_rest(*where, GROUNDS["wet"], rim, spin_rad_s=spin, threads=1)
    threaded = play_to_rest(*where, GROUNDS["wet"], rim, spin_rad_s=spin, threads=3)
    assert np.array_equal(together, threaded)
    for i in (0, 599, 1199):
        alone = play_to_rest(
            *(part[i : i + 1] for part in where), GROUNDS["wet"], rim[i], spin_rad_s=spin[i]
        )
        assert np.array_equal(alone[0], together[i])


_PLAIN = """
import sys, numpy as np
sys.path.insert(0, {folder!r})
from test_ground import many_landings
from rimwise.flight.ground import GROUNDS, play_ground
where, spin = many_landings(60)
print(play_ground(*where, GROUNDS["hard"], spin_rad_s=spin).rest_m.tolist())
"""


def test_compiled_ground_equals_plain_python() -> None:
    code = _PLAIN.format(folder=str(Path(__file__).parent))
    plain = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", code], capture_output=True, text=True, check=True,
        env={"NUMBA_DISABLE_JIT": "1", "PATH": ""},
    )  # fmt: skip
    where, spin = many_landings(60)
    compiled = play_ground(*where, GROUNDS["hard"], spin_rad_s=spin).rest_m
    assert np.array(eval(plain.stdout)) == pytest.approx(compiled, abs=MICROMETRE)  # noqa: S307


def test_a_flat_disc_goes_straight_on() -> None:
    (start, velocity, _axis), spin = many_landings(200)
    up = np.tile([0.0, 0.0, 1.0], (200, 1))
    for ground in GROUNDS.values():
        moved = play_to_rest(start, velocity, up, ground, spin_rad_s=spin) - start
        along = np.abs(moved[:, 0] * velocity[:, 1] - moved[:, 1] * velocity[:, 0])
        assert along.max() < MICROMETRE
        assert np.all(moved[:, 2] == 0.0)


def test_an_edge_ahead_kicks_to_the_fade_side() -> None:
    """Nose down: the spinning edge pushes itself aside, left for a right-handed backhand."""
    where = landing(12.0, 0.0, 3.0, nose_deg=-25.0)
    for ground in GROUNDS.values():
        left, straight, right = (
            play_to_rest(*where, ground, spin_rad_s=spin)[0] for spin in (-70.0, 0.0, 70.0)
        )
        assert left[1] > 0.02 * left[0] > 0.0
        assert straight[1] == pytest.approx(0.0, abs=MICROMETRE)
        assert right[1] == pytest.approx(-left[1], abs=MICROMETRE)


def test_a_low_left_edge_skips_on_to_the_left() -> None:
    """A fading landing goes on at least as far left of the aim line as it was heading."""
    for bank, name in itertools.product((10.0, 20.0, 30.0), ("hard", "frozen")):
        rest = play_to_rest(*landing(13.0, bank, 3.0, left_deg=20.0), GROUNDS[name])[0]
        assert np.degrees(np.arctan2(rest[1], rest[0])) > 20.0


def test_grounds_keep_their_order() -> None:
    """Frozen furthest, soft soonest, hard beyond firm, wet beyond dry turf."""
    for speed, bank, down in itertools.product((8.0, 12.0, 16.0), (-15.0, 0.0, 20.0), (1.0, 3.0)):
        where = landing(speed, bank, down)
        gone = {name: play_to_rest(*where, ground)[0, 0] for name, ground in GROUNDS.items()}
        assert gone["soft"] < gone["firm"] < gone["hard"] < gone["frozen"]
        assert gone["firm"] < gone["wet"] < gone["frozen"]


@pytest.mark.parametrize(
    ("spin", "share"), [(-120.0, 1.0), (-90.0, 1.0), (-60.0, 1.0), (-30.0, 0.999), (60.0, 1.0)]
)
def test_sharp_rims_go_on_further_than_blunt_ones(spin: float, share: float) -> None:
    """Wherever either gets away at all; discs that stick do so with any rim.

    A slow spin leaves a few steep landings where one touch more costs the sharp rim its lead.
    """
    grid = itertools.product(
        np.arange(6.0, 21.0, 1.0), np.arange(-20.0, 51.0, 2.5), np.arange(1.0, 8.5, 0.5)
    )
    where = [np.concatenate(parts) for parts in zip(*(landing(*at) for at in grid), strict=True)]
    for ground in GROUNDS.values():
        sharp, blunt = (
            reach(play_ground(*where, ground, rim, spin_rad_s=spin))  # type: ignore[arg-type]
            for rim in (0.024, 0.011)
        )
        moves = np.maximum(sharp, blunt) > STUCK_WITHIN_M
        assert moves.mean() > 0.9
        assert (sharp > blunt)[moves].mean() >= share


def test_what_happened_is_told() -> None:
    where, spin = many_landings(3000)
    play = play_ground(*where, GROUNDS["firm"], spin_rad_s=spin, path=True)
    assert len(play) == 3000
    assert set(np.unique(play.kind)) == {STUCK, SLID, SKIPPED, ROLLED}
    assert [KINDS[kind] for kind in (STUCK, SLID, SKIPPED, ROLLED)] == [
        "stuck", "slid", "skipped", "rolled",
    ]  # fmt: skip
    assert np.array_equal(play.kind == ROLLED, play.rolled_m > 0.0)
    assert np.all(play.hops[play.kind == SKIPPED] > 0)
    assert np.array_equal(play.path_m[:, 0, :2], where[0][:, :2])
    assert np.array_equal(play.path_m[:, -1, :2], play.rest_m[:, :2])
    assert play.path_m[:, :, 2].min() >= 0.0
    steps = np.linalg.norm(np.diff(play.path_m[:, :, :2], axis=1), axis=2).sum(axis=1)
    assert np.all(steps <= play.hopped_m + play.rolled_m + play.slid_m + MICROMETRE)
    straight = play.kind != ROLLED
    road = (play.hopped_m + play.slid_m)[straight]
    assert steps[straight] == pytest.approx(road, rel=0.01, abs=MICROMETRE)


AIR = Air.standard(0)
ROLLERS = [(-5.0, 0.0), (-4.0, 1.0), (-3.0, 1.0), (-2.0, 1.0)]


def _roll(
    turn: float, fade: float, ground: str, *, speed: float = 22.0, hyzer: float = -70.0,
    hand: str = "right",
) -> tuple[Flight, GroundPlay]:  # fmt: skip
    """Throw a roller and play its landing; the flight's own rest must be the same."""
    body = Body.from_printed_speed(9, 0.170)
    aero = aero_from_printed(Printed(9, 5, turn, fade))
    release = roller_release(speed, 95.0, hyzer_deg=hyzer, hand=hand)  # type: ignore[arg-type]
    flight = fly(aero, body, release, AIR, ground=ground)
    many = fly_many(aero, body, release, AIR, ground=ground)
    radius = 0.5 * body.diameter_m
    play = play_ground(
        flight.landing_m[None], flight.landing_velocity_m_s[None], flight.landing_axis[None],
        GROUNDS[ground], spin_rad_s=-release.side * many.landing_spin_rad_s, radius_m=radius,
        inertia_ratio=body.axial_inertia_kg_m2 / (body.mass_kg * radius**2), path=True,
    )  # fmt: skip
    assert np.array_equal(play.rest_m[0], flight.rest_m)
    return flight, play


@pytest.mark.parametrize(("turn", "fade"), ROLLERS)
@pytest.mark.parametrize("speed", [18.0, 22.0, 26.0])
def test_rollers_roll_further_than_they_would_slide(turn: float, fade: float, speed: float) -> None:
    for hyzer in (-85.0, -75.0, -65.0):
        flight, play = _roll(turn, fade, "firm", speed=speed, hyzer=hyzer)
        assert KINDS[play.kind[0]] == "rolled"
        fastest = np.hypot(*flight.landing_velocity_m_s[:2])
        slide = fastest**2 / (2 * GROUNDS["firm"].friction * GRAVITY_M_S2)
        assert play.rolled_m[0] > slide
        assert 10.0 < play.rolled_m[0] < 120.0


def test_rollers_curve_and_soft_or_wet_ground_shortens_them() -> None:
    rolled = {name: _roll(-3.0, 1.0, name)[1].rolled_m[0] for name in GROUNDS}
    assert rolled["soft"] < rolled["wet"] < rolled["firm"] < rolled["hard"]
    flight, _ = _roll(-3.0, 1.0, "firm")
    along, gone = flight.landing_velocity_m_s, flight.rest_m - flight.landing_m
    turned = np.arctan2(along[0] * gone[1] - along[1] * gone[0], along[:2] @ gone[:2])
    lean = -np.sign(flight.landing_axis[1] * flight.landing_axis[2])
    assert abs(turned) > np.radians(10)
    assert np.sign(turned) == lean  # toward the side it leans to


def test_left_handed_rollers_mirror() -> None:
    right, _ = _roll(-3.0, 1.0, "firm")
    left, _ = _roll(-3.0, 1.0, "firm", hand="left")
    assert left.rest_m == pytest.approx(right.rest_m * [1.0, -1.0, 1.0], abs=1e-3)


def test_steep_hyzers_stay_near_their_landing() -> None:
    """The edge that runs ahead of the disc is braked where a roller's runs along."""
    for name, ground in GROUNDS.items():
        for bank in (65.0, 75.0):
            hyzer, roller = (
                reach(play_ground(*landing(13.0, tilt, 4.0), ground)) for tilt in (bank, -bank)
            )
            assert hyzer < 0.7 * roller, name


@pytest.mark.parametrize(
    ("bad", "said"),
    [
        (lambda w: play_ground(*w, GROUNDS["firm"], 0.5), "rim_width_m"),
        (lambda w: play_ground(*w, GROUNDS["firm"], spin_rad_s=[1.0, 2.0]), "as many as"),
        (lambda w: play_ground(*w, GROUNDS["firm"], radius_m=1.0), "radius_m"),
        (lambda _: Ground(0.5, 0.2, 0.5, rolling=0.0), "ground.rolling"),
        (lambda _: Ground.named("lawn"), "ground must be one of"),
        (lambda _: roller_release(20, 80, hyzer_deg=20), "hyzer_deg"),
    ],
)
def test_wrong_grounds_are_refused(bad: object, said: str) -> None:
    with pytest.raises(InputError, match=said):
        bad(landing(10.0, 0.0, 2.0))  # type: ignore[operator]
