"""Evidence: what the owner recorded of throws, comparisons, grades, rounds and putts."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from enum import StrEnum

from rimwise.errors import InputError, check_range
from rimwise.records.conditions import Ground
from rimwise.records.thrower import Line

__all__ = [
    "Comparison",
    "ConditionGrade",
    "GripGrade",
    "HoleScore",
    "Knock",
    "Putts",
    "Quality",
    "Recorded",
    "Round",
    "Throw",
    "Weather",
]

#: Nobody throws farther or wider than this (generous; memory, unverified).
FARTHEST_M, WIDEST_M = 300.0, 150.0


class Quality(StrEnum):
    """What two discs are compared in."""

    STABILITY = "stability"
    REACH = "reach"
    GRIP = "grip"


@dataclass(frozen=True, slots=True)
class Weather:
    """What the weather did to a throw, as far as its owner noted it; ``None`` is not noted.

    Parameters
    ----------
    wind_m_s, wind_from_deg
        Wind, and where it came from as seen along the aim line: 0 a headwind, 90 from the
        right.
    wet
        Whether hands and discs were wet.
    ground
        What the disc came down on.
    """

    temperature_c: float | None = None
    wind_m_s: float | None = None
    wind_from_deg: float | None = None
    wet: bool | None = None
    ground: Ground | None = None

    def __post_init__(self) -> None:
        if self.temperature_c is not None:
            check_range("temperature", self.temperature_c, -40.0, 50.0, "°C")
        if self.wind_m_s is not None:
            check_range("wind", self.wind_m_s, 0.0, 40.0, "m/s")
        if self.wind_from_deg is not None:
            check_range("wind direction", self.wind_from_deg, 0.0, 360.0, "degrees")

    def __bool__(self) -> bool:
        """Whether anything was noted."""
        return self != Weather()


@dataclass(frozen=True, slots=True)
class Throw:
    """One throw and where it came to rest, in the thrower's frame.

    Parameters
    ----------
    line
        The line that was intended, effort included.
    distance_m
        Distance to rest along the aim line.
    left_m
        Rest to the left of the aim line as the thrower faces the target; negative is right.
    conditions
        Name of a day on file; empty when there is none.
    first_touch_m
        Distance to the first touch, when seen.
    speed_m_s, spin_rad_s
        At release, when measured.
    weather
        What was noted of the weather; it goes before the day that ``conditions`` names.
    """

    on: date
    disc_id: str
    line: Line
    distance_m: float
    left_m: float
    conditions: str = ""
    first_touch_m: float | None = None
    speed_m_s: float | None = None
    spin_rad_s: float | None = None
    note: str = ""
    weather: Weather = field(default_factory=Weather)

    def __post_init__(self) -> None:
        of = f"of a throw with {self.disc_id}"
        check_range(f"distance {of}", self.distance_m, -50.0, FARTHEST_M, "m")
        check_range(f"left {of}", self.left_m, -WIDEST_M, WIDEST_M, "m")
        if self.first_touch_m is not None:
            check_range(f"first touch {of}", self.first_touch_m, 0.0, FARTHEST_M, "m")
        if self.speed_m_s is not None:
            check_range(f"release speed {of}", self.speed_m_s, 3.0, 49.0, "m/s")
        if self.spin_rad_s is not None:
            turns = self.spin_rad_s * 30.0 / math.pi
            check_range(f"spin {of}", turns, 100.0, 2800.0, "turns a minute")


@dataclass(frozen=True, slots=True)
class Comparison:
    """One disc against another: slightly or plainly more stable, farther, better to grip.

    Parameters
    ----------
    plainly
        The difference is plain; slight otherwise.
    alike
        The two are about the same; which is ``more`` then means nothing.
    """

    on: date
    more: str
    less: str
    quality: Quality = Quality.STABILITY
    plainly: bool = False
    note: str = ""
    alike: bool = False

    def __post_init__(self) -> None:
        if self.more == self.less:
            raise InputError(
                f"a comparison needs two discs, but both are {self.more}; name another."
            )
        if self.plainly and self.alike:
            raise InputError(
                f"{self.more} and {self.less} cannot be plainly different and about the same; "
                "keep one of the two."
            )


@dataclass(frozen=True, slots=True)
class GripGrade:
    """A grip grade given by hand, 1 (slips) to 5 (sure), in one kind of air."""

    on: date
    disc_id: str
    air: str
    grade: float

    def __post_init__(self) -> None:
        if self.air not in ("cold-dry", "cold-wet", "warm-dry", "hot-sweaty"):
            raise InputError(
                f"grip is graded in cold-dry, cold-wet, warm-dry or hot-sweaty, not {self.air!r}."
            )
        check_range(f"grip grade of {self.disc_id}", self.grade, 1.0, 5.0)


@dataclass(frozen=True, slots=True)
class ConditionGrade:
    """How worn a disc is, 0 (new) to 1 (beaten in), as graded on a date."""

    on: date
    disc_id: str
    wear: float
    note: str = ""

    def __post_init__(self) -> None:
        check_range(f"wear of {self.disc_id}", self.wear, 0.0, 1.0)


@dataclass(frozen=True, slots=True)
class Knock:
    """A knock that a disc took: it dates wear that may have come at once.

    Parameters
    ----------
    what
        What it hit, in the owner's words.
    hard
        Whether hard enough that the disc may fly otherwise since.
    """

    on: date
    disc_id: str
    what: str = "a tree"
    hard: bool = True
    note: str = ""


@dataclass(frozen=True, slots=True)
class HoleScore:
    """Strokes on one hole of a round."""

    hole: str
    strokes: int

    def __post_init__(self) -> None:
        check_range(f"strokes on hole {self.hole}", self.strokes, 1, 30)


@dataclass(frozen=True, slots=True)
class Round:
    """A round with its scores."""

    on: date
    course: str
    scores: tuple[HoleScore, ...]
    conditions: str = ""
    carry: str = ""
    note: str = ""
    weather: Weather = field(default_factory=Weather)

    def __post_init__(self) -> None:
        if not self.scores:
            raise InputError(f"the round of {self.on} has no score.")
        holes = [score.hole for score in self.scores]
        twice = next((hole for hole in holes if holes.count(hole) > 1), None)
        if twice is not None:
            raise InputError(f"the round of {self.on} has hole {twice} twice; keep one score.")


@dataclass(frozen=True, slots=True)
class Putts:
    """A number of putts from one distance and how many went in."""

    on: date
    distance_m: float
    tried: int
    made: int
    conditions: str = ""
    weather: Weather = field(default_factory=Weather)

    def __post_init__(self) -> None:
        check_range("putting distance", self.distance_m, 0.5, 40.0, "m")
        check_range("putts tried", self.tried, 1, 10_000)
        if not 0 <= self.made <= self.tried:
            raise InputError(
                f"putts made must be between 0 and the {self.tried} tried, but are {self.made}; "
                "write made/tried, as in 13/20."
            )


@dataclass(frozen=True, slots=True)
class Recorded:
    """Everything that the owner recorded and did not delete, each kind in the order it came.

    Parameters
    ----------
    left_out
        Older throws that are counted and not held: how many, by disc and day.
    """

    throws: tuple[Throw, ...] = ()
    comparisons: tuple[Comparison, ...] = ()
    grip_grades: tuple[GripGrade, ...] = ()
    condition_grades: tuple[ConditionGrade, ...] = ()
    knocks: tuple[Knock, ...] = ()
    putts: tuple[Putts, ...] = ()
    rounds: tuple[Round, ...] = ()
    left_out: Mapping[tuple[str, date], int] = field(default_factory=dict)

    def latest(self, most: int) -> Recorded:
        """Return the same with only the latest throws of each disc held, the others counted."""
        places: list[int] = []
        left, held = Counter(self.left_out), Counter[str]()
        for place, throw in sorted(enumerate(self.throws), key=_by_day, reverse=True):
            held[throw.disc_id] += 1
            if held[throw.disc_id] <= most:
                places.append(place)
            else:
                left[throw.disc_id, throw.on] += 1
        throws = tuple(self.throws[place] for place in sorted(places))
        return replace(self, throws=throws, left_out=dict(left))


def _by_day(placed: tuple[int, Throw]) -> tuple[date, int]:
    return placed[1].on, placed[0]
