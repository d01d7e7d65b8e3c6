"""The invented player's winter log, drawn from the hidden truth.

Throws, comparisons, putts and rounds, written down as an owner would: paced to half a metre.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Sequence
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from rimwise.beliefs.putting import PuttingModel
from rimwise.course.geometry import PENALTY_BITS, HoleRaster
from rimwise.demo.hidden_truth import Cast, Truth, stream, throw
from rimwise.flight.air import Air
from rimwise.flight.wind import Wind
from rimwise.records.courses import Course, Hole

Floats = NDArray[np.float64]

__all__ = ["comparisons_csv", "putts_csv", "rounds_csv", "throws_csv"]

NOTE = "invented"

#: Field sessions: a still field in the cold; the discs thrown, five times each.
FIELD_AIR = Air(5.0, 1020.0, 0.8)
FIELD_DAY = "calm frost"
FIELD_SESSIONS: tuple[tuple[date, str, str], ...] = (
    (date(2025, 11, 9), "stock", "nh27-blue nh27-red ol31-black ej24-lilac ol340-blue"),
    (date(2025, 11, 30), "soft", "kv15-red kv15-clear ol17-white nh3-smoke ol5-grey"),
    (date(2025, 12, 14), "stock", "nh27-blue nh27-rose ol340-yellow nh41-orange kv15-orange"),
    (date(2026, 1, 11), "forehand", "ol31-black ol5-grey ol17-white nh27-red"),
    (date(2026, 2, 1), "stock", "kv15-red ej4-mint nh27-blue ej24-lilac ol31-black"),
    (date(2026, 2, 22), "soft", "nh3-smoke kv6-brown ej4-mint kv15-clear nh14-green"),
    (date(2026, 3, 15), "stock", "nh27-blue nh27-red nh27-rose ol340-blue ol340-yellow"),
)
#: Style, hyzer (degrees), launch (degrees), effort.
LINES = {
    "stock": ("backhand", 5.0, 10.0, 1.0),
    "soft": ("backhand", 0.0, 10.0, 0.75),
    "forehand": ("forehand", 5.0, 10.0, 0.9),
}
THROWS_EACH = 5

#: Comparisons: the angle to which a finish is felt, and where "slightly" and "plainly" begin.
FELT_SD_DEG, SLIGHTLY_DEG, PLAINLY_DEG = 2.0, 1.5, 6.0

PUTT_SD_DEG = 2.1
PUTT_DISTANCES_M = (3.0, 4.0, 5.0, 6.0, 8.0, 10.0)
PUTTS_EACH, PUTT_EVENINGS = 20, 8

#: Rounds: date, name of the winter day, air, wind, ground.
ROUNDS: tuple[tuple[date, str, Air, Wind, str], ...] = (
    (date(2025, 11, 16), "drizzle with a fresh north-wester",
     Air(4.0, 1006.0, 0.93), Wind(6.2, 310.0), "wet"),
    (date(2025, 12, 7), "rain and a strong wind off the sea",
     Air(3.0, 998.0, 0.93), Wind(9.3, 230.0), "wet"),
    (date(2026, 1, 4), "calm frost", Air(-1.0, 1031.0, 0.86), Wind(0.0, 0.0), "frozen"),
    (date(2026, 1, 25), "drizzle with a fresh north-wester",
     Air(4.0, 1006.0, 0.93), Wind(6.2, 310.0), "wet"),
    (date(2026, 2, 15), "rain and a strong wind off the sea",
     Air(3.0, 998.0, 0.93), Wind(9.3, 230.0), "wet"),
    (date(2026, 3, 8), "calm frost", Air(-1.0, 1031.0, 0.86), Wind(0.0, 0.0), "frozen"),
)  # fmt: skip
ROUND_BAG = ("nh27-blue", "nh27-red", "ol31-black", "ol340-blue", "kv15-clear", "kv15-red",
             "ol5-grey", "nh3-smoke")  # fmt: skip
EFFORTS = (0.55, 0.65, 0.75, 0.85, 1.0)
PUTTING_RANGE_M = 11.0
MOST_STROKES = 12


def throws_csv(truth: Truth) -> bytes:
    """Return the field sessions: each throw with its rest, forward and left, in metres."""
    rows: list[Sequence[object]] = []
    for number, (day, line, discs) in enumerate(FIELD_SESSIONS):
        style, hyzer_deg, launch_deg, effort = LINES[line]
        thrown = [disc for disc in discs.split() for _ in range(THROWS_EACH)]
        cast = _cast(
            [truth.index(disc) for disc in thrown], hyzer_deg, launch_deg, effort,
            forehand=style == "forehand",
        )  # fmt: skip
        rest = throw(truth, cast, FIELD_AIR, stream("field session", number)).rest_m
        for disc, (forward_m, left_m, _) in zip(thrown, rest, strict=True):
            intended = (style, f"{hyzer_deg:g}", f"{launch_deg:g}", f"{effort:g}")
            found = (_paced(forward_m), _paced(left_m), FIELD_DAY, NOTE)
            rows.append((day, disc, *intended, *found))
    return _table(
        "on,disc,style,hyzer_deg,launch_deg,effort,distance_m,left_m,conditions,note", rows
    )


def comparisons_csv(truth: Truth) -> bytes:
    """Return which of two discs finishes more stable, of neighbours by printed stability.

    What is felt is the direction of the finish on one flat throw in still air, with an error;
    differences below "slightly" are not written down.
    """
    count = len(truth.ids)
    cast = _cast(range(count), 0.0, 10.0, 1.0)
    rest = throw(truth, cast, FIELD_AIR).rest_m
    # A left-hander's backhand fades to the right, so stable is to the right.
    finish_deg = np.degrees(np.arctan2(-rest[:, 1], rest[:, 0]))
    random = stream("comparisons")
    order = np.lexsort((finish_deg, np.round(truth.printed[:, 0] / 3.0)))
    rows: list[Sequence[object]] = []
    day = date(2025, 11, 10)
    for place in range(count):
        for step in (1, 3):
            if place + step >= count:
                continue
            one, two = order[place], order[place + step]
            felt_deg = finish_deg[two] - finish_deg[one] + FELT_SD_DEG * random.standard_normal()
            if abs(felt_deg) < SLIGHTLY_DEG:
                continue
            more, less = (two, one) if felt_deg > 0 else (one, two)
            plainly = "yes" if abs(felt_deg) >= PLAINLY_DEG else "no"
            rows.append((day, truth.ids[more], truth.ids[less], "stability", plainly, NOTE))
            day += timedelta(days=2)
    return _table("on,more,less,quality,plainly,note", rows)


def putts_csv() -> bytes:
    """Return the evenings of the putting league: tried and made at each distance."""
    made_chance = PuttingModel(PUTT_SD_DEG).make_probability(np.array(PUTT_DISTANCES_M))
    rows: list[Sequence[object]] = []
    for evening in range(PUTT_EVENINGS):
        day = date(2025, 11, 12) + timedelta(weeks=2 * evening)
        made = stream("putting league", evening).binomial(PUTTS_EACH, made_chance)
        rows += [
            (day, f"{distance:g}", PUTTS_EACH, number)
            for distance, number in zip(PUTT_DISTANCES_M, made, strict=True)
        ]
    return _table("on,distance_m,tried,made", rows)


def rounds_csv(truth: Truth, course: Course) -> bytes:
    """Return the scores of a few winter rounds, hole by hole."""
    rasters = [HoleRaster.build(course, hole) for hole in course.holes]
    rows: list[Sequence[object]] = []
    for number, (day, name, air, wind, ground) in enumerate(ROUNDS):
        bag = _club_table(truth, air)
        for place, (hole, raster) in enumerate(zip(course.holes, rasters, strict=True)):
            player = _Player(truth, air, wind, ground, bag, stream("round", number, place))
            rows.append((day, course.name, name, hole.ref, player.strokes(hole, raster), NOTE))
    return _table("on,course,conditions,hole,strokes,note", rows)


class _Player:
    """Plays a hole as most do: the disc and effort that go as far as needed, aimed by habit."""

    def __init__(
        self,
        truth: Truth,
        air: Air,
        wind: Wind,
        ground: str,
        bag: tuple[Cast, Floats],
        random: np.random.Generator,
    ) -> None:
        self.truth, self.air, self.wind, self.ground = truth, air, wind, ground
        self.casts, self.rest_m = bag
        self.random = random
        self.putting = PuttingModel(PUTT_SD_DEG)

    def strokes(self, hole: Hole, raster: HoleRaster) -> int:
        """Return the strokes of one hole, penalties included."""
        lie, strokes = np.array(hole.tee), 0
        basket = np.array(hole.basket)
        while strokes < MOST_STROKES:
            away_m = float(np.hypot(*(basket - lie)))
            strokes += 1
            if away_m <= PUTTING_RANGE_M:
                if self.random.random() < self.putting.make_probability(away_m):
                    return strokes
                lie = basket + (lie - basket) * min(1.0, 2.5 / max(away_m, 0.1))
                continue
            rest = self._throw(lie, basket, away_m)
            if int(raster.at(rest[:1], rest[1:])[0]) & PENALTY_BITS:
                strokes += 1
                rest = raster.relief_points((lie[0], lie[1]), rest[None])[0]
            lie = rest
        return MOST_STROKES

    def _throw(self, lie: Floats, basket: Floats, away_m: float) -> Floats:
        reach_m = np.hypot(self.rest_m[:, 0], self.rest_m[:, 1])
        best = int(np.argmin(np.abs(reach_m - away_m)))
        drift_deg = math.degrees(math.atan2(self.rest_m[best, 1], self.rest_m[best, 0]))
        cast = _cast(
            self.casts.disc[best : best + 1],
            self.casts.hyzer_deg[best],
            self.casts.launch_deg[best],
            self.casts.effort[best],
            aim_deg=-drift_deg,
        )
        bearing_rad = math.atan2(basket[0] - lie[0], basket[1] - lie[1])
        forward_m, left_m, _ = throw(
            self.truth, cast, self.air, self.random, wind=self.wind,
            bearing_deg=math.degrees(bearing_rad), ground=self.ground,
        ).rest_m[0]  # fmt: skip
        ahead = np.array([math.sin(bearing_rad), math.cos(bearing_rad)])
        rest: Floats = lie + forward_m * ahead + left_m * np.array([-ahead[1], ahead[0]])
        return rest


def _club_table(truth: Truth, air: Air) -> tuple[Cast, Floats]:
    """Where each disc of the bag comes to rest at each effort in still air."""
    discs = [truth.index(disc) for disc in ROUND_BAG for _ in EFFORTS]
    cast = _cast(discs, 5.0, 10.0, list(EFFORTS) * len(ROUND_BAG))
    return cast, throw(truth, cast, air).rest_m


def _cast(
    discs: Iterable[int],
    hyzer_deg: float,
    launch_deg: float,
    effort: float | list[float],
    *,
    forehand: bool = False,
    aim_deg: float = 0.0,
) -> Cast:
    disc = np.array(list(discs), dtype=np.intp)
    even = np.ones(len(disc))
    return Cast(
        disc=disc,
        hyzer_deg=hyzer_deg * even,
        launch_deg=launch_deg * even,
        effort=np.asarray(effort) * even,
        forehand=np.full(len(disc), forehand),
        aim_deg=aim_deg * even,
    )


def _paced(metres: float) -> str:
    """Write a distance as paced out, to half a metre."""
    return f"{round(2.0 * metres) / 2.0 + 0.0:g}"


def _table(heading: str, rows: Iterable[Sequence[object]]) -> bytes:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(heading.split(","))
    writer.writerows(rows)
    return text.getvalue().encode()
