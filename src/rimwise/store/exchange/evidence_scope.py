"""What was said of throws, comparisons, grades, putts and rounds, checked against the records.

The command line, tables and the pages all make evidence here, so that they understand the same
words and refuse the same mistakes.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import TypeVar

from rimwise.course.frame import LocalFrame
from rimwise.errors import InputError, NotFoundError, check_range
from rimwise.records.assumptions import Assumptions
from rimwise.records.conditions import Ground, ScenarioDay
from rimwise.records.courses import Course, Hole
from rimwise.records.discs import Disc, Status
from rimwise.records.evidence import (
    Comparison,
    ConditionGrade,
    GripGrade,
    HoleScore,
    Knock,
    Putts,
    Round,
    Throw,
    Weather,
)
from rimwise.records.evidence_words import ComparisonSaid, air_in, date_in
from rimwise.records.naming import closest, disc_among, pair_among
from rimwise.records.throw_words import ThrowSaid, throw_in
from rimwise.records.thrower import Line, Style, Thrower
from rimwise.records.weather_words import weather_in
from rimwise.records.words import Units, number
from rimwise.store.exchange.disc_cells import grade_in, wear_in
from rimwise.store.exchange.problems import CellError
from rimwise.store.store import Store

__all__ = ["RETIRED_ON", "Place", "Scope", "retired_days"]

T = TypeVar("T")

#: A throw farther aside than out is doubted from here on, metres (a shank stays nearer).
WIDE_M = 20.0
#: Setting that keeps since when discs are retired, by their name.
RETIRED_ON = "retired_on"
#: Two map points of one throw are never farther apart than this.
_APART_M = 2000.0

#: Latitude and longitude in degrees (WGS 84).
MapPoint = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Place:
    """Where a throw was made, as far as its owner said.

    Parameters
    ----------
    length_m
        From the tee to the basket aimed at.
    hole, course
        A hole on file that the throw was made on; it gives length and direction.
    tee, rest, aim
        Map points.
    bearing_deg
        Direction of the aim line, clockwise from true north.
    """

    length_m: float | None = None
    hole: str | None = None
    course: str | None = None
    tee: MapPoint | None = None
    rest: MapPoint | None = None
    aim: MapPoint | None = None
    bearing_deg: float | None = None


@dataclass(frozen=True)
class Scope:
    """What is on file, for making evidence of what was said.

    Parameters
    ----------
    days
        Days by name in small letters; several when sets of conditions share a name.
    today
        The present day; ``None`` lets dates be in the future.
    anyway
        Take evidence of retired discs, and throws longer than the arm.
    retired_on
        Since when discs are retired, where the owner retired them here.
    assume
        What words in a log mean, and how far a throw can be believed.
    named
        Discs that may be retired, because the evidence to be corrected names them already.
    units
        What the owner thinks in, where it is known: of degrees without a scale, and of examples.
    """

    discs: tuple[Disc, ...] = ()
    thrower: Thrower | None = None
    courses: tuple[Course, ...] = ()
    days: Mapping[str, tuple[ScenarioDay, ...]] = field(default_factory=dict)
    today: date | None = None
    anyway: bool = False
    retired_on: Mapping[str, date] = field(default_factory=dict)
    assume: Assumptions = field(default_factory=Assumptions)
    named: frozenset[str] = frozenset()
    units: Units | None = None

    @classmethod
    def of(
        cls,
        store: Store,
        today: date | None,
        *,
        anyway: bool = False,
        assume: Assumptions | None = None,
        units: Units | None = None,
    ) -> Scope:
        """Gather what is on file."""
        days: dict[str, list[ScenarioDay]] = {}
        for conditions in store.conditions.all():
            for day in conditions.days:
                days.setdefault(day.name.lower(), []).append(day)
                days.setdefault(f"{conditions.name}: {day.name}".lower(), []).append(day)
            if len(conditions.days) == 1 and conditions.name.lower() not in days:
                days[conditions.name.lower()] = [conditions.days[0]]
        throwers = store.throwers.all()
        return cls(
            tuple(store.discs.all()),
            throwers[0] if throwers else None,
            tuple(store.courses.all()),
            {name: tuple(found) for name, found in days.items()},
            today,
            anyway,
            retired_days(store),
            Assumptions() if assume is None else assume,
            units=units,
        )

    def day_of(self, text: str) -> date:
        """Read a date that is not in the future."""
        return date_in(text, self.today)

    def disc(self, name: str, on: date | None = None) -> Disc:
        """Return the disc that is meant.

        Parameters
        ----------
        on
            Day of the evidence; ``None`` asks for the disc alone.

        Raises
        ------
        NotFoundError
            When none fits, or several.
        InputError
            When it was retired by that day, unless evidence is taken anyway.
        """
        disc = disc_among(self.discs, name)
        if on is not None and disc.status is Status.RETIRED:
            self._check_retired(disc, on)
        return disc

    def _check_retired(self, disc: Disc, on: date) -> None:
        """Refuse what happened when the disc was retired: on that day, if known, or today."""
        since = self.retired_on.get(disc.id, self.today)
        if self.anyway or disc.id in self.named or since is None or on < since:
            return
        known = f"since {since}" if disc.id in self.retired_on else "now"
        raise InputError(
            f"{disc.id} is retired {known}, so nothing of {on} is taken; give the day before that "
            f"on which it happened, or add --anyway."
        )

    def throw_in(self, text: str) -> ThrowSaid:
        """Read a throw in words, by what the owner means with them."""
        return throw_in(text, self.assume)

    # -- throws ----------------------------------------------------------------------------

    def throw(
        self,
        on: date,
        disc: str,
        said: ThrowSaid,
        place: Place | None = None,
        *,
        ground: str | None = None,
        note: str = "",
    ) -> Throw:
        """Return the throw that was described.

        Raises
        ------
        InputError, NotFoundError
            When something is missing, not on file, or cannot be.
        """
        where = Place() if place is None else place
        known = self.disc(disc, on)
        course, hole = self._hole(where)
        line = self._line(said)
        bearing_deg = _bearing_deg(where, course, hole)
        distance_m, left_m = self._rest(said, where, course, hole, bearing_deg)
        conditions, weather = self.weather(said.weather, bearing_deg)
        throw = Throw(
            on, known.id, line, distance_m, left_m, conditions, said.first_touch_m,
            said.speed_m_s, said.spin_rad_s, note, self.with_ground(weather, ground),
        )  # fmt: skip
        self._check_arm(throw)
        return throw

    def changed_throw(
        self,
        before: Throw,
        said: ThrowSaid,
        place: Place,
        *,
        disc: str | None,
        ground: str | None,
        note: str | None,
        on: date | None,
    ) -> Throw:
        """Return a throw with what was said in place of what it had; the rest stays.

        Raises
        ------
        InputError, NotFoundError
            As :meth:`throw`.
        """
        line = before.line
        merged = replace(
            said,
            style=said.style or line.style,
            hyzer_deg=line.hyzer_deg if said.hyzer_deg is None else said.hyzer_deg,
            launch_deg=line.launch_deg if said.launch_deg is None else said.launch_deg,
            effort=line.effort if said.effort is None else said.effort,
            first_touch_m=_either(said.first_touch_m, before.first_touch_m),
            speed_m_s=_either(said.speed_m_s, before.speed_m_s),
            spin_rad_s=_either(said.spin_rad_s, before.spin_rad_s),
        )
        if not said.says_basket and place.rest is None:
            merged = replace(
                merged,
                distance_m=_either(said.distance_m, before.distance_m),
                left_m=_either(said.left_m, before.left_m),
            )
        made = self.throw(
            on or before.on, disc or before.disc_id, merged, place,
            ground=ground, note=before.note if note is None else note,
        )  # fmt: skip
        if said.weather is not None:
            return made
        weather = self.with_ground(before.weather, ground)
        return replace(made, conditions=before.conditions, weather=weather)

    def _line(self, said: ThrowSaid) -> Line:
        """Fill up the line from the stock throw; another style is flat and medium high."""
        stock = Line(Style.BACKHAND, 0.0, 10.0) if self.thrower is None else self.thrower.stock
        style = said.style or stock.style
        usual = stock if stock.style is style else Line(style, 0.0, 10.0)
        return Line(
            style,
            usual.hyzer_deg if said.hyzer_deg is None else said.hyzer_deg,
            usual.launch_deg if said.launch_deg is None else said.launch_deg,
            usual.effort if said.effort is None else said.effort,
        )

    def _check_arm(self, throw: Throw) -> None:
        """Refuse a throw so long or so wide that a unit or a side must be wrong."""
        out_m, aside_m = throw.distance_m, abs(throw.left_m)
        if aside_m > max(out_m, WIDE_M) and not self.anyway:
            raise InputError(
                f"a throw {number(out_m)} m out and {number(aside_m)} m aside has its distance and "
                "its side mixed up; write the side as in 5mL, or add --anyway if it is right."
            )
        if self.thrower is None:
            return
        usual_m = self.thrower.skill(throw.line.style).fairway_distance_m
        if throw.distance_m > self.assume.farthest_throw * usual_m and not self.anyway:
            raise InputError(
                f"a throw of {number(throw.distance_m)} m ({number(throw.distance_m / 0.3048)} ft) "
                f"is more than {self.assume.farthest_throw:g} times as far as your fairway driver "
                f"goes ({number(usual_m)} m); check the unit, or add --anyway if it is right."
            )

    def _hole(self, place: Place) -> tuple[Course | None, Hole | None]:
        if place.hole is None:
            return None, None
        course = self.course(place.course)
        return course, course.hole(place.hole)

    def _rest(
        self,
        said: ThrowSaid,
        place: Place,
        course: Course | None,
        hole: Hole | None,
        bearing_deg: float | None,
    ) -> tuple[float, float]:
        """Return where the throw came to rest, along and left of the aim line, in metres."""
        if place.rest is not None:
            if said.says_where:
                raise InputError("the rest is given in words and on the map; keep one of them.")
            return _rest_on_map(place, course, hole, bearing_deg)
        if said.left_m is None:
            raise InputError(
                "a throw needs the side too; write how far left or right it came to rest, as in "
                "5mL or 5mR, or straight."
            )
        if not said.says_basket:
            if said.distance_m is None:
                raise InputError("a throw needs its distance; write it as in 64m 5L.")
            return said.distance_m, said.left_m
        length_m = place.length_m if hole is None else hole.length_m
        if length_m is None:
            raise InputError(
                "a rest given from the basket needs the length thrown at; add --length 95m, or "
                "--hole with a hole on file."
            )
        return length_m - _short_m(said), said.left_m

    # -- weather -----------------------------------------------------------------------------

    def weather(
        self, text: str | None, bearing_deg: float | None = None, *, whole_round: bool = False
    ) -> tuple[str, Weather]:
        """Read the name of a day on file, or short words such as "4C wet wind 5m/s from left".

        Returns
        -------
        tuple
            The day's name, empty for words, and the weather along the aim line. The direction
            of a day's wind is known only with ``bearing_deg``.

        Raises
        ------
        InputError
            When it is neither.
        """
        if text is None or not text.strip():
            return "", Weather()
        found = self.days.get(text.strip().lower(), ())
        if len(set(found)) > 1:
            named = [key for key in self.days if key.endswith(f": {text.strip().lower()}")]
            raise InputError(f"several days are called {text.strip()!r}; write {_or(named)}.")
        if found:
            return found[0].name, _weather_of(found[0], bearing_deg)
        try:
            weather = weather_in(text, self.units)
        except InputError as error:
            alike = [self.days[key][0].name for key in closest(self.days, text, 1)]
            hint = f" Did you mean the day {alike[0]!r}?" if alike else ""
            raise InputError(f"{error}{hint}") from None
        if whole_round and weather.wind_from_deg is not None:
            raise InputError(
                "a round turns with its holes; leave out where the wind came from, or name a day."
            )
        return "", weather

    def with_ground(self, weather: Weather, ground: str | None) -> Weather:
        """Return the weather with another ground, when one is named."""
        if ground is None or not ground.strip():
            return weather
        try:
            return replace(weather, ground=Ground(ground.strip().lower()))
        except ValueError:
            raise InputError(
                f"ground must be one of {', '.join(Ground)}, not {ground!r}."
            ) from None

    # -- everything else -----------------------------------------------------------------------

    def comparison(self, on: date, said: ComparisonSaid, note: str = "") -> Comparison:
        """Return the comparison of two discs on file."""
        pair = pair_among(self.discs, said.more, said.less)
        more, less = (self.disc(one.id, on) for one in pair)
        return Comparison(on, more.id, less.id, said.quality, said.plainly, note, said.alike)

    def grip(self, on: date, disc: str, air: str, grade: str) -> GripGrade:
        """Return the grip grade of a disc on file: 1 to 5 or a word."""
        read = _in_a_sentence(lambda: grade_in(grade, "grip"))
        if read is None:
            raise InputError("the grip grade is empty; write 1 to 5, or slips … sure.")
        return GripGrade(on, self.disc(disc, on).id, air_in(air), read)

    def wear(self, on: date, disc: str, wear: str, note: str = "") -> ConditionGrade:
        """Return the condition grade of a disc on file: 0 to 1, per cent or a word."""
        if not wear.strip():
            raise InputError("the wear is empty; write 0.3, 30 % or new, good, worn, beaten.")
        return ConditionGrade(
            on, self.disc(disc, on).id, _in_a_sentence(lambda: wear_in(wear)), note
        )

    def knock(
        self, on: date, disc: str, what: str = "", hard: bool = True, note: str = ""
    ) -> Knock:
        """Return the knock that a disc on file took."""
        return Knock(on, self.disc(disc, on).id, what.strip() or "a tree", hard, note)

    def putts(
        self, on: date, distance_m: float, tried: int, made: int, weather: str | None = None
    ) -> Putts:
        """Return putts from one distance."""
        conditions, noted = self.weather(weather)
        return Putts(on, distance_m, tried, made, conditions, noted)

    def round(
        self,
        on: date,
        course: str,
        scores: Sequence[str],
        weather: str | None = None,
        note: str = "",
        *,
        ground: str | None = None,
    ) -> Round:
        """Return a round: strokes hole by hole, or "7:4" for strokes on one hole.

        Raises
        ------
        InputError, NotFoundError
            When the course is not known or the scores do not fit its holes.
        """
        played = self.course(course)
        conditions, noted = self.weather(weather, whole_round=True)
        found = tuple(_scores(played, scores))
        noted = self.with_ground(noted, ground)
        return Round(on, played.name, found, conditions, note=note, weather=noted)

    def course(self, name: str | None) -> Course:
        """Return the course of this name, of a part of it, or the only one.

        Raises
        ------
        NotFoundError, InputError
            When none or several fit.
        """
        names = [course.name for course in self.courses]
        said = (name or "").strip().lower()
        fits = [one for one in self.courses if one.name.lower() == said] or [
            one for one in self.courses if said in one.name.lower()
        ]
        if len(fits) == 1:
            return fits[0]
        if not names:
            raise NotFoundError("there is no course yet; bring one with `rimwise import`.")
        if fits:
            many = _or([course.name for course in fits])
            raise InputError(f"{len(fits)} courses fit {name or ''!r}; name one: {many}.")
        alike = closest(names, said) or names
        raise NotFoundError(f"no course is called {name!r}; did you mean {_or(alike)}?")


def retired_days(store: Store) -> dict[str, date]:
    """Return since when discs are retired, where that is known."""
    kept = store.settings.get(RETIRED_ON, {})
    return {disc: date.fromisoformat(day) for disc, day in kept.items()}


def _scores(course: Course, said: Sequence[str]) -> list[HoleScore]:
    """Fit strokes to the holes of a course, in order or hole by hole."""
    parts = [part for text in said for part in text.replace(",", " ").split()]
    if any(":" in part for part in parts):
        pairs = [part.partition(":") for part in parts]
        return [HoleScore(course.hole(ref).ref, _strokes(text, ref)) for ref, _, text in pairs]
    if len(parts) != len(course.holes):
        raise InputError(
            f"{course.name} has {len(course.holes)} holes, but {len(parts)} scores are given; "
            "write - for a hole not played, or hole:strokes as in 7:4."
        )
    return [
        HoleScore(hole.ref, _strokes(text, hole.ref))
        for hole, text in zip(course.holes, parts, strict=True)
        if text not in ("-", "–", "x")
    ]


def _strokes(text: str, hole: str) -> int:
    if not re.fullmatch(r"\d{1,3}", text):
        raise InputError(f"the score of hole {hole} is {text!r}; write whole strokes, as in 3.")
    return int(text)


def _short_m(said: ThrowSaid) -> float:
    """Return how far short of the basket along the aim line a rest was."""
    left_m = said.left_m or 0.0
    if said.short_m is not None:
        return said.short_m
    if said.to_go_m is None:
        raise InputError(
            "a rest beside the basket needs how far it was to go; add 25m to go, 10m short or "
            "4m past."
        )
    if said.to_go_m < abs(left_m):
        raise InputError(
            f"{number(said.to_go_m)} m to go is less than the {number(abs(left_m))} m sideways; "
            "correct one of them."
        )
    return math.sqrt(said.to_go_m**2 - left_m**2)


def _bearing_deg(place: Place, course: Course | None, hole: Hole | None) -> float | None:
    """Return the direction of the aim line, when it is known."""
    if place.bearing_deg is not None:
        return check_range("bearing", place.bearing_deg, 0.0, 360.0, "degrees")
    if place.aim is not None and place.tee is not None:
        east_m, north_m = LocalFrame(*place.tee).to_local(*place.aim)
        if math.hypot(east_m, north_m) < 1.0:
            raise InputError("the aim point is at the tee; give one farther down the line.")
        return math.degrees(math.atan2(east_m, north_m)) % 360.0
    if course is not None and hole is not None and course.bearings_known:
        return hole.bearing_deg
    return None


def _rest_on_map(
    place: Place, course: Course | None, hole: Hole | None, bearing_deg: float | None
) -> tuple[float, float]:
    """Return the rest along and left of the aim line from map points."""
    assert place.rest is not None  # noqa: S101 - the caller looked
    if bearing_deg is None:
        raise InputError(
            "two map points need the line that was aimed along; add the point aimed at (--aim), "
            "its direction (--bearing) or the hole (--hole)."
        )
    if place.tee is not None:
        east_m, north_m = LocalFrame(*place.tee).to_local(*place.rest)
    elif hole is not None and course is not None and course.origin_lat_deg is not None:
        frame = LocalFrame(course.origin_lat_deg, course.origin_lon_deg or 0.0)
        x_m, y_m = frame.to_local(*place.rest)
        east_m, north_m = x_m - hole.tee[0], y_m - hole.tee[1]
    else:
        raise InputError("a rest on the map needs the tee too; add --tee, or --hole on a map.")
    if math.hypot(east_m, north_m) > _APART_M:
        raise InputError(
            f"tee and rest are {number(math.hypot(east_m, north_m) / 1000.0, 1)} km apart; write "
            "latitude before longitude, in degrees."
        )
    sin, cos = math.sin(math.radians(bearing_deg)), math.cos(math.radians(bearing_deg))
    return east_m * sin + north_m * cos, north_m * sin - east_m * cos


def _weather_of(day: ScenarioDay, bearing_deg: float | None) -> Weather:
    """Return a day's weather along an aim line, to be kept though the day may change."""
    windy = day.wind_speed_m_s > 0.0 and bearing_deg is not None
    return Weather(
        day.temperature_c,
        day.wind_speed_m_s,
        (day.wind_from_deg - (bearing_deg or 0.0)) % 360.0 if windy else None,
        day.wet,
        day.ground,
    )


def _in_a_sentence(read: Callable[[], T]) -> T:
    """Read a cell outside a table: its complaint becomes a sentence."""
    try:
        return read()
    except CellError as error:
        raise InputError(f"{error.wrong}; {error.instead}.") from None


def _either(new: float | None, old: float | None) -> float | None:
    return old if new is None else new


def _or(names: Sequence[str]) -> str:
    return " or ".join(repr(name) for name in names[:4])
