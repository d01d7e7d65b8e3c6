"""Belief strips: where a disc's stock throw finishes sideways, and what that rests on, in one line.

The strip is the ground where the throw comes to rest, in metres, the thrower's left at the left.
Two hills stand on it, of one area: dashed and faint where printed numbers alone put the disc, and
filled what is believed now. Under them lies the evidence: a dot for each throw, where it says that
the disc finishes, and at the edges an arrow head for each comparison, on the side it pulls to.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from rimwise.errors import InputError
from rimwise.pictures.svg import Paint, Scene, fitted, text_width_px
from rimwise.records.words import (
    METRES_PER_FOOT,
    Units,
    check_units,
    distance,
    joined,
    plural,
    short_side,
    sideways,
)

__all__ = ["PULLS_M", "BeliefStrip", "Hill", "Pull", "belief_strip_svg", "ends_words", "window_of"]

WIDTH_PX, HEIGHT_PX = 350.0, 67.0
#: Room at both edges for arrow heads.
EDGE_PX = 36.0
#: Heights of the ground, of the rows of dots and heads, and of the words above; of a hill.
GROUND_PX, DOTS_PX, HEADS_PX, WORDS_PX, HILL_PX = 27.5, (22.0, 17.5), 19.5, 56.0, 23.0
#: So many arrow heads stand side by side; more are one with their number.
_MOST_HEADS = 4
#: Room for the disc's name above all that.
NAME_PX = 19.0
#: A comparison that moves a disc by less than this, m, pulls to no side.
PULLS_M = 0.5
#: Room on the ground beyond beliefs and aim line, as a share of their width: enough for the label
#: of the aim line beside "left" or "right".
_BEYOND = 0.08
#: Words are told of so many single things; the others are counted.
_MOST_TOLD = 6

Window = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Hill:
    """A belief of where a throw finishes, metres, left positive.

    Parameters
    ----------
    middle_m, low_m, high_m
        Its mean, and the ends that hold eight of ten cases.
    at_m, per_m
        Places in rising order, and the density there, per metre.
    """

    middle_m: float
    low_m: float
    high_m: float
    at_m: tuple[float, ...]
    per_m: tuple[float, ...]

    def __post_init__(self) -> None:
        if len(self.at_m) != len(self.per_m) or len(self.at_m) < 2:
            raise InputError("a hill needs a density at each of two places or more.")


@dataclass(frozen=True, slots=True)
class Pull:
    """What a comparison says.

    Parameters
    ----------
    answer
        What was felt, as in "plainly more stable than".
    other
        The disc it was compared with.
    moves_left_m
        How much farther left of the other one the answer by itself puts the disc than the numbers
        do; negative is to the right.
    """

    answer: str
    other: str
    moves_left_m: float


@dataclass(frozen=True, slots=True)
class BeliefStrip:
    """One disc: the belief before evidence and now, and the evidence.

    Parameters
    ----------
    says_left_m
        Where the latest throws say that the stock throw finishes, the oldest first.
    throws
        How many throws there are in all.
    """

    disc: str
    printed: Hill
    now: Hill
    says_left_m: tuple[float, ...]
    throws: int
    pulls: tuple[Pull, ...]


def window_of(strips: Sequence[BeliefStrip]) -> Window:
    """Return the ground that some strips show together: its right and its left end, m left.

    The aim line is always in it.
    """
    low = min(min(strip.now.at_m[0], strip.printed.low_m, 0.0) for strip in strips)
    high = max(max(strip.now.at_m[-1], strip.printed.high_m, 0.0) for strip in strips)
    room = _BEYOND * (high - low)
    return low - room, high + room


def belief_strip_svg(
    strip: BeliefStrip,
    units: Units = "m",
    prefix: str = "belief",
    *,
    window_m: Window | None = None,
    named: bool = True,
) -> str:
    """Draw the strip of one disc.

    Parameters
    ----------
    window_m
        The ground to show, as :func:`window_of` returns it, for strips that stand under one
        another; else that of this strip.
    named
        Whether the disc's name is written in the picture.
    """
    check_units(units)
    low, high = window_m or window_of([strip])
    title = f"What is believed of {strip.disc}"
    top = HEIGHT_PX + (NAME_PX if named else 0.0)
    scene = Scene(prefix, title, _words(strip, units), 0.0, WIDTH_PX, 0.0, top, WIDTH_PX)

    def across(left_m: float) -> float:
        inside = min(max(left_m, low), high)
        return EDGE_PX + (high - inside) / (high - low) * (WIDTH_PX - 2.0 * EDGE_PX)

    _draw_scale(scene, (low, high), across, units)
    peak = max(*strip.printed.per_m, *strip.now.per_m)
    faint = Paint("quiet", "shade", 0.9, (3.0, 2.5), 0.7)
    for hill, paint in (
        (strip.printed, faint),
        (strip.now, Paint("accent", "accent", 1.4, fill_opacity=0.3)),
    ):
        scene.polygon(_outline(hill, (low, high), across, peak), paint)
    scene.line([(across(high), GROUND_PX), (across(low), GROUND_PX)], Paint("quiet", "none", 0.8))
    ends = [(across(strip.now.high_m), GROUND_PX), (across(strip.now.low_m), GROUND_PX)]
    scene.line(ends, Paint("ink", "none", 2.6))
    scene.circle(across(strip.now.middle_m), GROUND_PX, 3.2, Paint("ink", "ink"))
    _draw_printed(scene, strip, across)
    _draw_throws(scene, strip.says_left_m, (low, high), across)
    _draw_pulls(scene, strip.pulls)
    _write(scene, strip, units)
    if named:
        name = fitted(strip.disc, 14, WIDTH_PX)
        scene.text(0.0, HEIGHT_PX + 4.0, name, size_px=14, bold=True, halo=False)
    return scene.render()


def ends_words(low_m: float, high_m: float, units: Units) -> str:
    """Say the ends of an interval, left positive: "5 to 11", or "2 right to 4 left"."""
    right, left = (short_side(end, units) for end in (low_m, high_m))
    if "0" not in (right, left) and (low_m > 0.0) == (high_m > 0.0):
        return " to ".join(sorted((right.split()[0], left.split()[0]), key=int))
    return f"{right} to {left}"


# -- drawing ------------------------------------------------------------------------------


def _outline(
    hill: Hill, window: Window, across: Callable[[float], float], peak: float
) -> list[tuple[float, float]]:
    """Return the outline of a hill, cut off where the window ends."""
    at, per = np.array(hill.at_m), np.array(hill.per_m)
    ends = np.clip(window, at[0], at[-1])
    places = np.concatenate([ends[:1], at[(at > ends[0]) & (at < ends[1])], ends[1:]])
    heights = GROUND_PX + np.interp(places, at, per) / peak * HILL_PX
    top = [(across(float(m)), float(up)) for m, up in zip(places, heights, strict=True)]
    return [(top[0][0], GROUND_PX), *top, (top[-1][0], GROUND_PX)]


def _draw_scale(
    scene: Scene, window: Window, across: Callable[[float], float], units: Units
) -> None:
    low, high = window
    unit_m = 1.0 if units == "m" else METRES_PER_FOOT
    left, right = "← left", "right →"
    ends = text_width_px(left, 10.5), WIDTH_PX - text_width_px(right, 10.5)
    step = next(s for s in (1, 2, 5, 10, 20, 50, 100, 200) if (high - low) / (s * unit_m) <= 7)
    for tick in range(math.ceil(low / (step * unit_m)), math.floor(high / (step * unit_m)) + 1):
        left_m = tick * step * unit_m
        paint = Paint("quiet", "none", 1.1) if tick == 0 else Paint("faint", "none", 0.6)
        scene.line(((across(left_m), 13.0), (across(left_m), GROUND_PX + HILL_PX)), paint)
        label = f"{abs(tick * step)}" if tick else f"0 {units}"
        half = 0.5 * text_width_px(label, 10.5)
        if ends[0] < across(left_m) - half and across(left_m) + half < ends[1]:
            scene.text(across(left_m), 3.0, label, size_px=10.5, anchor="middle", halo=False)
    scene.text(0.0, 3.0, left, size_px=10.5, paint="quiet", halo=False)
    scene.text(WIDTH_PX, 3.0, right, size_px=10.5, anchor="end", paint="quiet", halo=False)


def _draw_printed(scene: Scene, strip: BeliefStrip, across: Callable[[float], float]) -> None:
    """Draw the stroke of the printed numbers, its word where the hill leaves most room."""
    x, top = across(strip.printed.middle_m), GROUND_PX + HILL_PX
    scene.line(((x, GROUND_PX - 3.0), (x, top)), Paint("ink", "none", 1.8))
    wide = text_width_px("printed", 10.0)
    px = np.array([across(m) for m in strip.now.at_m])
    high = {
        "start": float(np.max(strip.now.per_m, where=(px > x) & (px < x + wide), initial=0.0)),
        "end": float(np.max(strip.now.per_m, where=(px < x) & (px > x - wide), initial=0.0)),
    }
    fits = [side for side, room in (("start", WIDTH_PX - x), ("end", x)) if room > wide + 4.0]
    anchor = min(fits, key=lambda side: high[side])
    clear = high[anchor] < 0.5 * max(strip.now.per_m)
    at = x + 4.0 if anchor == "start" else x - 4.0
    scene.text(at, top - 7.5, "printed", size_px=10.0, anchor=anchor, paint="quiet", halo=clear)


def _draw_throws(
    scene: Scene,
    says_left_m: Sequence[float],
    window: Window,
    across: Callable[[float], float],
) -> None:
    """Draw a dot for each throw, in two rows in turn; hollow at the end when it is beyond."""
    low, high = window
    placed = [(m, DOTS_PX[k % 2]) for k, m in enumerate(says_left_m)]
    inside = [(across(m), up) for m, up in placed if low <= m <= high]
    if inside:
        scene.dots(inside, 2.0, Paint("none", "ink"))
    for m, up in placed:
        if not low <= m <= high:
            scene.circle(across(m), up, 2.2, Paint("ink", "paper", 1.1))


def _draw_pulls(scene: Scene, pulls: Sequence[Pull]) -> None:
    """Draw arrow heads at both edges, each pointing outward."""
    for edge, inward, count in (
        (1.0, 1.0, sum(pull.moves_left_m >= PULLS_M for pull in pulls)),
        (WIDTH_PX - 1.0, -1.0, sum(pull.moves_left_m <= -PULLS_M for pull in pulls)),
    ):
        shown = count if count <= _MOST_HEADS else 1
        for k in range(shown):
            tip = edge + inward * 8.5 * k
            back = tip + inward * 7.0
            corners = ((tip, HEADS_PX), (back, HEADS_PX + 4.0), (back, HEADS_PX - 4.0))
            scene.polygon(corners, Paint("ink", "ink", 0.8))
        if count > shown:
            anchor = "start" if inward > 0.0 else "end"
            at = edge + inward * 10.0
            scene.text(at, HEADS_PX - 3.8, f"×{count}", size_px=10.5, anchor=anchor)


def _write(scene: Scene, strip: BeliefStrip, units: Units) -> None:
    """Write what is believed, and beside it what that rests on, as far as it fits."""
    now = strip.now
    told = f"{sideways(now.middle_m, units)} ({ends_words(now.low_m, now.high_m, units)})"
    scene.text(WIDTH_PX, WORDS_PX, told, size_px=12, anchor="end", bold=True, halo=False)
    room = WIDTH_PX - text_width_px(told, 12) - 8.0
    counts = _counts(strip)
    while len(counts) > 1 and text_width_px(", ".join(counts), 11) > room:
        counts = counts[:-1]
    said = fitted(", ".join(counts), 11, room)
    scene.text(0.0, WORDS_PX, said, size_px=11, paint="quiet", halo=False)


def _counts(strip: BeliefStrip) -> list[str]:
    shown = len(strip.says_left_m)
    parts = []
    if strip.throws:
        latest = f"{shown} of " if shown < strip.throws else ""
        parts.append(f"{latest}{plural(strip.throws, 'throw')}")
    if strip.pulls:
        parts.append(plural(len(strip.pulls), "comparison"))
    return parts


# -- telling ------------------------------------------------------------------------------


def _words(strip: BeliefStrip, units: Units) -> str:
    """Say what the strip shows."""
    printed, now = (
        f"{sideways(hill.middle_m, units)} "
        f"(eight of ten cases: {ends_words(hill.low_m, hill.high_m, units)})"
        for hill in (strip.printed, strip.now)
    )
    where = f"Where your stock throw with {strip.disc} comes to rest"
    told = [f"{where}: by printed numbers alone {printed}, as believed now {now}."]
    if strip.says_left_m:
        told.append(_throws_words(strip, units))
    if strip.pulls:
        told.append(_pulls_words(strip.pulls, units))
    return " ".join(told)


def _throws_words(strip: BeliefStrip, units: Units) -> str:
    shown = len(strip.says_left_m)
    if strip.throws == 1:
        return f"The one throw says {sideways(strip.says_left_m[0], units)}."
    who = f"The latest {shown} of {strip.throws} throws" if shown < strip.throws else "The throws"
    say = joined([sideways(m, units) for m in strip.says_left_m])
    return f"{who}, each by itself, say: {say}."


def _pulls_words(pulls: Sequence[Pull], units: Units) -> str:
    told = [f"{pull.answer} {pull.other}, {_side_words(pull, units)}" for pull in pulls]
    rest = len(told) - _MOST_TOLD
    if rest > 1:
        told = [*told[-_MOST_TOLD:], f"{rest} earlier ones"]
    return f"{'Comparisons' if len(pulls) > 1 else 'One comparison'}: {'; '.join(told)}."


def _side_words(pull: Pull, units: Units) -> str:
    if abs(pull.moves_left_m) < PULLS_M:
        return "which moves it to neither side"
    side = "left" if pull.moves_left_m > 0.0 else "right"
    apart = distance(max(abs(pull.moves_left_m), 1.0), units)
    return f"which by itself puts it about {apart} farther {side} of that disc than the numbers do"
