"""What to throw from the tee, or from any lie: the choices with their risks, in words."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from rimwise.app import tee_telling as telling
from rimwise.app.solving import Question, Solved, kept_telling, solve
from rimwise.course.frame import LocalFrame
from rimwise.course.geometry import PENALTY_BITS, areas_near
from rimwise.course.raster import HoleFrame
from rimwise.decide.advice import Advice, Choice, advise, lie_at
from rimwise.decide.contours import contour_lines
from rimwise.decide.crossing import crossing, floating
from rimwise.decide.fresh import heights_at
from rimwise.decide.lattice import KIND_ON
from rimwise.decide.report import AreaShape
from rimwise.decide.rounds import Progress
from rimwise.decide.scenes import landing_outline
from rimwise.decide.solved import SolvedDay
from rimwise.decide.tee_report import Contour, GroundPoint, TeeChoice, TeeDay, TeeReport
from rimwise.errors import InputError
from rimwise.records.courses import Course, Hole
from rimwise.records.lie_words import OnMap, lie_in
from rimwise.records.words import Units, distance, joined, plural, sideways, wind_words
from rimwise.store.store import Store

__all__ = ["CAUTIONS", "advice_on", "tell_tee"]

Floats = NDArray[np.float64]

CAUTIONS = (
    "Before you throw: nobody in range, blind spots included. Posted course rules come first.",
    "Stop for lightning. Never wade, swim or step on ice for a disc.",
)
#: Worths are looked at this far apart for the contours, drawn at every half stroke.
_GRID_M, _EVERY = 2.0, 0.5
#: Contours of so few points are spots.
_SPOT = 8
#: Ground of the picture around the hole.
_MARGIN_M = 35.0
#: The ground under a flight is looked at every so many metres.
_PROFILE_M = 2.0


def tell_tee(
    store: Store,
    ref: str,
    asked: Question,
    *,
    lie: str | None = None,
    day: str | None = None,
    progress: Progress = lambda _what, _share: None,
) -> TeeReport:
    """Say what to throw on a hole; solve it first when it is not on file.

    What is told of the tee is kept with the solved hole, so that it is there at once next time.

    Parameters
    ----------
    lie
        As in "60m 5L" or "54.12345, -2.34567"; the tee when not given.
    day
        Tell only of the kind of day whose name holds this.

    Raises
    ------
    RimwiseError
        When something is missing, there is no such hole, or the lie is no place to play from.
    """
    at = lie if lie is not None and lie.strip().lower() != "tee" else None
    if at is None:
        return _only(kept_telling(store, ref, asked, TeeReport, advice_on, progress), day)
    return _only(advice_on(solve(store, ref, asked, progress), lie=at), day)


def _only(report: TeeReport, day: str | None) -> TeeReport:
    if day is None:
        return report
    found = tuple(one for one in report.days if day.lower() in one.day.lower())
    if not found:
        names = joined([repr(one.day) for one in report.days], "and")
        raise InputError(f"{report.conditions} has no day like {day!r}; it has {names}.")
    return replace(report, days=found)


def advice_on(solved: Solved, *, lie: str | None = None) -> TeeReport:
    """Say what to throw from a lie of a solved hole."""
    hole, course = solved.hole.hole, solved.course
    x_m, y_m = (0.0, 0.0) if lie is None else _along_left(lie, hole, course, solved.units)
    at = lie_at(solved.hole.days[0], x_m, y_m)
    count = plural(len(solved.hole.fleet), "disc")
    where = "the tee"
    if x_m or y_m:
        where = f"{distance(x_m, solved.units)} out, {sideways(y_m, solved.units)} of the line"
        where = where.replace("straight of", "on")
    return TeeReport(
        headline=(
            f"Hole {hole.ref}, {distance(hole.length_m, solved.units)}, in "
            f"{solved.conditions.name}: what to throw from {where}, out of {count}."
        ),
        hole=hole.ref,
        course=course.name,
        conditions=solved.conditions.name,
        length_m=hole.length_m,
        elevation_change_m=hole.elevation_change_m,
        bearing_deg=HoleFrame.of(hole).bearing_deg if course.bearings_known else None,
        lie=(round(x_m, 2), round(y_m, 2)),
        kind=telling.kind_words(int(at[2])),
        discs=len(solved.hole.fleet),
        days=tuple(_day(solved, one, at) for one in solved.hole.days),
        areas=_areas(course, hole),
        attribution=course.attribution,
        cautions=CAUTIONS,
    )


def _along_left(lie: str, hole: Hole, course: Course, units: Units) -> tuple[float, float]:
    said = lie_in(lie, units)
    if not isinstance(said, OnMap):
        return said.along_m, said.left_m
    if course.origin_lat_deg is None or course.origin_lon_deg is None:
        raise InputError(
            f"course {course.name!r} is on no map, so a lie has to be given along the hole, as in "
            '"60m 5L".'
        )
    frame = LocalFrame(course.origin_lat_deg, course.origin_lon_deg)
    here = np.array([frame.to_local(said.lat_deg, said.lon_deg)])
    x_m, y_m = HoleFrame.of(hole).to_hole(here)[0]
    return float(x_m), float(y_m)


def _day(solved: Solved, one: SolvedDay, lie: Floats) -> TeeDay:
    hole, units = solved.hole, solved.units
    advice = advise(hole, one, lie)
    from_deg = math.degrees(one.problem.wind_rad) % 360.0
    first = advice.choices[0].line if advice.choices else None
    labels = [hole.fleet.labels[choice.line.disc] for choice in advice.choices]
    worth = hole.simulator.assume.lost_disc_strokes
    over = crossing(hole, one, lie) if first else None
    floats = floating(hole, one, lie, first) if first else None
    return TeeDay(
        day=one.day.name,
        share=one.share,
        wind=wind_words(one.day.wind.speed_m_s, from_deg, units),
        wind_m_s=one.day.wind.speed_m_s,
        wind_from_deg=from_deg,
        strokes=advice.strokes_to_finish,
        putt=telling.putt_words(advice),
        choices=tuple(_choice(solved, one, advice, choice) for choice in advice.choices),
        winds=telling.winds_words(advice, one, labels, units),
        over_water=telling.crossing_words(over, hole, units),
        floating=telling.floating_words(floats, hole, worth),
        contours=_contours(one),
        profile=_profile(one, lie, advice.choices),
    )


def _choice(solved: Solved, one: SolvedDay, advice: Advice, choice: Choice) -> TeeChoice:
    hole, units, lie = solved.hole, solved.units, advice.lie
    base = hole.simulator.bases[choice.line.base]
    basket_m = one.problem.ground.length_m
    away_m = math.hypot(basket_m - lie[0], lie[1])
    aside = choice.line.turn_rad - math.atan2(-lie[1], basket_m - lie[0])
    rise_m = float(choice.path_m[:, 2].max() - heights_at(one.problem, lie[None, :2])[0])
    styles = [str(skill.style) for skill in hole.simulator.thrower.styles]
    return TeeChoice(
        disc_id=hole.fleet.ids[choice.line.disc],
        disc_label=hole.fleet.labels[choice.line.disc],
        line=telling.line_words(base, choice.line.effort, rise_m, styles, units),
        aim=telling.aim_words(aside, away_m, units),
        landing=telling.landing_words(choice.rest_m, lie, basket_m, units),
        chances=telling.chances_words(choice),
        compared=telling.compared_words(choice),
        style=str(base.style),
        hyzer_deg=base.hyzer_deg,
        launch_deg=base.launch_deg,
        effort=choice.line.effort,
        aim_left_m=math.tan(float(np.clip(aside, -1.3, 1.3))) * away_m,
        strokes=choice.strokes,
        strokes_se=choice.strokes_se,
        better=choice.better,
        better_se=choice.better_se,
        putt_next=choice.putt_next,
        again=1.0 - choice.putt_next,
        penalty=choice.penalty,
        water=choice.water,
        trees=choice.trees,
        gone=choice.gone,
        path=_rounded(choice.path_m),
        dots=_rounded(choice.dots_m),
        outline=_rounded(landing_outline(choice.dots_m)),
    )


# -- for pictures ------------------------------------------------------------------------------


def _contours(one: SolvedDay) -> tuple[Contour, ...]:
    """Return lines of equal strokes-to-finish over the hole, on ground where one may lie."""
    from rimwise.decide._terrain import worth

    ground = one.problem.ground
    x = np.arange(-10.0, ground.length_m + 25.0, _GRID_M)
    y = np.arange(-40.0, 40.0 + _GRID_M, _GRID_M)
    places = np.column_stack([a.ravel() for a in np.meshgrid(x, y)])
    kinds = KIND_ON[ground.bits_at(places)]
    grid = np.column_stack([places, kinds.astype(np.float64)])
    out = np.empty((len(grid), 2))
    worth(one.problem.field(one.cost), np.ascontiguousarray(grid), out)
    values = out[:, 0].reshape(len(y), len(x))
    levels = np.arange(math.ceil(values.min() / _EVERY) * _EVERY, values.max(), _EVERY)
    found = []
    for level in levels.tolist():
        for line in contour_lines(values, level):
            points = np.column_stack([x[0] + _GRID_M * line[:, 0], y[0] + _GRID_M * line[:, 1]])
            found += [
                Contour(round(level, 2), _rounded(piece))
                for piece in _on_land(one, points)
                if len(piece) > _SPOT
            ]
    return tuple(found)


def _on_land(one: SolvedDay, points: Floats) -> list[Floats]:
    """Cut a line where nobody may lie."""
    off = np.flatnonzero(one.problem.ground.bits_at(points) & PENALTY_BITS)
    return [piece for piece in np.split(points, np.unique([*off, *(off + 1)])) if len(piece) > 1]


def _profile(one: SolvedDay, lie: Floats, choices: Sequence[Choice]) -> tuple[GroundPoint, ...]:
    """Return the ground below the first choice's flight, or straight to the basket."""
    basket = np.array([one.problem.ground.length_m, 0.0])
    path = choices[0].path_m[:, :2] if choices else np.vstack([lie[:2], basket])
    steps = np.hypot(*np.diff(path, axis=0).T)
    flown = np.concatenate([[0.0], np.cumsum(steps)])
    at = np.arange(0.0, flown[-1] + _PROFILE_M, _PROFILE_M)
    points = np.column_stack([np.interp(at, flown, path[:, c]) for c in (0, 1)])
    ground = one.problem.ground
    column = np.floor((points[:, 0] - ground.corner_m[0]) / ground.cell_m).astype(np.intp)
    row = np.floor((points[:, 1] - ground.corner_m[1]) / ground.cell_m).astype(np.intp)
    rows, columns = ground.canopy_m.shape
    inside = (row >= 0) & (row < rows) & (column >= 0) & (column < columns)
    canopy = np.zeros(len(points))
    canopy[inside] = ground.canopy_m[row[inside], column[inside]]
    heights = heights_at(one.problem, points)
    ahead = (basket - lie[:2]) / np.hypot(*(basket - lie[:2]))
    along = (points - lie[:2]) @ ahead
    return tuple(
        GroundPoint(round(float(a), 2), round(float(h), 2), round(float(c), 2))
        for a, h, c in zip(along, heights, canopy, strict=True)
    )


def _areas(course: Course, hole: Hole) -> tuple[AreaShape, ...]:
    if not course.bearings_known:
        return ()
    frame = HoleFrame.of(hole)

    def ring(points: Any) -> tuple[Any, ...]:
        return _rounded(frame.to_hole(np.asarray(points)))

    return tuple(
        AreaShape(str(area.kind), area.name, ring(area.ring), tuple(ring(o) for o in area.openings))
        for area in areas_near(course, hole, _MARGIN_M)
    )


def _rounded(points: Floats) -> tuple[Any, ...]:
    """Round to a centimetre: more digits would only swell the records."""
    return tuple(tuple(round(float(v), 2) for v in point) for point in points)
