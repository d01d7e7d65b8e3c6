"""Advice as told: plain frozen records that the command, pictures and ``--json`` show.

Positions are in the hole's frame: x toward the basket, y to the thrower's left, z above the tee,
metres. Everything a face shows is here, so that it is computed once and can be kept.
"""

from __future__ import annotations

from dataclasses import dataclass

from rimwise.decide.report import AreaShape

__all__ = ["Contour", "GroundPoint", "TeeChoice", "TeeDay", "TeeReport"]

XY = tuple[float, float]


@dataclass(frozen=True, slots=True)
class TeeChoice:
    """One throw that may be made.

    Parameters
    ----------
    line, aim, landing, chances, compared
        In words: the line, where to aim, where it ends, what may happen, and how it stands to the
        next choice.
    effort, hyzer_deg, launch_deg, style
        The line in numbers.
    aim_left_m
        Where it is aimed beside the basket, at the basket's distance, seen from the lie.
    strokes, strokes_se
        Strokes-to-finish with it, and one standard error.
    better, better_se
        How much better than the next choice, paired; ``None`` for the last one.
    putt_next, again, penalty, water, trees, gone
        Chances: to putt next, to throw again, of a penalty, to end in water, to end among trees,
        and that the throw is the disc's last.
    path, dots, outline
        The middle throw, 50 landings, and what holds about 80 of 100.
    """

    disc_id: str
    disc_label: str
    line: str
    aim: str
    landing: str
    chances: str
    compared: str
    style: str
    hyzer_deg: float
    launch_deg: float
    effort: float
    aim_left_m: float
    strokes: float
    strokes_se: float
    better: float | None
    better_se: float | None
    putt_next: float
    again: float
    penalty: float
    water: float
    trees: float
    gone: float
    path: tuple[tuple[float, float, float], ...]
    dots: tuple[XY, ...]
    outline: tuple[XY, ...]


@dataclass(frozen=True, slots=True)
class Contour:
    """One line along which a lie is worth so many strokes."""

    strokes: float
    points: tuple[XY, ...]


@dataclass(frozen=True, slots=True)
class GroundPoint:
    """The ground under the first choice's flight.

    Parameters
    ----------
    along_m
        From the lie, toward the basket.
    ground_m, canopy_m
        Height above the tee, and of the trees above the ground; 0 where there are none.
    """

    along_m: float
    ground_m: float
    canopy_m: float


@dataclass(frozen=True, slots=True)
class TeeDay:
    """Advice on one kind of day.

    Parameters
    ----------
    share
        Of the rounds played on such a day.
    wind_from_deg
        0 is from the basket, 90 from the right of the hole.
    strokes
        Strokes-to-finish from here by what is advised.
    putt
        What to say of putting from here; nothing where nobody putts.
    winds, over_water, floating
        Sentences: what another wind would change, whether to go over trouble or stay short of
        it, and whether a floating disc is the right one.
    """

    day: str
    share: float
    wind: str
    wind_m_s: float
    wind_from_deg: float
    strokes: float
    putt: str
    choices: tuple[TeeChoice, ...]
    winds: tuple[str, ...]
    over_water: str
    floating: str
    contours: tuple[Contour, ...]
    profile: tuple[GroundPoint, ...]


@dataclass(frozen=True, slots=True)
class TeeReport:
    """What to throw from a lie of a hole in some conditions.

    Parameters
    ----------
    lie
        Along and to the left of the line from tee to basket, metres; (0, 0) is the tee.
    kind
        What the lie allows, in words; nothing where it allows everything.
    bearing_deg
        Of the hole; ``None`` where only its length is known.
    discs
        How many were there to choose from.
    """

    headline: str
    hole: str
    course: str
    conditions: str
    length_m: float
    elevation_change_m: float
    bearing_deg: float | None
    lie: XY
    kind: str
    discs: int
    days: tuple[TeeDay, ...]
    areas: tuple[AreaShape, ...]
    attribution: str
    cautions: tuple[str, ...]
