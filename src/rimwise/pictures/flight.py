"""Throws from above and from the side in real metres, with how the disc hangs in the air.

From above, short ticks along the path point to the side that hangs low. From the side, the
disc itself is drawn, too large by a stated factor, and below it as the thrower sees it from
behind. Equal times lie between all of these.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from rimwise.decide.scenes import DOTS, landing_outline
from rimwise.errors import InputError
from rimwise.flight.flights import Flight, Flights
from rimwise.pictures.attitude import disc_outline, mark_step_s, marks, shows_underside
from rimwise.pictures.svg import Paint, Scene, fitted, stack, text_width_px
from rimwise.records.words import Units, check_units, distance, number, sideways

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

__all__ = ["MOST_THROWS", "Cloud", "Named", "check_throws", "cloud_svg", "flight_svg", "told"]

WIDTH_PX = 350.0
LEAST_WIDE = 0.6
LEAST_WINDOW_M = 12.0
ROW_PX = 15.5
SMALL_PX = 11.5
#: Length of a tick on a disc that stands on edge.
TICK_PX = 44.0
#: A disc from the side is drawn about this wide, from behind exactly this wide.
SIDE_DISC_PX, BEHIND_DISC_PX = 20.0, 22.0
STRIP_ROW_PX = 22.0
#: More throws than this leave no room for discs along the paths.
MOST_WITH_DISCS = 2
DISC_RADIUS_M = 0.106
#: An outline needs this many landings.
LEAST_OUTLINED = 8
MOST_PATHS = 12

#: Paint and dashes of the throws in turn; the dashes alone tell them apart in black and white.
_LINES = (
    ("one", ()),
    ("two", (9.0, 4.0)),
    ("three", (2.0, 5.0)),
    ("four", (12.0, 3.0, 2.0, 3.0)),
    ("five", (5.0, 5.0)),
)
#: As many throws as lines can be told apart.
MOST_THROWS = len(_LINES)

Named = tuple[str, Flight]


@dataclass(frozen=True, slots=True, eq=False)
class Cloud:
    """Where many throws of one line came to rest.

    ``rest_m`` (N, 2 or more): metres out and left, as in the throw frame.
    """

    rest_m: Floats

    @property
    def dots(self) -> Floats:
        """At most fifty landings, evenly picked, (dots, 2)."""
        count = len(self.rest_m)
        picked = np.linspace(0, count - 1, min(DOTS, count)).round().astype(int)
        return np.asarray(self.rest_m[picked, :2])

    @property
    def outline(self) -> Floats:
        """What holds 8 of 10 landings, (corners, 2); nothing around too few."""
        if len(self.rest_m) < LEAST_OUTLINED:
            return np.empty((0, 2))
        return landing_outline(self.rest_m[:, :2])

    def words(self, units: Units) -> tuple[str, str]:
        """Say how far out 8 of 10 come to rest, and between which sides 8 of 10 do."""
        near, far = np.quantile(self.rest_m[:, 0], (0.1, 0.9)).tolist()
        right, left = np.quantile(self.rest_m[:, 1], (0.1, 0.9)).tolist()
        return (
            f"8 of 10 rest {distance(near, units).split(' ')[0]} to {distance(far, units)} out",
            f"8 of 10 from {sideways(left, units)} to {sideways(right, units)}",
        )


def flight_svg(
    throws: Sequence[Named],
    units: Units = "m",
    *,
    clouds: Sequence[Cloud | None] = (),
    prefix: str = "flight",
) -> str:
    """Draw throws over each other from above and from the side, with their numbers in a key.

    Parameters
    ----------
    throws
        Pairs (name, flight), flown with their path; one to five.
    units
        "m" or "ft" for everything written; the drawing itself is in metres.
    clouds
        Landing clouds of the throws in the same order; ``None`` or nothing for none.
    prefix
        Start of the ids; give each picture on a page its own.

    Raises
    ------
    InputError
        When there is no flight, one has no path, or there are too many to tell apart.
    """
    check_units(units)
    check_throws(throws)
    if len(throws) > MOST_THROWS:
        raise InputError(
            f"a picture holds at most {MOST_THROWS} throws, but there are {len(throws)}."
        )
    padded = [*clouds, *[None] * len(throws)][: len(throws)]
    drawn = [
        _Throw(n, name, flight, cloud)
        for n, ((name, flight), cloud) in enumerate(zip(throws, padded, strict=True))
    ]
    step_s = mark_step_s(max(flight.hang_s for _, flight in throws))
    plan = _plan(drawn, step_s, units, f"{prefix}-plan")
    side = _side(drawn, step_s, units, f"{prefix}-side")
    title = "Flight from above and from the side"
    if len(throws) > 1:
        title = f"{len(throws)} flights over each other from above and from the side"
    return stack(prefix, title, _desc(drawn, units), (plan, side))


def check_throws(throws: Sequence[Named]) -> None:
    """Refuse what cannot be drawn.

    Raises
    ------
    InputError
        When there is no flight or one has no path.
    """
    if not throws:
        raise InputError("there is no flight to draw; give at least one.")
    for name, flight in throws:
        if len(flight.position_m) < 2:
            raise InputError(f"the flight of {name} has no path to draw; fly it with path=True.")


def told(flight: Flight, units: Units) -> str:
    """Say where a flight comes down, how high it went and how long."""
    return (
        f"{distance(flight.range_m, units)}, {sideways(flight.left_m, units)}, "
        f"apex {distance(flight.apex_m, units)}, {flight.hang_s:.1f} s"
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Throw:
    """A throw with its place among the others."""

    n: int
    name: str
    flight: Flight
    cloud: Cloud | None = None

    @property
    def stroke(self) -> str:
        return _LINES[self.n % MOST_THROWS][0]

    @property
    def line(self) -> Paint:
        stroke, dashes = _LINES[self.n % MOST_THROWS]
        return Paint(stroke, "none", 2.2, dashes)

    @property
    def ground_m(self) -> Floats:
        """Points from first touch to rest, (points, 3); only one where it stays put."""
        flight = self.flight
        if not flight.played_on:
            return flight.landing_m[None]
        return np.vstack([flight.landing_m, flight.ground_path_m, flight.rest_m])

    @property
    def top_m(self) -> Floats:
        path = self.flight.position_m
        return np.asarray(path[int(np.argmax(path[:, 2]))])

    def rows(self, units: Units) -> list[str]:
        """Say the numbers of the key, one short line each."""
        flight = self.flight
        lines = [told(flight, units)]
        if flight.played_on:
            rest = flight.rest_m.tolist()
            lines.append(f"rests at {distance(rest[0], units)}, {sideways(rest[1], units)}")
        if self.cloud is not None:
            lines += self.cloud.words(units)
        return lines


def _desc(throws: Sequence[_Throw], units: Units) -> str:
    parts = ["The tee is at the bottom, left is the thrower's left."]
    for throw in throws:
        first, *more = throw.rows(units)
        parts.append(f"{throw.name}: first touch {'; '.join([first, *more])}.")
        parts.append(_bank_words(throw.flight))
    return " ".join(parts)


def _bank_words(flight: Flight) -> str:
    """Say how the disc hangs at release, at the top and at first touch."""
    top = int(np.argmax(flight.position_m[:, 2]))
    moments = (("at release", 0), ("at the top", top), ("at first touch", -1))
    return (
        f"The disc hangs {', '.join(f'{_low_side(flight.axis[i])} {when}' for when, i in moments)}."
    )


def _low_side(axis: Floats) -> str:
    """Say how far a disc is banked as seen from behind, and to which side it hangs low."""
    bank = round(float(np.degrees(np.arctan2(axis[1], axis[2]))))
    if bank == 0:
        return "level"
    return f"{abs(bank)}° low on the {'left' if bank > 0 else 'right'}"


# -- from above ---------------------------------------------------------------------------


def _plan(throws: Sequence[_Throw], step_s: float, units: Units, prefix: str) -> Scene:
    """Draw from above; scene x is to the thrower's right, y down the aim line."""
    places = [throw.flight.position_m[:, :2] for throw in throws]
    places += [throw.ground_m[:, :2] for throw in throws]
    for cloud in (throw.cloud for throw in throws if throw.cloud is not None):
        places += [cloud.dots, cloud.outline]
    rows = sum(1.15 + len(throw.rows(units)) for throw in throws)
    strip_px = 78.0 + ROW_PX * rows
    first = _ground_window(np.concatenate(places), strip_px, prefix)
    places += [_tick_ends(throw, step_s, first.px) for throw in throws]
    scene = _ground_window(np.concatenate(places), strip_px, prefix)
    for throw in throws:
        if throw.cloud is not None:
            _draw_cloud(scene, throw.cloud, throw.stroke, throw.line.dash_px)
    for throw in throws:
        _draw_above(scene, throw, step_s)
    if len(throws) > 1:
        _number_ends(scene, throws)
    _draw_tee(scene)
    _legend(scene, throws, step_s, units, scene.bottom + strip_px * scene.px)
    return scene


def _ground_window(places: Floats, strip_px: float, prefix: str) -> Scene:
    """Open a scene that shows these places (out, left) and the tee, with a strip below."""
    every = np.vstack([places, np.zeros((1, 2))])
    low, high = every.min(axis=0), every.max(axis=0)
    margin = max(0.08 * float(high[0] - low[0]), 1.5)
    bottom, top = float(low[0]) - margin, float(high[0]) + margin
    wide = max(float(high[1] - low[1]) + 2 * margin, LEAST_WIDE * (top - bottom), LEAST_WINDOW_M)
    middle = -float(high[1] + low[1]) / 2
    left, right = middle - wide / 2, middle + wide / 2
    px = wide / WIDTH_PX
    scene = Scene(prefix, "From above", "", left, right, bottom - strip_px * px, top, WIDTH_PX)
    scene.box(left, right, bottom, top, Paint())
    scene.line(((0.0, 0.0), (0.0, top - margin / 2)), Paint("faint", "none", 1.0, (2.0, 4.0)))
    return scene


def _tick_ends(throw: _Throw, step_s: float, px: float) -> Floats:
    places, axes = marks(throw.flight, step_s)
    return np.asarray(places[:, :2] + TICK_PX * px * axes[:, :2])


def _draw_tee(scene: Scene) -> None:
    px = scene.px
    scene.box(-4 * px, 4 * px, -10 * px, 0.0, Paint("ink", "paper", 1.6))
    scene.text(8 * px, -9 * px, "tee", bold=True)


def _draw_cloud(scene: Scene, cloud: Cloud, stroke: str, dash_px: tuple[float, ...] = ()) -> None:
    ring = [(-y, x) for x, y in cloud.outline.tolist()]
    if ring:
        scene.polygon(ring, Paint(stroke, stroke, 1.2, dash_px, fill_opacity=0.1))
    scene.dots([(-y, x) for x, y in cloud.dots.tolist()], 1.5, Paint("none", stroke))


def _draw_above(scene: Scene, throw: _Throw, step_s: float) -> None:
    places, _ = marks(throw.flight, step_s)
    ends = _tick_ends(throw, step_s, scene.px)
    for (x, y, _), (out, left) in zip(places.tolist(), ends.tolist(), strict=True):
        scene.line(((-y, x), (-left, out)), Paint(throw.stroke, "none", 1.4))
    scene.line([(-y, x) for x, y in throw.flight.position_m[:, :2].tolist()], throw.line)
    ground = throw.ground_m[:, :2]
    if len(ground) > 1:
        scene.line([(-y, x) for x, y in ground.tolist()], Paint(throw.stroke, "none", 1.2, (2, 3)))
    x, y, _ = throw.top_m.tolist()
    _draw_top(scene, -y, x, throw.stroke)
    _draw_ends(scene, [(-p[1], p[0]) for p in (ground[0], ground[-1])], throw)


def _draw_top(scene: Scene, x: float, y: float, stroke: str) -> None:
    px = scene.px
    corners = ((x - 5 * px, y - 4 * px), (x + 5 * px, y - 4 * px), (x, y + 5.5 * px))
    scene.polygon(corners, Paint(stroke, "paper", 1.6))


def _draw_ends(scene: Scene, ends: Sequence[tuple[float, float]], throw: _Throw) -> None:
    """Mark first touch with a cross and rest with a ring; the ring alone where it stays put."""
    if throw.flight.played_on:
        _draw_cross(scene, *ends[0], throw.stroke)
    x, y = ends[-1]
    scene.circle(x, y, 4 * scene.px, Paint(throw.stroke, "paper", 2.0))


def _draw_cross(scene: Scene, x: float, y: float, stroke: str) -> None:
    arm = 4 * scene.px
    for side in (-1, 1):
        corner = (x - arm, y - side * arm), (x + arm, y + side * arm)
        scene.line(corner, Paint(stroke, "none", 1.8))


def _number_ends(scene: Scene, throws: Sequence[_Throw]) -> None:
    """Write each throw's number beside its rest, off the other rests and numbers."""
    px = scene.px
    rests = [(-float(throw.flight.rest_m[1]), float(throw.flight.rest_m[0])) for throw in throws]
    taken: list[tuple[float, float]] = []
    for throw, (x, y) in zip(throws, rests, strict=True):
        places = [(x + right * px, y + up * px) for right, up in _NUMBER_PLACES]
        busy = [rest for rest in rests if rest != (x, y)] + taken
        free = (place for place in places if not _near(place, busy, px))
        place = next(free, places[0])
        taken.append(place)
        number_said = str(throw.n + 1)
        scene.text(place[0], place[1] - 4 * px, number_said, size_px=12, bold=True, anchor="middle")


#: Places for a number around a rest, to the right and up in pixels: nearest first.
_NUMBER_PLACES = tuple(
    (far * right, far * up)
    for far in (12.0, 22.0, 32.0)
    for right, up in ((1.0, 0.0), (-1.0, 0.0), (0.0, 1.1), (0.0, -1.1))
)


def _near(place: tuple[float, float], busy: Sequence[tuple[float, float]], px: float) -> bool:
    return any(abs(place[0] - x) < 10 * px and abs(place[1] - y) < 12 * px for x, y in busy)


def _legend(
    scene: Scene, throws: Sequence[_Throw], step_s: float, units: Units, top: float
) -> None:
    """Write scale, signs and the numbers of every throw below the ground."""
    px, left = scene.px, scene.left
    scene.scale_bar(left + 8 * px, top - 24 * px, 80, units)
    x = left + 122 * px
    said = (f"ticks, each {_seconds(step_s)}: to the side", "that hangs low, longer if steeper")
    for n, words in enumerate(said):
        scene.text(x, top - (15 + 14 * n) * px, words, size_px=SMALL_PX, halo=False)
    _signs(scene, throws, top - 52 * px)
    y = top - 78 * px
    for throw in throws:
        x = left + 8 * px
        scene.line(((x, y + 4 * px), (x + 26 * px, y + 4 * px)), throw.line)
        name = f"{throw.n + 1}  {throw.name}" if len(throws) > 1 else throw.name
        said_name = fitted(name, 13, WIDTH_PX - 50)
        scene.text(x + 34 * px, y, said_name, size_px=13, bold=True, halo=False)
        for words in throw.rows(units):
            y -= ROW_PX * px
            scene.text(x + 34 * px, y, words, size_px=SMALL_PX, halo=False)
        y -= 1.15 * ROW_PX * px


def _signs(scene: Scene, throws: Sequence[_Throw], y: float) -> None:
    """Explain the marks of the path."""
    px = scene.px
    x, middle = scene.left + 14 * px, y + 4 * px
    items = [("top", "highest"), ("rest", "at rest")]
    if any(throw.flight.played_on for throw in throws):
        items.insert(1, ("cross", "first touch"))
    if any(throw.cloud is not None for throw in throws):
        items.append(("ring", "8 of 10 rest"))
    for sign, words in items:
        if sign == "top":
            _draw_top(scene, x, middle, "ink")
        elif sign == "cross":
            _draw_cross(scene, x, middle, "ink")
        elif sign == "ring":
            scene.circle(x, middle, 6 * px, Paint("ink", "ink", 1.2, fill_opacity=0.1))
        else:
            scene.circle(x, middle, 4 * px, Paint("ink", "paper", 2.0))
        scene.text(x + 10 * px, y, words, size_px=SMALL_PX, halo=False)
        x += (26 + text_width_px(words, SMALL_PX)) * px


def _seconds(step_s: float) -> str:
    return f"{step_s:g} s"


# -- from the side ------------------------------------------------------------------------


def _side(throws: Sequence[_Throw], step_s: float, units: Units, prefix: str) -> Scene:
    """Draw height against distance down the aim line, equal axes; then the view from behind."""
    every = np.concatenate(
        [throw.flight.position_m[:, [0, 2]] for throw in throws]
        + [throw.ground_m[:, [0, 2]] for throw in throws]
        + [np.zeros((1, 2))]
    )
    low, high = every.min(axis=0), every.max(axis=0)
    margin = max(0.07 * float(high[0] - low[0]), 1.5)
    left, right = float(low[0]) - margin, float(high[0]) + margin
    px = (right - left) / WIDTH_PX
    strip_px = 18.0 + STRIP_ROW_PX * len(throws)
    under = float(low[1]) - 6 * px
    scene = Scene(
        prefix,
        "From the side",
        "",
        left,
        right,
        under - (strip_px + 42) * px,
        float(high[1]) + 30 * px,
        WIDTH_PX,
    )
    scene.line(_ground_line(throws, left, right), Paint(width_px=1.4))
    factor = _factor(px)
    for throw in throws:
        _draw_beside(scene, throw)
    if len(throws) <= MOST_WITH_DISCS:
        for throw in throws:
            _draw_discs(scene, throw, step_s, factor)
    _name_top(scene, throws, units)
    _behind_strip(scene, throws, step_s, under)
    _side_legend(scene, factor if len(throws) <= MOST_WITH_DISCS else None, units)
    return scene


def _ground_line(throws: Sequence[_Throw], left: float, right: float) -> list[tuple[float, float]]:
    """Draw the ground level at the tee and at the first landing, and straight between."""
    nearest = min(throws, key=lambda throw: throw.flight.range_m)
    x, z = nearest.flight.range_m, float(nearest.flight.landing_m[2])
    if abs(z) < 0.05 or x <= 0.0:
        return [(left, 0.0), (right, 0.0)]
    return [(left, 0.0), (0.0, 0.0), (x, z), (right, z)]


def _factor(px: float) -> float:
    """Return by how much discs are enlarged so that they are about ``SIDE_DISC_PX`` wide."""
    wanted = SIDE_DISC_PX * px / (2 * DISC_RADIUS_M)
    steps = (1.0, 2.0, 3.0, 5.0, 7.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 75.0, 100.0)
    return min(steps, key=lambda step: abs(step - wanted))


def _draw_discs(scene: Scene, throw: _Throw, step_s: float, factor: float) -> None:
    """Draw the disc along its path, where the last one leaves room for it."""
    last: Floats | None = None
    for place, axis in zip(*marks(throw.flight, step_s), strict=True):
        middle = place[[0, 2]]
        if last is not None and np.hypot(*(middle - last)) < factor * DISC_RADIUS_M:
            continue
        last = middle
        ring = (middle + factor * DISC_RADIUS_M * disc_outline(axis, "side")).tolist()
        scene.polygon(ring, _disc_paint(throw, seen_below=shows_underside(axis, "side")))


def _disc_paint(throw: _Throw, *, seen_below: bool) -> Paint:
    if seen_below:
        return Paint(throw.stroke, throw.stroke, 1.3, fill_opacity=0.45)
    return Paint(throw.stroke, "paper", 1.3)


def _draw_beside(scene: Scene, throw: _Throw) -> None:
    scene.line(throw.flight.position_m[:, [0, 2]].tolist(), throw.line)
    ground = throw.ground_m[:, [0, 2]]
    if len(ground) > 1:
        scene.line(ground.tolist(), Paint(throw.stroke, "none", 1.2, (2, 3)))
    _draw_ends(scene, [tuple(ground[0].tolist()), tuple(ground[-1].tolist())], throw)


def _name_top(scene: Scene, throws: Sequence[_Throw], units: Units) -> None:
    """Mark every highest point and write the height of the highest."""
    px = scene.px
    for throw in throws:
        x, _, z = throw.top_m.tolist()
        _draw_top(scene, x, z, throw.stroke)
    x, _, z = max((throw.top_m for throw in throws), key=lambda top: float(top[2])).tolist()
    x = min(max(x, scene.left + 42 * px), scene.right - 42 * px)
    said = f"apex {distance(z, units)}"
    scene.text(x, z + 13 * px, said, bold=True, anchor="middle")


def _behind_strip(scene: Scene, throws: Sequence[_Throw], step_s: float, top: float) -> None:
    """Draw each disc as seen from behind, below its place in the view from the side."""
    px = scene.px
    said = f"the disc from behind, each {_seconds(step_s)}; filled: its underside"
    scene.text(scene.left + 8 * px, top - 14 * px, said, size_px=11, halo=False, paint="quiet")
    for row, throw in enumerate(throws):
        z = top - (18 + STRIP_ROW_PX * (row + 0.6)) * px
        free = scene.left + 3 * px
        if len(throws) > 1:
            right = scene.right - 6 * px
            scene.text(right, z - 4 * px, str(row + 1), bold=True, anchor="end", halo=False)
        half = BEHIND_DISC_PX / 2 * px
        for place, axis in zip(*marks(throw.flight, step_s), strict=True):
            x = max(float(place[0]), scene.left + half + 4 * px)
            if x - half < free or x + half > scene.right - 18 * px:
                continue
            ring = np.array([x, z]) + half * disc_outline(axis, "behind")
            below = shows_underside(axis, "behind")
            scene.polygon(ring.tolist(), _disc_paint(throw, seen_below=below))
            free = x + half


def _side_legend(scene: Scene, factor: float | None, units: Units) -> None:
    px, base = scene.px, scene.bottom + 10 * scene.px
    scene.scale_bar(scene.left + 8 * px, base, 95, units)
    said = "from the side, true to scale"
    if factor is not None and factor > 1.0:
        said = f"from the side; discs {number(factor)} times too large"
    right = scene.right - 6 * px
    scene.text(right, base - 4 * px, said, size_px=11, anchor="end", paint="quiet", halo=False)


# -- many throws --------------------------------------------------------------------------


def cloud_svg(flights: Flights, units: Units = "m", *, prefix: str = "cloud") -> str:
    """Draw where many flights came to rest, with at most a dozen of their paths, from above.

    Raises
    ------
    InputError
        When there is no flight.
    """
    check_units(units)
    if not len(flights):
        raise InputError("there is no flight to draw; give at least one.")
    cloud = Cloud(flights.rest_m)
    picked = np.linspace(0, len(flights) - 1, min(MOST_PATHS, len(flights))).round().astype(int)
    paths = flights.path_m[picked][:, :, :2]
    places = [cloud.dots, cloud.outline, paths.reshape(-1, 2)]
    scene = _ground_window(np.concatenate(places), 76.0, prefix)
    for path in paths.tolist():
        if path:
            scene.line([(-y, x) for x, y in path], Paint("quiet", "none", 0.8))
    _draw_cloud(scene, cloud, "accent")
    _draw_tee(scene)
    px, top = scene.px, scene.bottom + 76.0 * scene.px
    scene.scale_bar(scene.left + 8 * px, top - 24 * px, 95, units)
    shown = f"{len(cloud.dots)} of {len(flights)} throws at rest"
    scene.text(scene.left + 150 * px, top - 22 * px, shown, size_px=SMALL_PX, halo=False)
    said = cloud.words(units)
    for row, line in enumerate(said):
        y = top - (50 + ROW_PX * row) * px
        scene.text(scene.left + 8 * px, y, line, size_px=SMALL_PX, halo=False)
    scene.title = f"Where {len(flights)} throws come to rest"
    scene.desc = (
        "The tee is at the bottom, left is the thrower's left. "
        f"Of {len(flights)} throws, {said[0]}, {said[1]}."
    )
    return scene.render()
