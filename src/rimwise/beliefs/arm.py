"""The arm: release speed, spin and scatter, known from one number per style.

"My fairway driver goes 90 m" is inverted through the simulation: the release speed at which
the reference fairway driver, on its best line in calm air on firm ground, comes to rest that
far away. A level gives the scatter; all values are editable assumptions.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from rimwise.errors import InputError
from rimwise.flight.air import Air
from rimwise.flight.printed import Printed
from rimwise.records.assumptions import Assumptions
from rimwise.records.thrower import Level, Line, Scatter, Style, Thrower

__all__ = ["LEVEL_SCATTER", "ArmStyle", "arm_style", "line_scatter_factor", "speed_for_distance"]

#: Release scatter by level, per throw at full effort on the stock throw. From memory,
#: unverified: no published standard deviations were found.
LEVEL_SCATTER: dict[Level, Scatter] = {
    Level.BEGINNER: Scatter(0.05, 3.0, 5.0, 3.5, 5.0),
    Level.RECREATIONAL: Scatter(0.04, 2.5, 4.0, 3.0, 4.0),
    Level.INTERMEDIATE: Scatter(0.03, 2.0, 3.0, 2.0, 3.0),
    Level.ADVANCED: Scatter(0.025, 1.5, 2.0, 1.5, 2.0),
    Level.TOP: Scatter(0.02, 1.2, 1.5, 1.2, 1.5),
}

#: The disc meant by "my fairway driver": printed 7/5/−1/2, 172 g.
REFERENCE_FAIRWAY = Printed(7, 5, -1, 2)
REFERENCE_MASS_KG = 0.172
#: The day meant by "goes 90 m": mild, calm, sea level, firm ground.
REFERENCE_AIR = Air(18.0, 1013.25, 0.6)

_LAUNCH_DEG = np.arange(4.0, 19.0, 2.0)
_HYZER_DEG = np.array([-10.0, -5.0, 0.0, 5.0, 10.0])
_SLOWEST_M_S, _FASTEST_M_S = 10.0, 42.0


@dataclass(frozen=True, slots=True)
class ArmStyle:
    """One style of the arm, in the units of a release.

    Parameters
    ----------
    speed_m_s, spin_rad_s
        At full effort with a comfortable arm.
    nose_rad
        Mean nose angle at release.
    heading_bias_rad
        Signed habit, positive to the thrower's left (the throw frame's y).
    scatter
        At full effort on the stock throw.
    hyzer_bias_rad, launch_bias_rad
        Habits that evidence may show: how far releases stray, on average, from the line meant.
    """

    style: Style
    speed_m_s: float
    spin_rad_s: float
    nose_rad: float
    heading_bias_rad: float
    scatter: Scatter
    hyzer_bias_rad: float = 0.0
    launch_bias_rad: float = 0.0


def spin_for_speed(speed_m_s: float, advance_ratio: float, diameter_m: float = 0.212) -> float:
    """Return spin (rad/s) from the advance ratio ω·d/(2·V)."""
    return 2.0 * advance_ratio * speed_m_s / diameter_m


def best_reach_m(speed_m_s: float, nose_deg: float, advance_ratio: float) -> float:
    """Return how far (m, to rest) the reference fairway driver goes on its best line."""
    from rimwise.flight.body import Body
    from rimwise.flight.fly import fly_many
    from rimwise.flight.printed import aero_from_printed
    from rimwise.flight.release import ReleaseArrays

    launch, hyzer = np.meshgrid(np.radians(_LAUNCH_DEG), np.radians(_HYZER_DEG))
    release = ReleaseArrays(
        speed_m_s=speed_m_s,
        spin_rad_s=spin_for_speed(speed_m_s, advance_ratio),
        launch_rad=launch.ravel(),
        hyzer_rad=hyzer.ravel(),
        nose_rad=math.radians(nose_deg),
    )
    flights = fly_many(
        aero_from_printed(REFERENCE_FAIRWAY),
        Body.from_printed_speed(REFERENCE_FAIRWAY.speed, REFERENCE_MASS_KG),
        release,
        REFERENCE_AIR,
        ground="firm",
    )
    return float(np.hypot(flights.rest_m[:, 0], flights.rest_m[:, 1]).max())


@lru_cache(maxsize=64)
def speed_for_distance(distance_m: float, nose_deg: float, advance_ratio: float) -> float:
    """Return the release speed (m/s) whose best line brings the reference disc this far.

    Raises
    ------
    InputError
        When no speed between 10 and 42 m/s does.
    """
    from scipy.optimize import brentq

    def short_by(speed_m_s: float) -> float:
        return best_reach_m(speed_m_s, nose_deg, advance_ratio) - distance_m

    if short_by(_SLOWEST_M_S) > 0 or short_by(_FASTEST_M_S) < 0:
        near = best_reach_m(_SLOWEST_M_S, nose_deg, advance_ratio)
        far = best_reach_m(_FASTEST_M_S, nose_deg, advance_ratio)
        raise InputError(
            f"no arm throws a fairway driver {distance_m:g} m with the nose at {nose_deg:g}°; "
            f"give a distance between {math.ceil(near)} and {math.floor(far)} m."
        )
    return float(brentq(short_by, _SLOWEST_M_S, _FASTEST_M_S, xtol=0.01))


def arm_style(thrower: Thrower, style: Style, assume: Assumptions) -> ArmStyle:
    """Return what one number says about one style of the thrower's arm."""
    skill = thrower.skill(style)
    speed_m_s = speed_for_distance(skill.fairway_distance_m, skill.nose_deg, assume.advance_ratio)
    return ArmStyle(
        style=style,
        speed_m_s=speed_m_s,
        spin_rad_s=spin_for_speed(speed_m_s, assume.advance_ratio),
        nose_rad=math.radians(skill.nose_deg),
        heading_bias_rad=-math.radians(skill.heading_bias_deg),
        scatter=skill.scatter or LEVEL_SCATTER[skill.level],
    )


def line_scatter_factor(stock: Line, line: Line, assume: Assumptions) -> float:
    """Return how much a line widens the scatter against the stock throw.

    1 on the stock throw at full effort, ``unpractised_scatter`` where style or hyzer is far
    from it, and less at soft effort.
    """
    away = abs(line.hyzer_deg - stock.hyzer_deg) / assume.practised_hyzer_deg
    if line.style is not stock.style:
        away = 1.0
    practice = 1.0 + (assume.unpractised_scatter - 1.0) * min(1.0, away)
    softness = (1.0 - line.effort) / (1.0 - 0.3)
    return practice * (1.0 - (1.0 - assume.soft_effort_scatter) * softness)
