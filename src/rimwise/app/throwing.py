"""The throw behind a flight: what was asked for, filled up from the thrower's stock throw."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rimwise.beliefs.arm import (
    LEVEL_SCATTER,
    ArmStyle,
    arm_style,
    line_scatter_factor,
    spin_for_speed,
)
from rimwise.decide.clouds import REPORTING, Draws
from rimwise.errors import InputError, check_range
from rimwise.flight.release import Release, ReleaseArrays
from rimwise.records.assumptions import Assumptions
from rimwise.records.thrower import Level, Line, Scatter, Style, Thrower

__all__ = ["ThrowAsked", "Thrown", "cloud_release", "thrown_by"]

#: The throw of nobody in particular: flat, medium high, nose level.
PLAIN = Line(Style.BACKHAND, 0.0, 10.0)


@dataclass(frozen=True, slots=True)
class ThrowAsked:
    """One throw to fly; what is ``None`` comes from the thrower's stock throw.

    Parameters
    ----------
    speed_m_s
        Release speed; the arm's own at ``effort`` when ``None``.
    wobble_deg
        Half angle of the cone that the disc's axis describes at release.
    wind_m_s, wind_from_deg
        Wind relative to the aim line: 0 a headwind, 90 from the right.
    ground
        Kind of ground.
    ground_height_m
        How much higher the landing area lies than the foot of the tee.
    rigid
        Fly the full rigid body instead of the production model.
    cloud
        Throws of the landing cloud, with the thrower's scatter; 0 for none.
    """

    style: str | None = None
    hand: str | None = None
    speed_m_s: float | None = None
    spin_rad_s: float | None = None
    effort: float | None = None
    hyzer_deg: float | None = None
    launch_deg: float | None = None
    nose_deg: float | None = None
    height_m: float = 1.2
    wobble_deg: float = 0.0
    wind_m_s: float = 0.0
    wind_from_deg: float = 0.0
    ground: str = "firm"
    ground_height_m: float = 0.0
    temperature_c: float | None = None
    altitude_m: float = 0.0
    rigid: bool = False
    cloud: int = 0
    seed: int = 1


@dataclass(frozen=True, slots=True)
class Thrown:
    """One throw with nothing left open.

    Parameters
    ----------
    heading_rad
        The thrower's habit, to the left of the aim line.
    scatter, spin_scatter
        Standard deviations of this line.
    hyzer_habit_rad, launch_habit_rad
        How far releases stray, on average, from the angles meant.
    learnt
        Whether the arm is the one learnt from what its owner logged.
    """

    hand: str
    style: str
    speed_m_s: float
    spin_rad_s: float
    hyzer_deg: float
    launch_deg: float
    nose_deg: float
    heading_rad: float
    scatter: Scatter
    spin_scatter: float
    hyzer_habit_rad: float = 0.0
    launch_habit_rad: float = 0.0
    learnt: bool = False

    def release(self, height_m: float, wobble_rad: float) -> Release:
        """Return the release without scatter."""
        return Release(
            speed_m_s=self.speed_m_s,
            spin_rad_s=self.spin_rad_s,
            launch_rad=math.radians(self.launch_deg) + self.launch_habit_rad,
            hyzer_rad=math.radians(self.hyzer_deg) + self.hyzer_habit_rad,
            nose_rad=math.radians(self.nose_deg),
            heading_rad=self.heading_rad,
            height_m=height_m,
            hand="left" if self.hand == "left" else "right",
            style="forehand" if self.style == "forehand" else "backhand",
            wobble_rad=wobble_rad,
        )


def thrown_by(
    thrower: Thrower | None,
    asked: ThrowAsked,
    assume: Assumptions,
    diameter_m: float,
    learnt: Sequence[ArmStyle] = (),
) -> Thrown:
    """Fill up what was asked for.

    A style that is not the stock throw's is thrown flat and medium high. Without a thrower
    the release speed has to be asked for, and the scatter is a recreational player's. A
    ``learnt`` arm of the style takes the place of what one distance says.

    Raises
    ------
    InputError
        When there is neither a thrower nor a release speed, or a word or number is wrong.
    """
    stock = PLAIN if thrower is None else thrower.stock
    style = Style(_one_of("style", asked.style or str(stock.style), ("backhand", "forehand")))
    line = stock if stock.style is style else PLAIN
    effort = line.effort if asked.effort is None else asked.effort
    hand = _one_of("hand", asked.hand or _hand_of(thrower), ("right", "left"))
    check_range("effort", effort, 0.3, 1.0)
    hyzer = line.hyzer_deg if asked.hyzer_deg is None else asked.hyzer_deg
    launch = line.launch_deg if asked.launch_deg is None else asked.launch_deg
    speed, nose, heading = asked.speed_m_s, 0.0, 0.0
    hyzer_habit = launch_habit = 0.0
    own = next((arm for arm in learnt if arm.style is style), None)
    scatter = LEVEL_SCATTER[Level.RECREATIONAL]
    if thrower is None:
        if speed is None:
            raise InputError(
                "a throw of bare numbers needs a release speed; add --speed, in m/s, or say how "
                "far you throw with `rimwise init`."
            )
        spin = spin_for_speed(speed, assume.advance_ratio, diameter_m)
    else:
        arm = own or arm_style(thrower, style, assume)
        hyzer_habit, launch_habit = arm.hyzer_bias_rad, arm.launch_bias_rad
        speed = arm.speed_m_s * effort if speed is None else speed
        spin = arm.spin_rad_s / arm.speed_m_s * speed
        nose, heading, scatter = math.degrees(arm.nose_rad), arm.heading_bias_rad, arm.scatter
    width = line_scatter_factor(stock, _nearest_line(style, hyzer, launch, effort), assume)
    return Thrown(
        hand=hand,
        style=str(style),
        speed_m_s=speed,
        spin_rad_s=spin if asked.spin_rad_s is None else asked.spin_rad_s,
        hyzer_deg=hyzer,
        launch_deg=launch,
        nose_deg=nose if asked.nose_deg is None else asked.nose_deg,
        heading_rad=heading,
        scatter=_widened(scatter, width),
        spin_scatter=assume.spin_scatter,
        hyzer_habit_rad=hyzer_habit,
        launch_habit_rad=launch_habit,
        learnt=own is not None,
    )


def cloud_release(thrown: Thrown, count: int, asked: ThrowAsked) -> ReleaseArrays:
    """Scatter a throw; a left-hander's draws are the mirror image of a right-hander's."""
    z = Draws.independent(count, asked.seed, REPORTING).normal
    sd, at = thrown.scatter, thrown.release(asked.height_m, math.radians(asked.wobble_deg))
    mirror = 1.0 if thrown.hand == "right" else -1.0
    speed = thrown.speed_m_s * (1.0 + np.clip(sd.speed_fraction * z[:, 0], -0.5, 0.5))
    spin = thrown.spin_rad_s / thrown.speed_m_s * speed * (1.0 + thrown.spin_scatter * z[:, 5])
    return ReleaseArrays(
        speed_m_s=np.clip(speed, 1.0, 49.0),
        spin_rad_s=np.clip(spin, 5.0, 300.0),
        launch_rad=_scattered(at.launch_rad, sd.launch_deg * z[:, 1], 90.0),
        hyzer_rad=_scattered(at.hyzer_rad, sd.hyzer_deg * z[:, 2], 180.0),
        nose_rad=_scattered(at.nose_rad, sd.nose_deg * z[:, 3], 90.0),
        heading_rad=at.heading_rad + mirror * np.radians(sd.heading_deg) * z[:, 4],
        height_m=at.height_m,
        side=1.0 if (thrown.hand == "right") == (thrown.style == "backhand") else -1.0,
        wobble_rad=at.wobble_rad,
    )


def _scattered(
    mean_rad: float, off_deg: np.ndarray[tuple[int, ...], np.dtype[np.float64]], most_deg: float
) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    return np.radians(np.clip(math.degrees(mean_rad) + off_deg, -most_deg, most_deg))


def _widened(scatter: Scatter, width: float) -> Scatter:
    return Scatter(
        min(scatter.speed_fraction * width, 0.5),
        min(scatter.launch_deg * width, 30.0),
        min(scatter.hyzer_deg * width, 30.0),
        min(scatter.nose_deg * width, 30.0),
        min(scatter.heading_deg * width, 30.0),
    )


def _nearest_line(style: Style, hyzer_deg: float, launch_deg: float, effort: float) -> Line:
    """Return the line nearest to a throw, for the scatter of throws steeper than any line."""
    return Line(style, min(max(hyzer_deg, -60.0), 80.0), min(max(launch_deg, -20.0), 60.0), effort)


def _hand_of(thrower: Thrower | None) -> str:
    return "right" if thrower is None else str(thrower.hand)


def _one_of(name: str, value: str, known: tuple[str, ...]) -> str:
    if value not in known:
        raise InputError(f"{name} must be {' or '.join(known)}, but is {value!r}.")
    return value
