"""What the file for the phone holds: plain frozen records; places are in the frame of a hole.

A hole's frame has x toward the basket and y to the thrower's left, metres; the tee is its origin.
"""

from __future__ import annotations

from dataclasses import dataclass

from rimwise.decide.report import AreaShape

__all__ = [
    "PhoneAnswer",
    "PhoneBase",
    "PhoneDisc",
    "PhoneFile",
    "PhoneHole",
    "PhoneLie",
    "PhoneThrow",
    "PhoneTold",
    "PhoneWind",
]

XY = tuple[float, float]


@dataclass(frozen=True, slots=True)
class PhoneDisc:
    """A carried disc: its own name, and what its owner reads."""

    id: str
    label: str


@dataclass(frozen=True, slots=True)
class PhoneBase:
    """A line without effort and aim."""

    style: str
    hyzer_deg: float
    launch_deg: float


@dataclass(frozen=True, slots=True)
class PhoneWind:
    """One wind that holes were worked out for.

    Parameters
    ----------
    strength
        0 for calm, then 1, 2 and 3.
    from_deg
        Clockwise from north, or from the basket where bearings are not known; 0 when calm.
    speed_m_s
        Mean at 10 m over open ground, as in a forecast.
    words
        Its strength, such as "moderate breeze 6 m/s".
    """

    strength: int
    from_deg: float
    speed_m_s: float
    words: str


@dataclass(frozen=True, slots=True)
class PhoneThrow:
    """One throw that may be made from a lie.

    Parameters
    ----------
    disc, base
        Places in the file's lists.
    effort
        Share of full effort.
    rise_m
        Its highest point above the lie.
    turn_rad
        Its heading, to the left of the hole's x.
    end_m, bends_m
        Where the middle throw comes down, and how far left of the straight way there it is after
        a fifth, two, three and four fifths of that way.
    centre_m, dots_m
        Middle of where play goes on, and some single landings.
    short_m, short_half_m, left_m, left_half_m
        How far short of the basket and left of it play goes on, each with its give or take.
    putt_next, penalty, water, trees, gone
        Chances, see :class:`rimwise.decide.tee_report.TeeChoice`.
    strokes, strokes_se
        Strokes-to-finish with it, and one standard error.
    better, better_se
        How much better than the next choice; ``None`` for the last one.
    """

    disc: int
    base: int
    effort: float
    rise_m: float
    turn_rad: float
    end_m: XY
    bends_m: tuple[float, float, float, float]
    centre_m: XY
    dots_m: tuple[XY, ...]
    short_m: float
    short_half_m: float
    left_m: float
    left_half_m: float
    putt_next: float
    penalty: float
    water: float
    trees: float
    gone: float
    strokes: float
    strokes_se: float
    better: float | None
    better_se: float | None


@dataclass(frozen=True, slots=True)
class PhoneAnswer:
    """What to do from one lie in one wind.

    Parameters
    ----------
    putt
        Chance to hole a putt from there; ``None`` where nobody putts.
    throws
        The best first; none where one putts.
    """

    putt: float | None
    throws: tuple[PhoneThrow, ...]


@dataclass(frozen=True, slots=True)
class PhoneTold:
    """One throw from the tee in words, for reading without script."""

    disc: str
    line: str
    aim: str
    landing: str
    chances: str
    compared: str


@dataclass(frozen=True, slots=True)
class PhoneLie:
    """A place to throw from, and what it does not allow, in words."""

    x_m: float
    y_m: float
    kind: str


@dataclass(frozen=True, slots=True)
class PhoneHole:
    """One hole.

    Parameters
    ----------
    bearing_deg
        Of the basket from the tee; ``None`` where the course has no bearings.
    lies
        The tee first.
    answers
        (wind, lie).
    told
        (wind, choice): from the tee, in words.
    """

    ref: str
    name: str
    par: int | None
    length_m: float
    bearing_deg: float | None
    areas: tuple[AreaShape, ...]
    lies: tuple[PhoneLie, ...]
    answers: tuple[tuple[PhoneAnswer, ...], ...]
    told: tuple[tuple[PhoneTold, ...], ...]


@dataclass(frozen=True, slots=True)
class PhoneFile:
    """Everything in the file.

    Parameters
    ----------
    made_on
        The day it was made, as an ISO date.
    air
        The day's temperature, wetness and ground as a log of throws takes them; ``air_words``
        says them to a reader.
    one_style
        Whether the thrower has one style only, so that lines leave it out.
    expected
        Place in ``winds`` of the wind nearest to the foreseen one, which ``foreseen`` says.
    putts
        Chance to hole a putt from every metre, from 0 on.
    about
        Sentences on what was computed, how exactly, and what is left out.
    """

    course: str
    conditions: str
    day: str
    made_on: str
    units: str
    air: str
    air_words: str
    foreseen: str
    expected: int
    one_style: bool
    discs: tuple[PhoneDisc, ...]
    bases: tuple[PhoneBase, ...]
    winds: tuple[PhoneWind, ...]
    holes: tuple[PhoneHole, ...]
    putts: tuple[float, ...]
    about: tuple[str, ...]
    note: str = ""
    attribution: str = ""
