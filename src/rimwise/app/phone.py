"""The file for the phone: every hole of a carry's course, worked out before there is no signal."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial

import numpy as np

from rimwise.app.phone_answers import TEE_CHOOSES, answers_from, told
from rimwise.app.phone_holes import Tell, side_by_side
from rimwise.app.planned import prepared_for
from rimwise.app.planning import Prepared
from rimwise.app.reports import load_plan
from rimwise.app.sheets import INVENTED
from rimwise.app.tee_telling import kind_words
from rimwise.beliefs.fleet import Fleet
from rimwise.beliefs.putting import LONGEST_PUTT_M
from rimwise.course.geometry import PENALTY_BITS, areas_near
from rimwise.course.raster import HoleFrame
from rimwise.decide.days import Day, day_of
from rimwise.decide.lattice import FREE, KIND_ON
from rimwise.decide.posing import Problem, pose, sheltered
from rimwise.decide.report import AreaShape
from rimwise.decide.rounds import Progress
from rimwise.decide.winds import (
    MANY_WINDS,
    Clouds,
    Pools,
    Searched,
    drawn_once,
    fly_clouds,
    search_between,
    search_in_wind,
    value_in_winds,
)
from rimwise.errors import InputError
from rimwise.pictures.phone_scene import (
    PhoneAnswer,
    PhoneBase,
    PhoneDisc,
    PhoneFile,
    PhoneHole,
    PhoneLie,
    PhoneWind,
)
from rimwise.records.climate import COMPASS
from rimwise.records.conditions import Conditions, ScenarioDay
from rimwise.records.courses import Course, Hole
from rimwise.records.words import (
    Units,
    beaufort,
    date_words,
    joined,
    plural,
    temperature,
    wind_speed,
    wind_words,
)
from rimwise.store.store import Store

__all__ = ["day_like", "phone_file"]

#: Winds that are worked out, at 10 m over open ground as a forecast has them: calm, and each
#: other speed from eight sides.
_LIGHT_M_S, _MIDDLE_M_S, _STRONG_M_S = 3.0, 6.0, 9.0
SPEEDS_M_S = (0.0, _LIGHT_M_S, _MIDDLE_M_S, _STRONG_M_S)
SIDES_DEG = tuple(45.0 * side for side in range(8))
#: Up to this a forecast is as good as calm.
_CALM_M_S = 1.5
#: Lies so far apart along a hole, so far aside, and none nearer to the basket.
_STEP_M, _ASIDE_M, _NEAREST_M = 20.0, (0.0, 15.0, -15.0), 12.0
#: Throws that tell what was chosen.
_TELLS = 256
#: Ground drawn around a hole, and how exactly its outlines.
_MARGIN_M, _OUTLINE_M = 35.0, 0.4
_NO_MAP = (
    "The course is a table of lengths: which way its holes point is not known, so set on each of "
    "them from where the wind comes there."
)
#: Share of the work that goes into flying every disc.
_FLYING = 0.04


def phone_file(
    store: Store,
    conditions: str | None = None,
    *,
    day: str | None = None,
    today: date,
    seed: int = 1,
    progress: Progress = lambda _what, _share: None,
) -> PhoneFile:
    """Work out what to throw on every hole of a plan's course, in 25 winds, from many lies.

    Parameters
    ----------
    conditions
        Of the plan whose carry is taken; the latest plan when not given.
    day
        A part of the name of the kind of day that gives temperature, ground and the wind to
        expect; the commonest when not given.
    progress
        Raise in it to stop.

    Raises
    ------
    RimwiseError
        When nothing is planned, or a carried disc is gone.
    """
    plan = load_plan(store, conditions)
    weather = store.conditions.get(plan.conditions)
    kind = day_like(weather, day)
    progress("learning from your throws", 0.0)
    ready = prepared_for(store, plan, seed=seed, printed=False)
    carried = sorted(ready.fleet.index(disc) for disc in plan.chosen)
    fleet = drawn_once(ready.fleet.subset(carried))
    work = _Work(ready, fleet, kind)
    holes = work.done(progress)
    return PhoneFile(
        course=plan.course,
        conditions=plan.conditions,
        day=kind.name,
        made_on=today.isoformat(),
        units=ready.units,
        air=_air(kind),
        air_words=f"{temperature(kind.temperature_c, ready.units)}, "
        f"{'wet' if kind.wet else 'dry'}, {kind.ground.value} ground",
        foreseen=_foreseen(kind, ready),
        expected=_nearest(kind, work.winds, bearings=ready.course.bearings_known),
        one_style=len({str(skill.style) for skill in ready.thrower.styles}) == 1,
        discs=tuple(
            PhoneDisc(name, label) for name, label in zip(fleet.ids, fleet.labels, strict=True)
        ),
        bases=tuple(
            PhoneBase(str(base.style), base.hyzer_deg, base.launch_deg)
            for base in ready.simulator.bases
        ),
        winds=work.winds,
        holes=holes,
        putts=tuple(
            float(made)
            for made in ready.putting.make_probability(np.arange(0.0, LONGEST_PUTT_M + 1.0))
        ),
        about=_about(plan.conditions, kind, weather, fleet, ready, today),
        note="Everything here is invented: player, discs, course, weather."
        if store.settings.get(INVENTED, False)
        else "",
        attribution=ready.course.attribution,
    )


def day_like(weather: Conditions, day: str | None) -> ScenarioDay:
    """Return the day of that name, or with this in its name; the commonest when none is named.

    Raises
    ------
    InputError
        When there is none.
    """
    if day is None:
        return max(zip(weather.days, weather.shares, strict=True), key=lambda one: one[1])[0]
    exactly = [one for one in weather.days if one.name == day]
    for one in exactly or weather.days:
        if day.lower() in one.name.lower():
            return one
    names = ", ".join(repr(one.name) for one in weather.days)
    raise InputError(f"{weather.name} has no day like {day!r}; it has {names}.")


# -- the work --------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class _Work:
    """What is computed: every hole in every wind."""

    ready: Prepared
    fleet: Fleet
    kind: ScenarioDay

    @property
    def winds(self) -> tuple[PhoneWind, ...]:
        """Calm first, then each strength from eight sides, clockwise from north."""
        units = self.ready.units
        return tuple(
            PhoneWind(n, side, speed, _strength(speed, units))
            for n, speed in enumerate(SPEEDS_M_S)
            for side in _sides(speed)
        )

    def done(self, progress: Progress) -> tuple[PhoneHole, ...]:
        """Work everything out: discs are flown first, then holes go side by side."""
        course, simulator = self.ready.course, self.ready.simulator
        clouds = self._flown(partial(_scaled, progress, 0.0, _FLYING))
        pools = Pools.draw(simulator, self.fleet, TEE_CHOOSES, _TELLS)
        tasks = {
            hole.ref: partial(self._hole, hole, clouds[hole.shelter], pools)
            for hole in course.holes
        }
        each = len(self.winds)
        found = side_by_side(simulator.threads, tasks, each, partial(_scaled, progress, _FLYING, 1))
        progress("writing the file", 1.0)
        return tuple(found[hole.ref] for hole in course.holes)

    def _flown(self, progress: Progress) -> dict[float | None, dict[float, Clouds]]:
        """Fly every disc in each strength of the wind, as it blows on holes of each shelter."""
        holes = {hole.shelter: hole for hole in self.ready.course.holes}
        asked = list(itertools.product(holes.items(), SPEEDS_M_S))
        found: dict[float | None, dict[float, Clouds]] = {shelter: {} for shelter in holes}
        for n, ((shelter, hole), speed) in enumerate(asked):
            said = f"{_strength(speed, self.ready.units)}: flying every disc"
            flying = partial(progress, said, n / len(asked))
            flying()
            day = sheltered(self._day(speed), hole, self.ready.assume)
            found[shelter][speed] = fly_clouds(
                self.ready.simulator, self.fleet, day, between=flying
            )
        return found

    def _day(self, speed: float) -> Day:
        """Return the kind of day in a wind of this strength, with the gusts usual for it."""
        blowing = replace(self.kind, wind_speed_m_s=speed, wind_from_deg=0.0, gust_m_s=None)
        return day_of(blowing, 1.0, self.ready.thrower, self.ready.assume)

    def _posed(self, hole: Hole) -> Problem:
        """Lay out a hole; but for where it blows from it is the same in every wind."""
        ready = self.ready
        return pose(
            ready.course, hole, self.fleet, self._day(0.0), ready.simulator.bases, ready.putting,
            ready.assume, cell_m=MANY_WINDS.cell_m, bearing_deg=_bearing(ready.course, hole),
            left_handed=ready.thrower.hand == "left",
        )  # fmt: skip

    def _hole(
        self, hole: Hole, clouds: Mapping[float, Clouds], pools: Pools, tell: Tell
    ) -> PhoneHole:
        """Answer from every lie of a hole in every wind."""
        course, ready, posed = self.ready.course, self.ready, self._posed(hole)
        grid = _grid(posed)
        searched = _Searches(posed, clouds, _bearing(course, hole))
        answers: list[tuple[PhoneAnswer, ...]] = []
        for speed in SPEEDS_M_S:
            said = _strength(speed, ready.units)
            found = []
            for side in _sides(speed):
                tell(said, 0)
                found.append(searched.of(speed, side))
            solved = value_in_winds(ready.simulator, self.fleet, clouds[speed], pools, found)
            answers += answers_from(solved, grid, between=partial(tell, said, 0))
            tell(said, len(found))
        return PhoneHole(
            ref=hole.ref,
            name=hole.name,
            par=hole.par,
            length_m=hole.length_m,
            bearing_deg=HoleFrame.of(hole).bearing_deg if course.bearings_known else None,
            areas=_areas(course, hole),
            lies=tuple(_lie(posed, x, y) for x, y in grid),
            answers=tuple(answers),
            told=tuple(
                told(one[0], hole, ready.simulator, self.fleet, ready.units) for one in answers
            ),
        )


class _Searches:
    """A hole searched in the winds that are asked for, each of them once."""

    def __init__(self, posed: Problem, clouds: Mapping[float, Clouds], bearing_deg: float) -> None:
        self._posed, self._clouds, self._bearing_deg = posed, clouds, bearing_deg
        self._found: dict[tuple[float, float], Searched] = {}

    def of(self, speed: float, side: float) -> Searched:
        """Return what to do in a wind, searched anew or chosen among what is best in others."""
        wind = (speed, side)
        if wind not in self._found:
            near = [self.of(*one) for one in winds_near(speed, side)]
            wind_rad = math.radians(side - self._bearing_deg)
            self._found[wind] = (
                search_between(self._posed, self._clouds[speed], wind_rad, near)
                if near
                else search_in_wind(self._posed, self._clouds[speed], wind_rad)
            )
        return self._found[wind]


def _sides(speed: float) -> tuple[float, ...]:
    return SIDES_DEG if speed else SIDES_DEG[:1]


def winds_near(speed: float, side: float) -> tuple[tuple[float, float], ...]:
    """Return the winds (speed, side) among whose best throws those in another are chosen.

    None where every disc and line is searched anew. What that loses is told in docs/phone.md.
    """
    if speed == _LIGHT_M_S:
        return ((_MIDDLE_M_S, side), (0.0, SIDES_DEG[0]))
    if speed == _STRONG_M_S and side % 90.0:
        return ((speed, side - 45.0), (speed, (side + 45.0) % 360.0))
    return ()


def _scaled(progress: Progress, first: float, last: float, what: str, share: float) -> None:
    progress(what, first + (last - first) * share)


def _bearing(course: Course, hole: Hole) -> float:
    """Return the direction of a hole; winds come by the hole where the map has no north."""
    return HoleFrame.of(hole).bearing_deg if course.bearings_known else 0.0


# -- lies and ground ---------------------------------------------------------------------------


def _grid(posed: Problem) -> tuple[tuple[float, float], ...]:
    """Return the lies of a hole that are answered for: the tee, and a grid where one may lie."""
    rows = np.arange(_STEP_M, posed.ground.length_m - _NEAREST_M + 1e-9, _STEP_M).tolist()
    wanted = itertools.product(rows, _ASIDE_M)
    return ((0.0, 0.0), *((x, y) for x, y in wanted if _playable(posed, x, y)))


def _playable(posed: Problem, x: float, y: float) -> bool:
    return not int(posed.ground.bits_at(np.array([[x, y]]))[0]) & PENALTY_BITS


def _lie(posed: Problem, x: float, y: float) -> PhoneLie:
    at = int(posed.ground.bits_at(np.array([[x, y]]))[0])
    return PhoneLie(x, y, kind_words(FREE if x == y == 0.0 else int(KIND_ON[at])))


def _areas(course: Course, hole: Hole) -> tuple[AreaShape, ...]:
    """Return the areas around a hole, with outlines as coarse as a phone shows them."""
    import shapely

    if not course.bearings_known:
        return ()
    frame = HoleFrame.of(hole)

    def ring(points: object) -> tuple[tuple[float, float], ...]:
        line = shapely.simplify(shapely.LinearRing(frame.to_hole(np.asarray(points))), _OUTLINE_M)
        return tuple((round(x, 1), round(y, 1)) for x, y in line.coords[:-1])

    return tuple(
        AreaShape(str(area.kind), area.name, ring(area.ring), tuple(ring(o) for o in area.openings))
        for area in areas_near(course, hole, _MARGIN_M)
    )


# -- weather in words --------------------------------------------------------------------------


def _strength(speed: float, units: Units) -> str:
    """Say "moderate breeze 6 m/s"."""
    return wind_words(speed, None, units)


def _air(kind: ScenarioDay) -> str:
    """Say temperature, wetness and ground as a log of throws takes them."""
    degrees = f"{kind.temperature_c:.0f}".replace("-0", "0")
    return f"{degrees}C {'wet' if kind.wet else 'dry'} {kind.ground.value} ground"


def _foreseen(kind: ScenarioDay, ready: Prepared) -> str:
    words = _strength(kind.wind_speed_m_s, ready.units)
    if beaufort(kind.wind_speed_m_s)[0] == 0 or not ready.course.bearings_known:
        return words
    return f"{words} from {COMPASS[round(kind.wind_from_deg / 22.5) % 16]}"


def _nearest(kind: ScenarioDay, winds: Sequence[PhoneWind], *, bearings: bool) -> int:
    """Return the place of the wind that was worked out nearest to a day's.

    Where nobody knows which way holes point, it comes from ahead.
    """
    if kind.wind_speed_m_s <= _CALM_M_S:
        return 0

    def off(n: int) -> tuple[float, float]:
        from_deg = kind.wind_from_deg if bearings else 0.0
        turned = math.remainder(winds[n].from_deg - from_deg, 360.0)
        return abs(winds[n].speed_m_s - kind.wind_speed_m_s), abs(turned)

    return min(range(1, len(winds)), key=off)


def _about(
    conditions: str, kind: ScenarioDay, weather: Conditions, fleet: Fleet, ready: Prepared,
    today: date,
) -> tuple[str, ...]:  # fmt: skip
    """Say what the file rests on, how exact it is, and what is left out."""
    speeds = joined([wind_speed(speed, ready.units) for speed in SPEEDS_M_S[1:]])
    others = [day.name for day in weather.days if day is not kind]
    rest = f" Other days of {conditions} ({', '.join(others)}) need a file of their own."
    return (
        (
            f"Made on {date_words(today.isoformat())} for the {plural(len(fleet), 'disc')} of your "
            f"plan for {conditions}."
        ),
        (
            f"Temperature, ground and grip are those of the day “{kind.name}”; only the wind "
            f"differs.{rest if others else ''}"
        ),
        (
            f"Each hole was worked out for calm air and for {speeds} from eight sides; "
            "nothing is interpolated between them, so take the nearest. Winds are means at 10 m "
            "over open ground, with the gusts usual for them."
        ),
        (
            "Lies are 20 m apart along a hole, and 15 m aside. Elsewhere you are shown what is "
            "best from the nearest of them."
        ),
        (
            f"What is told from a lie rests on {_TELLS} simulated throws of each choice. “Give or "
            "take” is one standard error of these, or for a place what holds eight of ten throws. "
            "It does not cover the quick search, which may miss a slightly better throw."
        ),
        "People, paths, single trees and today's ground are not known here.",
        *(() if ready.course.bearings_known else (_NO_MAP,)),
    )
