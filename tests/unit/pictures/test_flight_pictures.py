"""Flights are drawn where they flew, and their discs hang as they hung."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from reading import SVG, Window, parse, points, texts, windows

import picture_examples as examples
from rimwise.errors import InputError
from rimwise.flight.flights import Flight, Flights
from rimwise.pictures.attitude import disc_outline, mark_step_s, marks, shows_underside
from rimwise.pictures.flight import MOST_THROWS, TICK_PX, Cloud, cloud_svg, flight_svg
from rimwise.pictures.flight_text import flight_text

TWO = [("NH 27", examples.flight(92, 6)), ("OL 31", examples.flight(80, -14))]


def banked(left_down_deg: float) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    """Return the axis of a disc with its left edge down."""
    angle = math.radians(left_down_deg)
    return np.array([0.0, math.sin(angle), math.cos(angle)])


def hanging(left_down_deg: float) -> Flight:
    flight = examples.flight(60, 3)
    return replace(flight, axis=np.tile(banked(left_down_deg), (121, 1)))


def ticks(plan: Window) -> list[tuple[float, float]]:
    """Return the ticks as steps to the right and up the page, in pixels."""
    found = [points(p) for p in plan.own("polyline") if p.attrib["stroke-width"] == "1.4"]
    return [((b[0] - a[0]) / plan.px, (b[1] - a[1]) / plan.px) for a, b in found]


# -- the disc in the air ------------------------------------------------------------------


@pytest.mark.parametrize("bank", [-50.0, -20.0, 0.0, 35.0])
def test_the_outline_from_behind_is_a_tilted_edge(bank: float) -> None:
    """A disc of radius 1 banked by b is a line, cos b to either side and sin b up."""
    ring = disc_outline(banked(bank), "behind")
    assert ring[:, 0].max() == pytest.approx(math.cos(math.radians(bank)), abs=0.01)
    assert ring[:, 1].max() == pytest.approx(abs(math.sin(math.radians(bank))), abs=0.01)
    low = ring[int(np.argmin(ring[:, 1]))]
    assert bank == 0.0 or (low[0] < 0) == (bank > 0)  # the left of the view is the left


def test_the_outline_from_the_side_shows_the_nose_and_opens_with_the_bank() -> None:
    nose_up = np.array([-math.sin(0.2), 0.0, math.cos(0.2)])
    ring = disc_outline(nose_up, "side")
    front = ring[int(np.argmax(ring[:, 0]))]
    assert front == pytest.approx([math.cos(0.2), math.sin(0.2)], abs=0.01)
    open_ring = disc_outline(banked(40.0), "side")
    assert np.ptp(open_ring[:, 0]) == pytest.approx(2.0, abs=0.02)
    assert np.ptp(open_ring[:, 1]) == pytest.approx(2 * math.sin(math.radians(40)), abs=0.02)


def test_the_underside_shows_to_whoever_stands_below_it() -> None:
    assert shows_underside(banked(20.0), "side")  # seen from the right, the left edge is down
    assert not shows_underside(banked(-20.0), "side")
    assert shows_underside(np.array([0.3, 0.0, 0.95]), "behind")  # nose down
    assert not shows_underside(np.array([-0.3, 0.0, 0.95]), "behind")


@pytest.mark.parametrize(("hang_s", "step_s"), [(0.3, 0.05), (2.0, 0.25), (3.9, 0.5), (4.1, 1.0)])
def test_marks_lie_at_equal_times(hang_s: float, step_s: float) -> None:
    assert mark_step_s(hang_s) == step_s
    flight = replace(examples.flight(60, 3), hang_s=hang_s, time_s=np.linspace(0, hang_s, 121))
    places, axes = marks(flight, step_s)
    assert places[:, 0] == pytest.approx(60 * step_s / hang_s * np.arange(len(places)))
    assert hang_s - step_s * len(places) < 0.3 * step_s + 1e-9
    assert len(axes) == len(places)


# -- from above ---------------------------------------------------------------------------


def test_flights_keep_their_numbers_and_lie_where_they_flew() -> None:
    _, plan, side = windows(parse(flight_svg(TWO)))
    assert {"1  NH 27", "2  OL 31", "92 m, 6 m left, apex 8 m, 3.0 s"} <= set(texts(plan))
    assert "rests at 96 m, 7 m left" in texts(plan)
    lines = [points(p) for p in plan.own("polyline") if len(points(p)) > 50]
    for (_, flight), line in zip(TWO, lines, strict=True):
        assert line[-1][0] == pytest.approx(-flight.left_m, abs=0.01)
        assert line[-1][1] == pytest.approx(flight.range_m, abs=0.01)
    dashes = [p.attrib.get("stroke-dasharray") for p in plan.own("polyline")
              if len(points(p)) > 50]  # fmt: skip
    assert len(set(dashes)) == 2  # told apart without colour
    heights = [points(p) for p in side.own("polyline") if len(points(p)) > 50]
    assert max(z for _, z in heights[0]) == pytest.approx(TWO[0][1].apex_m, abs=0.01)


@pytest.mark.parametrize("bank", [-30.0, 10.0])
def test_ticks_point_to_the_low_side_and_grow_with_the_bank(bank: float) -> None:
    _, plan, _ = windows(parse(flight_svg([("x", hanging(bank))])))
    steps = ticks(plan)
    assert len(steps) >= 6
    for right, up in steps:
        assert right == pytest.approx(-TICK_PX * math.sin(math.radians(bank)), abs=0.2)
        assert up == pytest.approx(0.0, abs=0.2)


@pytest.mark.parametrize("bank", [-75.0, 75.0])
def test_ticks_of_a_steep_throw_stay_in_the_picture(bank: float) -> None:
    _, plan, _ = windows(parse(flight_svg([("x", hanging(bank))])))
    right = plan.left + plan.width
    for line in plan.own("polyline"):
        assert all(plan.left < x < right for x, _ in points(line))


def test_the_bank_is_said_in_words_for_those_who_do_not_see_it() -> None:
    desc = parse(flight_svg([("x", hanging(12.0))])).find(SVG + "desc")
    assert desc is not None
    assert "12° low on the left at release" in (desc.text or "")
    level = parse(flight_svg([("x", examples.flight(60, 3))])).find(SVG + "desc")
    assert level is not None
    assert "level at release, level at the top" in (level.text or "")


def test_first_touch_and_rest_are_two_marks_with_thin_dashes_between() -> None:
    flight = examples.flight(92, 6)
    _, plan, _ = windows(parse(flight_svg([("x", flight)])))
    (ground,) = [
        points(p) for p in plan.own("polyline") if p.attrib.get("stroke-dasharray") == "2 3"
    ]
    assert ground[0] == pytest.approx((-6.0, 92.0), abs=0.01)
    assert ground[-1] == pytest.approx((-7.0, 96.0), abs=0.01)
    assert "first touch" in texts(plan)
    skipped = replace(flight, ground_path_m=np.array([[92.0, 6.0, 0.0], [94.0, 9.0, 0.3]]))
    _, plan, side = windows(parse(flight_svg([("x", skipped)])))
    for window, middle in ((plan, (-9.0, 94.0)), (side, (94.0, 0.3))):
        (ground,) = [
            points(p) for p in window.own("polyline") if p.attrib.get("stroke-dasharray") == "2 3"
        ]
        assert any(p == pytest.approx(middle, abs=0.01) for p in ground)
    stuck = replace(flight, rest_m=flight.landing_m)
    _, plan, _ = windows(parse(flight_svg([("x", stuck)])))
    assert "first touch" not in texts(plan)


def test_numbers_at_rest_lie_on_no_rest_and_on_no_other_number() -> None:
    close = [(str(n), examples.flight(80 + n, 5 + n % 2)) for n in range(4)]
    for throws in (close, [close[0]] * 4):
        _, plan, _ = windows(parse(flight_svg(throws)))
        numbers = [texts(plan)[str(n)] for n in (1, 2, 3, 4)]
        rests = [(-float(f.rest_m[1]), float(f.rest_m[0])) for _, f in throws]
        for n, (x, base) in enumerate(numbers):
            y = base + 4 * plan.px
            others = [place for m, place in enumerate(numbers) if m != n]
            assert all(apart((x, base), other) > 9 * plan.px for other in others)
            assert all(apart((x, y), rest) > 9 * plan.px for rest in rests)


def apart(one: tuple[float, float], other: tuple[float, float]) -> float:
    return max(abs(one[0] - other[0]), abs(one[1] - other[1]))


# -- landing clouds -----------------------------------------------------------------------


def test_a_cloud_shows_fifty_dots_and_an_outline_around_eight_of_ten() -> None:
    rest = np.random.default_rng(4).normal((90.0, 5.0), (6.0, 3.0), (400, 2))
    cloud = Cloud(rest)
    _, plan, _ = windows(parse(flight_svg(TWO, clouds=[cloud])))
    circles = [c for c in plan.own("circle") if "stroke" not in c.attrib]
    assert len(circles) == 50
    ring = cloud.outline
    inside = sum(within(point, ring) for point in rest)
    assert inside / 400 == pytest.approx(0.8, abs=0.03)
    near, far = np.quantile(rest[:, 0], (0.1, 0.9))
    assert cloud.words("m")[0] == f"8 of 10 rest {near:.0f} to {far:.0f} m out"
    assert cloud.words("m")[1] == "8 of 10 from 9 m left to 1 m left"
    assert set(cloud.words("m")) <= set(texts(plan))


def within(point: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
           ring: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> bool:  # fmt: skip
    """Say whether a point lies in a convex ring: on one side of every edge."""
    edge, off = np.roll(ring, -1, axis=0) - ring, point - ring
    turn = edge[:, 0] * off[:, 1] - edge[:, 1] * off[:, 0]
    return bool((turn > 0).all() or (turn < 0).all())


def test_few_landings_have_no_outline() -> None:
    cloud = Cloud(np.array([[80.0, 1.0], [85.0, 2.0]]))
    assert len(cloud.outline) == 0
    _, plan, _ = windows(parse(flight_svg(TWO, clouds=[None, cloud])))
    assert len([c for c in plan.own("circle") if "stroke" not in c.attrib]) == 2


def many(count: int, points_kept: int) -> Flights:
    ends = np.column_stack([np.linspace(70, 90, count), np.linspace(-5, 9, count), np.zeros(count)])
    share = np.linspace(0.0, 1.0, points_kept)[None, :, None]
    still = np.zeros((count, 3))
    one = np.zeros(count)
    return Flights(
        landing_m=ends, rest_m=ends, landing_velocity_m_s=still, landing_axis=still,
        landing_spin_rad_s=one, apex_m=one, hang_s=one, leftmost_m=one, rightmost_m=one,
        landed=one == 0.0, path_m=ends[:, None, :] * share, path_axis=ends[:, None, :] * share,
        path_spin_rad_s=np.zeros((count, points_kept)),
    )  # fmt: skip


@pytest.mark.parametrize("points_kept", [0, 5])
def test_many_flights_show_where_they_rest(points_kept: int) -> None:
    flights = many(200, points_kept)
    (window,) = windows(parse(cloud_svg(flights)))
    paths = [points(p) for p in window.own("polyline") if len(points(p)) == 5]
    assert len(paths) == (12 if points_kept else 0)
    assert "50 of 200 throws at rest" in texts(window)
    assert "8 of 10 rest 72 to 88 m out" in texts(window)
    assert repr(flights) == (
        "Flights: 200; at rest 8 of 10 lie 72.0 to 88.0 m out, "
        "8 of 10 from 7.6 m left to 3.6 m right"
    )


# -- from the side ------------------------------------------------------------------------


def test_discs_from_behind_hang_as_they_hung_and_one_row_belongs_to_each_throw() -> None:
    _, _, side = windows(parse(flight_svg([("a", hanging(25.0)), ("b", hanging(-10.0))])))
    rings = [points(p) for p in side.own("polygon") if len(points(p)) == 28]
    behind = [ring for ring in rings if max(y for _, y in ring) < 0]
    tilts = []
    for ring in behind:
        (left, low), (right, high) = min(ring), max(ring)
        tilts.append(math.degrees(math.atan2(high - low, right - left)))
    rows = sorted({round(tilt) for tilt in tilts})
    assert rows == [-10, 25]


def test_the_discs_from_the_side_are_as_large_as_is_said() -> None:
    _, _, side = windows(parse(flight_svg([("x", hanging(0.0))])))
    (said,) = [text for text in texts(side) if "too large" in text]
    factor = float(said.split()[4])
    widths = [np.ptp([x for x, _ in points(p)]) for p in side.own("polygon")
              if len(points(p)) == 28 and max(y for _, y in points(p)) > 0]  # fmt: skip
    assert widths
    assert max(widths) == pytest.approx(0.212 * factor, rel=0.02)


def test_the_ground_rises_to_a_higher_landing() -> None:
    flight = examples.flight(60, 3)
    raised = np.array([0.0, 0.0, 4.0])
    up = replace(flight, landing_m=flight.landing_m + raised, rest_m=flight.rest_m + raised)
    _, _, side = windows(parse(flight_svg([("x", up)])))
    ground = points(next(iter(side.own("polyline"))))
    assert ground[1] == (0.0, 0.0)
    assert ground[2] == pytest.approx((60.0, 4.0))
    assert ground[3][1] == pytest.approx(4.0)


# -- what cannot be drawn -----------------------------------------------------------------


def test_no_flight_or_no_path_or_too_many_are_refused() -> None:
    with pytest.raises(InputError, match="at least one"):
        flight_svg([])
    with pytest.raises(InputError, match="at least one"):
        cloud_svg(many(0, 0))
    with pytest.raises(InputError, match=f"at most {MOST_THROWS} throws, but there are 6"):
        flight_svg(TWO * 3)
    bare = replace(examples.flight(50, 0), position_m=np.zeros((0, 3)))
    with pytest.raises(InputError, match="path=True"):
        flight_svg([("x", bare)])
    with pytest.raises(InputError, match="path=True"):
        flight_text([("x", bare)])
    with pytest.raises(InputError, match="width"):
        flight_text([("x", examples.flight(50, 0))], 5)
    with pytest.raises(InputError, match="units"):
        flight_svg([("x", examples.flight(50, 0))], "yd")  # type: ignore[arg-type]


# -- for the terminal ---------------------------------------------------------------------


def test_several_throws_in_the_terminal_end_at_their_numbers() -> None:
    lines = flight_text(TWO, 72).splitlines()
    (_, first), (_, second) = place(lines, "1"), place(lines, "2")
    (tee,) = {line.index("o") for line in lines if "│o" in line}
    assert (first - tee) / (second - tee) == pytest.approx(96 / 84, rel=0.03)
    assert place(lines, "1")[0] < place(lines, "2")[0]  # left is up


def place(lines: list[str], mark: str) -> tuple[int, int]:
    """Return row and column of a mark right of the axis."""
    (found,) = [
        (r, line.index(mark, line.index("│")))
        for r, line in enumerate(lines)
        if "│" in line and mark in line.partition("│")[2]
    ]
    return found


@pytest.mark.parametrize("braille", [True, False])
@pytest.mark.parametrize(("range_m", "left_m"), [(92, 14), (84, -12), (30, 9)])
def test_the_terminal_drawing_has_left_up_and_one_scale(
    range_m: float, left_m: float, braille: bool
) -> None:
    flight = examples.flight(range_m, left_m)
    text = flight_text([("NH 27", flight)], 72, braille=braille)
    lines = text.splitlines()
    assert max(len(line) for line in lines[:-1]) <= 72 + 8  # a number may stand out at the end
    tee, rest = place(lines, "o"), place(lines, "X")
    cell_m = float(flight.rest_m[0]) / (rest[1] - tee[1])
    up_m = (tee[0] - rest[0]) * 2 * cell_m  # a cell is twice as high as wide
    assert up_m == pytest.approx(float(flight.rest_m[1]), abs=2 * cell_m)
    assert f"{range_m} m, {abs(left_m)} m {'left' if left_m > 0 else 'right'}" in lines[-1]
    # The ruler: the mark of 10 or 20 m stands over the column of that distance.
    ruler, numbers = lines[-3], lines[-2]
    second = [c for c, mark in enumerate(ruler) if mark == "┴"][1]
    step_m = float(numbers[second:].split()[0])
    assert (second - tee[1]) * cell_m == pytest.approx(step_m, abs=cell_m)
    drawn = sum(not (c.isascii() or c in "│└─┴") for c in text) if braille else text.count("*")
    assert drawn > 40
