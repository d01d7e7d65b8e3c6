"""The picture of choices shows each of them where it is, and says it all in words."""

from __future__ import annotations

import pytest
from reading import SVG, parse, points, texts, windows

from rimwise.pictures.tee import tee_svg
from tee_examples import HOLE, day, report


@pytest.mark.parametrize("count", [0, 1, 2, 3])
@pytest.mark.parametrize("units", ["m", "ft"])
def test_it_is_sound_and_says_every_choice(count: int, units: str) -> None:
    root = parse(tee_svg(report(), day(count), units))  # type: ignore[arg-type]
    said = root.find(SVG + "desc").text
    for n in range(count):
        assert f"Choice {n + 1}: disc {n}" in said
    assert "Wind: light breeze" in said
    plan, side = windows(root)[1:]
    paths = [len(points(line)) for line in plan.own("polyline")]
    assert paths.count(len(HOLE.path)) == count
    assert sum("apex" in words for words in texts(side)) == min(count, 1)


def test_each_choice_has_its_number_its_dots_and_its_path() -> None:
    _, plan, _ = windows(parse(tee_svg(report(), day(3))))
    at = texts(plan)
    assert {"1", "2", "3", "tee", "basket", "3.0"} <= set(at)
    lines = [points(line) for line in plan.own("polyline")]
    for one in day(3).choices:
        path = [(pytest.approx(-p[1], abs=0.006), pytest.approx(p[0], abs=0.006)) for p in one.path]
        assert path in lines
    dashes = {line.attrib.get("stroke-dasharray") for line in plan.own("polyline")}
    assert len(dashes) >= 3  # kinds of line, not colours alone


def test_the_number_stands_on_the_side_away_from_the_other_choice() -> None:
    _, plan, _ = windows(parse(tee_svg(report(), day(2))))
    circles = [c for c in plan.own("circle") if float(c.attrib["r"]) / plan.px > 8.0]
    first, second = sorted(circles, key=lambda c: float(c.attrib["cx"]), reverse=True)
    assert float(first.attrib["cx"]) > float(second.attrib["cx"])  # the second is 9 m left
    assert second.attrib["stroke"] != first.attrib["stroke"]


def test_the_side_view_shows_trees_over_the_ground() -> None:
    _, _, side = windows(parse(tee_svg(report(), day())))
    assert "trees to 9 m" in texts(side)
    assert any("apex" in words for words in texts(side))


def test_away_from_the_tee_it_says_where_you_stand() -> None:
    _, plan, side = windows(parse(tee_svg(report(lie=(50.0, 4.0)), day(1))))
    assert "you" in texts(plan)
    assert "you" in texts(side)


def test_where_only_the_length_is_known_there_is_no_north() -> None:
    _, plan, _ = windows(parse(tee_svg(report(bearing_deg=None, areas=()), day(1))))
    assert "N" not in texts(plan)
