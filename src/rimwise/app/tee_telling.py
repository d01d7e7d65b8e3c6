"""Advice in a player's words: lines, aims, chances, and what would change them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from rimwise.decide.advice import CHANGE_M_S, FLIP_THROWS, Advice, Flip
from rimwise.decide.crossing import Crossing, Floating
from rimwise.decide.lattice import FREE, LOW_CEILING, NO_RUN_UP, RESTRICTED
from rimwise.decide.lines import Base
from rimwise.decide.solved import SolvedDay, SolvedHole
from rimwise.records.words import (
    Units,
    chance,
    distance,
    joined,
    number,
    sideways,
    sideways_give_or_take,
    strokes,
    wind_direction,
    wind_speed,
)

__all__ = [
    "aim_words", "chances_words", "compared_words", "crossing_words", "floating_words",
    "kind_words", "landing_numbers", "landing_said", "landing_words", "line_words", "putt_words",
    "winds_words",
]  # fmt: skip

Floats = NDArray[np.float64]

#: Highest point above the lie by which a throw is called so (common practice, no source).
_HEIGHTS = ((2.0, "head-high"), (4.0, "low"), (8.0, "medium height"), (math.inf, "high"))
#: Efforts that have a name; others are told in percent.
_EFFORTS = {50: "half effort", 75: "three-quarter effort", 100: "full effort"}
#: A throw that starts farther aside than this is told by its angle.
_WIDE_DEG = 20.0
#: Aimed nearer to the basket than this is at the basket.
_AT_BASKET_M = 1.0
_SURELY = 2.0
#: Chances below this are told as fewer than 1 of 100.
_RARE = 0.005


class Thrown(Protocol):
    """What is told of one throw, see :class:`rimwise.decide.advice.Choice`."""

    @property
    def strokes(self) -> float: ...
    @property
    def strokes_se(self) -> float: ...
    @property
    def better(self) -> float | None: ...
    @property
    def better_se(self) -> float | None: ...
    @property
    def putt_next(self) -> float: ...
    @property
    def penalty(self) -> float: ...
    @property
    def water(self) -> float: ...
    @property
    def trees(self) -> float: ...
    @property
    def gone(self) -> float: ...


def line_words(
    base: Base, effort: float, rise_m: float, styles: Sequence[str], units: Units
) -> str:
    """Say "forehand, 15° hyzer, low (rises to 3 m), three-quarter effort".

    Parameters
    ----------
    rise_m
        Its highest point above the lie.
    styles
        The thrower's; the style is left out when there is only one.
    """
    parts = [] if len(set(styles)) == 1 else [str(base.style)]
    if base.hyzer_deg > 3:
        parts.append(f"{base.hyzer_deg:.0f}° hyzer")
    elif base.hyzer_deg < -3:
        parts.append(f"{-base.hyzer_deg:.0f}° anhyzer")
    else:
        parts.append("flat")
    height = next(name for most, name in _HEIGHTS if rise_m <= most)
    parts.append(f"{height} (rises to {distance(rise_m, units)})")
    percent = 5 * round(20.0 * effort)
    parts.append(_EFFORTS.get(percent, f"{percent} % effort"))
    return ", ".join(parts)


def aim_words(aside_rad: float, away_m: float, units: Units) -> str:
    """Say where to start a throw, seen from the lie: "aim 6 m right of the basket".

    Parameters
    ----------
    aside_rad
        To the left of the basket.
    away_m
        How far the basket is.
    """
    if abs(math.degrees(aside_rad)) > _WIDE_DEG:
        side = "left" if aside_rad > 0 else "right"
        return f"start it {abs(math.degrees(aside_rad)):.0f}° {side} of the basket"
    left_m = math.tan(aside_rad) * away_m
    if abs(left_m) < _AT_BASKET_M:
        return "aim at the basket"
    return f"aim {sideways(left_m, units)} of the basket"


def landing_words(ends_m: Floats, lie: Floats, basket_m: float, units: Units) -> str:
    """Say where one plays on, against the basket as seen from the lie.

    Parameters
    ----------
    ends_m
        (sample, 2) in the hole's frame.
    """
    return landing_said(*landing_numbers(ends_m, lie, basket_m), units)


def landing_numbers(
    ends_m: Floats, lie: Floats, basket_m: float
) -> tuple[float, float, float, float]:
    """Return how far short of the basket, give or take, and how far left, give or take, metres."""
    toward = np.array([basket_m - lie[0], -lie[1]])
    away_m = float(np.hypot(*toward))
    ahead = toward / away_m
    off = ends_m - lie[:2]
    short = away_m - off @ ahead
    left = ahead[0] * off[:, 1] - ahead[1] * off[:, 0]
    return float(np.median(short)), _half(short), float(np.median(left)), _half(left)


def landing_said(
    short_m: float, short_half_m: float, left_m: float, left_half_m: float, units: Units
) -> str:
    """Say where one plays on, from the numbers of :func:`landing_numbers`."""
    ends = "short of the basket" if short_m > 0 else "past the basket"
    where = f"{distance(abs(short_m), units)} {ends}"
    if abs(short_m) < _AT_BASKET_M:
        where = "level with the basket"
    return (
        f"it ends {where}, give or take {distance(short_half_m, units)}, and "
        f"{sideways_give_or_take(left_m, left_half_m, units)}"
    )


def _half(values: Floats) -> float:
    low, high = np.quantile(values, (0.1, 0.9))
    return float(high - low) / 2.0


def chances_words(choice: Thrown) -> str:
    """Say what may happen, of 100 such throws."""
    told = [f"{_of(choice.putt_next)} leave a putt", f"{_of(1.0 - choice.putt_next)} another throw"]
    if choice.penalty > 0.0:
        told.append(f"{_of(choice.penalty)} cost a penalty{_in_water(choice)}")
    if choice.trees > 0.0:
        told.append(f"{_of(choice.trees)} end among trees")
    return f"Of 100 such throws {joined(told)}; the disc is gone after {_of(choice.gone)}."


def _in_water(choice: Thrown) -> str:
    if choice.penalty < _RARE or choice.water == 0.0:
        return ""
    if choice.penalty - choice.water < _RARE:
        return ", in the water"
    return f" ({_of(choice.water)} of them in the water)"


def _of(share: float) -> str:
    return chance(min(max(share, 0.0), 1.0)).removesuffix(" of 100")


def compared_words(choice: Thrown) -> str:
    """Say what a choice costs, and how much better it is than the next."""
    told = f"{strokes(choice.strokes, choice.strokes_se)}, from here"
    if choice.better is None or choice.better_se is None:
        return f"{told}."
    if choice.better > _SURELY * choice.better_se:
        return f"{told}; {strokes(choice.better, choice.better_se)}, better than the next."
    return f"{told}; it and the next differ by no more than luck."


def winds_words(
    advice: Advice, day: SolvedDay, labels: Sequence[str], units: Units
) -> tuple[str, ...]:
    """Say what another wind would change; nothing where there is only one choice."""
    if not advice.flips:
        return ()
    told = [
        f"With the wind {_wind(flip, day, units)}, throw {labels[flip.best]} instead: "
        f"{strokes(flip.gap, flip.gap_se)}, better."
        for flip in advice.flips
        if flip.sure
    ]
    unsure = [_wind(flip, day, units) for flip in advice.flips if flip.open]
    if unsure:
        told.append(f"With the wind {joined(unsure, 'or')} it is too near to tell.")
    same = [_wind(flip, day, units) for flip in advice.flips if flip.best == 0]
    if same:
        told.append(f"The first choice stays with the wind {joined(same, 'or')}.")
    told.append(
        f"Those winds were tried on {FLIP_THROWS} throws of each choice, aimed anew; the throws "
        "that follow were not flown in them."
    )
    return tuple(told)


def _wind(flip: Flip, day: SolvedDay, units: Units) -> str:
    """Say "from ahead and the left", or "3 m/s stronger (9 m/s)"."""
    speed = wind_speed(flip.speed_m_s, units)
    if flip.change == "stronger":
        return f"{wind_speed(CHANGE_M_S, units)} stronger ({speed})"
    if flip.change == "weaker":
        return (
            "still"
            if flip.speed_m_s < 0.5
            else (f"{wind_speed(day.day.wind.speed_m_s - flip.speed_m_s, units)} weaker ({speed})")
        )
    if flip.change in ("ahead", "behind") or day.day.wind.speed_m_s < 1.0:
        return f"up to {speed} {wind_direction(flip.from_deg)}"
    return wind_direction(flip.from_deg)


def crossing_words(found: Crossing | None, hole: SolvedHole, units: Units) -> str:
    """Say whether to go over trouble or to stay short of it."""
    if found is None:
        return ""
    go, stay = (hole.fleet.labels[line.disc] for line in (found.go, found.lay_up))
    span = f"{distance(found.near_m, units)} to {distance(found.far_m, units)} out"
    risks = f"a penalty after {_of(found.go_penalty)} of 100 against {_of(found.lay_up_penalty)}"
    start = f"The line to the basket crosses {found.kind}, {span}."
    if abs(found.saves) <= _SURELY * found.saves_se:
        return (
            f"{start} Going over with {go}, and staying short of it or beside it with {stay}, "
            f"differ by no more than luck "
            f"({strokes(abs(found.saves), found.saves_se)}; {risks})."
        )
    saves = strokes(abs(found.saves), found.saves_se)
    if found.saves > 0:
        return (
            f"{start} Go over with {go}: it saves {saves}, against staying short of it or beside "
            f"it with {stay} ({risks})."
        )
    return (
        f"{start} Do not go over: staying short of it or beside it with {stay} saves {saves}, "
        f"against going over with {go} ({risks})."
    )


def floating_words(found: Floating | None, hole: SolvedHole, worth: float) -> str:
    """Say whether a floating disc is the right one.

    Parameters
    ----------
    worth
        Strokes that losing a disc of middling cost is worth to the owner.
    """
    if found is None:
        return ""
    sinks = hole.fleet.labels[found.disc]
    start = f"{sinks} ends in water after {_of(found.water)} of 100 throws and does not float."
    if found.other is None:
        return f"{start} No floating disc comes near it here."
    floats = hole.fleet.labels[found.other.disc]
    if found.saves > _SURELY * found.saves_se:
        return (
            f"{start} {floats} floats and saves {strokes(found.saves, found.saves_se)}: throw it."
        )
    kept = number(100.0 * max(found.keeps, 0.0), 1)
    if found.keeps <= 0.0:
        return f"{start} {floats} floats, but would be lost no less often."
    if found.saves >= -_SURELY * found.saves_se:
        return (
            f"{start} {floats} floats, costs nothing that can be told from luck, and keeps {kept} "
            "discs in 100 throws: a good one to throw in its place."
        )
    return (
        f"{start} {floats} floats and keeps {kept} discs in 100 throws, but costs "
        f"{strokes(-found.saves, found.saves_se)}; that pays for whoever would give "
        f"{number(found.worth_from, 2)} strokes to keep a disc ({number(worth, 2)} are assumed of "
        "you)."
    )


def putt_words(advice: Advice) -> str:
    """Say how a putt from here stands."""
    if advice.putt is None:
        return ""
    made = f"a putt from here goes in {chance(advice.putt)} times"
    if advice.putts:
        return f"Putt: {made}, and costs {number(advice.strokes_to_finish, 2)} strokes."
    return f"Throw: {made}, and costs more."


def kind_words(kind: int) -> str:
    """Say what a lie does not allow."""
    return {
        FREE: "",
        RESTRICTED: "among trees: no run-up, and branches hang low",
        NO_RUN_UP: "without a run-up",
        LOW_CEILING: "under a low ceiling",
    }[kind]
