"""What was told against what happened: landings about their predicted middles, and scores."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rimwise.errors import InputError, check_finite
from rimwise.pictures.svg import Paint, Scene, key_rows, stack
from rimwise.records.words import Units, date_words, distance

__all__ = ["LandingDots", "ScoreBar", "checking_svg"]

WIDTH_PX = 350.0
#: Room for words above and below the landings, and height of one round.
HEAD_PX, FOOT_PX, ROW_PX = 40.0, 62.0, 34.0

XY = tuple[float, float]


@dataclass(frozen=True, slots=True)
class LandingDots:
    """Real landings about the middle of what was told, metres, left positive.

    Parameters
    ----------
    off_m
        Left of the middle and beyond it, one pair for each throw.
    regions_m2
        Ellipses about the middle, the smaller first: their squared half-widths across and
        along, and the product term, as of a covariance matrix.
    """

    off_m: tuple[XY, ...]
    regions_m2: tuple[tuple[float, float, float], ...]

    def __post_init__(self) -> None:
        if not self.off_m:
            raise InputError("a picture of landings needs at least one landing.")
        for pair in self.off_m:
            for value in pair:
                check_finite("landing", value)


@dataclass(frozen=True, slots=True)
class ScoreBar:
    """One round: strokes told, the spread of the owner's rounds, and the score.

    ``spread`` is ``None`` when there are too few rounds to tell it.
    """

    on: str
    told: float
    spread: float | None
    scored: int


def checking_svg(
    landings: LandingDots | None,
    rounds: Sequence[ScoreBar],
    said: str,
    units: Units = "m",
    *,
    prefix: str = "checking",
) -> str:
    """Draw landings, then scores, each where there are any.

    Parameters
    ----------
    said
        What the picture shows, for those who do not see it.

    Raises
    ------
    InputError
        When there is neither.
    """
    scenes = []
    if landings is not None:
        scenes.append(_landings(landings, units, f"{prefix}-landings"))
    if rounds:
        scenes.append(_scores(rounds, f"{prefix}-scores"))
    if not scenes:
        raise InputError("there is nothing to draw: no landing and no round.")
    return stack(prefix, "What was told, and what happened", said, scenes, gap_px=14.0)


def _landings(landings: LandingDots, units: Units, prefix: str) -> Scene:
    """Draw landings at one scale across and along; a thrower looks up the page."""
    outer = landings.regions_m2[-1] if landings.regions_m2 else (1.0, 1.0, 0.0)
    reach = max(
        [abs(value) for pair in landings.off_m for value in pair]
        + [math.sqrt(outer[0]), math.sqrt(outer[1])]
    )
    half = min(1.12 * reach, 3.0 * math.sqrt(max(outer[:2])))
    px = 2.0 * half / WIDTH_PX
    scene = Scene(
        prefix, "Landings about their told middles", "", -half, half,
        -half - FOOT_PX * px, half + HEAD_PX * px, WIDTH_PX,
    )  # fmt: skip
    for region, opacity in zip(reversed(landings.regions_m2), (0.12, 0.22), strict=False):
        scene.polygon(_ellipse(region), Paint("accent", "accent", 1.4, fill_opacity=opacity))
    scene.line(((-half, 0.0), (half, 0.0)), Paint("quiet", "none", 0.8, (3.0, 3.0)))
    scene.line(((0.0, -half), (0.0, half)), Paint("quiet", "none", 0.8, (3.0, 3.0)))
    inside = [(-left, far) for left, far in landings.off_m if max(abs(left), abs(far)) <= half]
    scene.dots(inside, 2.2, Paint("none", "ink"))
    beyond = len(landings.off_m) - len(inside)
    for x, y, words, anchor in (
        (0.0, half - 14 * px, "longer than told", "middle"),
        (0.0, -half + 4 * px, "shorter", "middle"),
        (-half + 4 * px, 6 * px, "left", "start"),
        (half - 4 * px, 6 * px, "right", "end"),
    ):
        scene.text(x, y, words, size_px=12, anchor=anchor)
    scene.text(
        -half, half + 22 * px, "Where throws came to rest", size_px=14, bold=True, halo=False
    )
    told = "about the middle of what was told, as the thrower looks"
    scene.text(-half, half + 6 * px, told, size_px=11, halo=False)
    rows = key_rows([("ring", "regions meant to hold half and 9 of 10 throws")], WIDTH_PX)
    scene.key(-half, -half - 8 * px, rows)
    scene.scale_bar(-half + 4 * px, -half - 40 * px, 110.0, units)
    if beyond:
        far = f"{beyond} farther off than {distance(half, units)}"
        scene.text(half, -half - 40 * px, far, size_px=11, anchor="end", halo=False)
    return scene


def _ellipse(region: tuple[float, float, float]) -> list[XY]:
    """Return the outline of a region, left on the left."""
    across, along, both = region
    root = np.linalg.cholesky(np.array([[across, both], [both, along]]))
    turns = np.linspace(0.0, 2.0 * math.pi, 73)[:-1]
    points = root @ np.stack([np.cos(turns), np.sin(turns)])
    return [(-float(x), float(y)) for x, y in points.T]


def _scores(rounds: Sequence[ScoreBar], prefix: str) -> Scene:
    """Draw each round's score beside what was told, on one scale of strokes."""
    spread = 2.0 * max(one.spread or 0.0 for one in rounds)
    told = [one.told for one in rounds]
    scores = [one.scored for one in rounds]
    low = math.floor(min(min(told) - spread, *scores)) - 1
    high = math.ceil(max(max(told) + spread, *scores)) + 1
    height = HEAD_PX + ROW_PX * len(rounds) + 56.0
    scene = Scene(prefix, "Scores", "", 0.0, WIDTH_PX, 0.0, height, WIDTH_PX)
    left, right = 12.0, WIDTH_PX - 12.0

    def across(strokes: float) -> float:
        return left + (strokes - low) / (high - low) * (right - left)

    scene.text(0.0, height - 18, "Scores", size_px=14, bold=True, halo=False)
    base = 50.0
    step = next(s for s in (1, 2, 5, 10, 20) if (high - low) / s <= 8)
    for strokes in range(-(-low // step) * step, high + 1, step):
        x = across(strokes)
        scene.line(((x, base), (x, height - HEAD_PX)), Paint("faint", "none", 0.6))
        scene.text(x, base - 13, str(strokes), size_px=11, anchor="middle", halo=False)
    scene.text(right, base - 26, "strokes", size_px=11, anchor="end", halo=False)
    for row, one in enumerate(rounds):
        y = height - HEAD_PX - ROW_PX * (row + 1) + 8
        scene.text(0.0, y + 12, date_words(one.on), size_px=11)
        if one.spread is not None:
            ends_x = across(one.told - 2.0 * one.spread), across(one.told + 2.0 * one.spread)
            scene.box(*ends_x, y - 4, y + 4, Paint("accent", "accent", 1.0, fill_opacity=0.2))
        middle = across(one.told)
        scene.line(((middle, y - 6), (middle, y + 6)), Paint("accent", "none", 2.0))
        scene.circle(across(one.scored), y, 4.5, Paint("paper", "ink", 1.0))
    said = "dot: scored; line: told"
    if spread:
        said += "; bar: twice your rounds' spread"
    rows = key_rows([("ring", said)], WIDTH_PX)
    scene.key(0.0, 20.0, rows)
    return scene
