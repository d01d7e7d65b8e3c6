"""Evidence: what the owner recorded of throws, comparisons, grades, rounds and putts."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from rimwise.errors import InputError, check_range
from rimwise.records.thrower import Line

__all__ = [
    "Comparison",
    "ConditionGrade",
    "GripGrade",
    "HoleScore",
    "Putts",
    "Quality",
    "Round",
    "Throw",
]


class Quality(StrEnum):
    """What two discs are compared in."""

    STABILITY = "stability"
    REACH = "reach"
    GRIP = "grip"


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
    first_touch_m
        Distance to the first touch, when seen.
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

    def __post_init__(self) -> None:
        check_range(f"distance of a throw with {self.disc_id}", self.distance_m, -50.0, 300.0, "m")
        check_range(f"left of a throw with {self.disc_id}", self.left_m, -150.0, 150.0, "m")


@dataclass(frozen=True, slots=True)
class Comparison:
    """One disc against another: slightly or plainly more stable, farther, better to grip."""

    on: date
    more: str
    less: str
    quality: Quality = Quality.STABILITY
    plainly: bool = False
    note: str = ""

    def __post_init__(self) -> None:
        if self.more == self.less:
            raise InputError(f"a comparison needs two discs, but both are {self.more}.")


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

    def __post_init__(self) -> None:
        if not self.scores:
            raise InputError(f"the round of {self.on} has no score.")


@dataclass(frozen=True, slots=True)
class Putts:
    """A number of putts from one distance and how many went in."""

    on: date
    distance_m: float
    tried: int
    made: int
    conditions: str = ""

    def __post_init__(self) -> None:
        check_range("putting distance", self.distance_m, 0.5, 40.0, "m")
        check_range("putts tried", self.tried, 1, 10_000)
        if not 0 <= self.made <= self.tried:
            raise InputError(f"putts made must be between 0 and {self.tried}, but is {self.made}.")
