"""The plan as told: plain frozen records that sheets, pages and ``--json`` show.

Everything a face shows is here, so that it is computed once, kept with the carry, and the
same everywhere. Left and right are the thrower's as they face the basket; left is positive.
"""

from __future__ import annotations

from dataclasses import dataclass

from rimwise.decide.reasons import LeftOut, Purpose
from rimwise.decide.serving import ServedGround
from rimwise.decide.swaps import Swap

__all__ = [
    "AreaShape",
    "BoundWish",
    "CarSwap",
    "CurvePoint",
    "DayLine",
    "DiscLine",
    "HoleLine",
    "LikedDisc",
    "PlanReport",
    "SwapReport",
    "WideStep",
]


@dataclass(frozen=True, slots=True)
class DayLine:
    """One kind of day, in words and with its share of the rounds."""

    name: str
    share: float
    words: str


@dataclass(frozen=True, slots=True)
class DiscLine:
    """One disc as shown: what it is and how it flies for this arm.

    ``reach_m`` is how far it goes at full effort on its longest line, ``finish_left_m`` where
    a flat full throw finishes sideways, both in calm air of the first day, with the interval
    that holds 80 of 100 throws, what is not known of the disc included.
    """

    disc_id: str
    label: str
    mold: str
    plastic: str
    colour: str
    printed: tuple[float, float, float, float]
    numbers_for_you: tuple[float, float, float, float]
    weight_g: float
    weight_sd_g: float
    role: str
    reach_m: float
    reach_low_m: float
    reach_high_m: float
    finish_left_m: float
    finish_low_m: float
    finish_high_m: float
    grip: float
    meaning: str


@dataclass(frozen=True, slots=True)
class WideStep:
    """A rung that the carry lacks: neighbours of one role, turn side first, and how far apart.

    ``usual_m`` is the middle step of the carried discs of that role.
    """

    below: str
    above: str
    step_m: float
    usual_m: float


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """Strokes per round lost against carrying everything, by number of discs carried."""

    discs: int
    lost: float
    lost_se: float
    chosen: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AreaShape:
    """An area near a hole in the hole's frame: x toward the basket, y left, metres."""

    kind: str
    name: str
    ring: tuple[tuple[float, float], ...]
    openings: tuple[tuple[tuple[float, float], ...], ...]


@dataclass(frozen=True, slots=True)
class HoleLine:
    """One tee: the disc and line with the fewest strokes on the commonest kind of day.

    Positions are in the hole's frame: x toward the basket, y to the thrower's left, z above
    the tee, metres. ``path`` is the middle throw; ``dots`` are 50 fresh throws where they came
    to rest, ``outline`` holds about 80 of 100 of them. ``aim_left_m`` is where the throw is
    aimed beside the basket, measured at the basket's distance. ``wind_from_deg`` is relative
    to the hole: 0 is a headwind, 90 from the right. ``bearing_deg`` is ``None`` for a hole known
    only by its length; it is then shown as if it pointed north.
    """

    ref: str
    name: str
    par: int | None
    length_m: float
    elevation_change_m: float
    bearing_deg: float | None
    day: str
    wind_m_s: float
    wind_from_deg: float
    wind_words: str
    disc_id: str
    disc_label: str
    line: str
    aim_left_m: float
    aim_words: str
    strokes: float
    strokes_se: float
    left_m: float
    penalty_chance: float
    landing_words: str
    second_disc: str
    second_costs: float
    path: tuple[tuple[float, float, float], ...]
    dots: tuple[tuple[float, float], ...]
    outline: tuple[tuple[float, float], ...]
    areas: tuple[AreaShape, ...]


@dataclass(frozen=True, slots=True)
class LikedDisc:
    """A disc that stays in because its owner likes it, and what that costs.

    ``costs`` is strokes per round against the best carry without that wish, with one standard
    error; ``instead`` the discs that would come in its place.
    """

    disc_id: str
    costs: float
    costs_se: float
    instead: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BoundWish:
    """A wish without which the carry would be another, and what it costs.

    ``costs`` is strokes per round against the best carry by all the other wishes, with one
    standard error; ``out`` would stay home in that one and ``instead`` come along.
    """

    words: str
    costs: float
    costs_se: float
    out: tuple[str, ...]
    instead: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CarSwap:
    """The swap at the car on one kind of day; ``saves`` is strokes a round on such a day."""

    day: str
    out: tuple[str, ...]
    into: tuple[str, ...]
    saves: float
    saves_se: float


@dataclass(frozen=True, slots=True)
class PlanReport:
    """A carry and everything said about it.

    ``strokes_all`` and ``strokes_carry`` are per round with one standard error each;
    ``lost`` is their paired difference. ``certificate`` says how exact the choice is.
    ``learnt`` tells beliefs apart that plans rest on; ``None`` for printed numbers alone.
    ``wishes`` are the owner's, in words, and ``bound`` those that change the carry;
    ``alternates`` stay in the car, for ``car_swaps``; ``wide_steps`` are missing rungs,
    and ``ground`` says which disc serves what ground around a basket on the commonest day.
    """

    conditions: str
    course: str
    attribution: str
    on: str
    thrower: str
    seed: int
    limit: int
    days: tuple[DayLine, ...]
    chosen: tuple[str, ...]
    discs: tuple[DiscLine, ...]
    purposes: tuple[Purpose, ...]
    left: tuple[LeftOut, ...]
    curve: tuple[CurvePoint, ...]
    holes: tuple[HoleLine, ...]
    strokes_all: float
    strokes_all_se: float
    strokes_carry: float
    strokes_carry_se: float
    lost: float
    lost_se: float
    flat_from: int
    tolerance: float
    criteria: tuple[tuple[str, float, float], ...]
    certificate: str
    summary: tuple[str, ...]
    assumptions_changed: tuple[tuple[str, float], ...]
    learnt: str | None = None
    wishes: tuple[str, ...] = ()
    liked: tuple[LikedDisc, ...] = ()
    putting: str = ""
    alternates: tuple[str, ...] = ()
    car_swaps: tuple[CarSwap, ...] = ()
    bound: tuple[BoundWish, ...] = ()
    wide_steps: tuple[WideStep, ...] = ()
    ground: ServedGround | None = None

    def disc(self, disc_id: str) -> DiscLine:
        """Return the line of one disc, carried or not."""
        return next(line for line in self.discs if line.disc_id == disc_id)


@dataclass(frozen=True, slots=True)
class Work:
    """How many throws a round a disc makes in the old season and in the new one."""

    disc_id: str
    old: float
    new: float


@dataclass(frozen=True, slots=True)
class SwapReport:
    """The swap list between two seasons, with a sentence for each swap.

    ``work`` is what every disc does in both, the greatest change first, and ``work_words`` the
    greatest of them in a sentence. ``grown`` are discs of both carries that do more, as a swap of
    nothing for them, with a sentence each. ``on_holes`` says whether every hole was solved for the
    new season's carry; else strokes look ahead by distance alone.
    """

    old: str
    new: str
    course: str
    swaps: tuple[Swap, ...]
    sentences: tuple[str, ...]
    summary: str
    work: tuple[Work, ...] = ()
    work_words: str = ""
    grown: tuple[Swap, ...] = ()
    grown_words: tuple[str, ...] = ()
    on_holes: bool = False
