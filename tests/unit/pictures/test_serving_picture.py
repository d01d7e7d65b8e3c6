"""The picture of who serves where shows numbers where discs serve, and says the same in words."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from reading import parse, texts, windows

import picture_examples as examples
from rimwise.decide.serving import ServedGround, Territory
from rimwise.pictures.serving import serving_svg
from rimwise.pictures.sheet import sheet_html
from rimwise.pictures.telling import Names


def _round(x: float, y: float, radius_m: float = 9.0) -> tuple[tuple[float, float], ...]:
    turns = [math.radians(a) for a in range(0, 360, 15)]
    return tuple((x + radius_m * math.cos(t), y + radius_m * math.sin(t)) for t in turns)


def _part(disc: str, x: float, y: float, throws: float, **more: object) -> Territory:
    far_m = math.hypot(x, y)
    plain = Territory(disc, "", (_round(x, y),), (x, y), 9.0, throws, far_m - 5.0, far_m, 0.0, 0.0)
    return replace(plain, **more)


PLAN = examples.plan_report(1)
ONE, TWO = PLAN.chosen[:2]
GROUND = ServedGround(
    "windy", 8.0, 270.0,
    (_part(ONE, 0.0, -80.0, 3.0), _part(TWO, 60.0, 10.0, 2.0), _part(ONE, -40.0, 30.0, 1.5)),
    ((0.0, -80.0, 3.0), (60.0, 10.0, 2.0), (-40.0, 30.0, 1.5)),
)  # fmt: skip


def _drawn(ground: ServedGround, units: str = "m"):
    svg = parse(serving_svg(ground, Names.of(PLAN), units))
    (window,) = windows(svg)
    return svg, window


def _numbers(window) -> list[tuple[str, float, float]]:
    return [
        (text.text, float(text.attrib["x"]), -float(text.attrib["y"]))
        for text in window.own("text")
        if text.attrib.get("text-anchor") == "middle" and text.text.isdigit()
        and text.attrib.get("font-weight") == "700"
    ]  # fmt: skip


def test_a_number_stands_on_each_part_in_the_order_of_throws() -> None:
    svg, window = _drawn(GROUND)
    found = _numbers(window)
    assert [number for number, _, _ in found] == ["1", "2", "1"]
    for (_, x, y), part in zip(found, GROUND.territories, strict=True):
        assert x == pytest.approx(part.at[0], abs=0.02)
        assert abs(y - part.at[1]) < 5.0
    said = texts(window)
    assert "4.5 throws, 45 to 80 m" in said  # its two parts together
    assert "from 270°" in said
    told = svg.find("{*}desc").text
    names = Names.of(PLAN)
    assert f"{names(ONE)}: 4.5 throws a round, 45 to 80 m" in told
    assert "dear" not in told
    assert "at home" not in told


def test_a_part_too_small_for_its_number_is_only_listed() -> None:
    small = replace(GROUND.territories[1], room_m=0.5)
    _, window = _drawn(replace(GROUND, territories=(*GROUND.territories[::2], small)))
    assert [number for number, _, _ in _numbers(window)] == ["1", "1"]
    assert "2.0 throws, 56 to 61 m" in texts(window)


def test_dear_ground_is_hatched_and_what_home_would_do_better_has_a_heavy_edge() -> None:
    plain, _ = _drawn(GROUND)
    worse = replace(GROUND.territories[0], dearer=0.2, missed=0.05)
    svg, window = _drawn(replace(GROUND, territories=(worse, *GROUND.territories[1:])))
    edges = [p for p in window.own("path") if p.attrib.get("stroke-width") == "2.4"]
    hatched = [p for p in window.own("path") if "dear" in p.attrib["fill"]]
    assert len(edges) == len(hatched) == 1
    said, before = texts(window), texts(windows(plain)[0])
    assert "a disc at home would do better" in said
    assert any("dear for its distance" in text for text in said)
    assert not any("dear" in text or "at home" in text for text in before)
    told = svg.find("{*}desc").text
    assert "3.0 throws a round come from ground that is dear" in told
    assert "A disc at home would do better 80 m out" in told


def test_whoever_would_do_as_well_is_told() -> None:
    also = tuple(replace(part, also=TWO) for part in GROUND.territories if part.disc == ONE)
    svg, _ = _drawn(replace(GROUND, territories=also))
    assert f"{Names.of(PLAN)(TWO)} would do as well on most of it" in svg.find("{*}desc").text


def test_feet_are_written_where_the_owner_thinks_in_them() -> None:
    _, window = _drawn(GROUND, "ft")
    assert "4.5 throws, 148 to 262 ft" in texts(window)
    still = replace(GROUND, wind_m_s=0.0)
    assert "wind: calm" in texts(_drawn(still)[1])


def test_the_sheet_shows_it_where_the_plan_has_it() -> None:
    assert "Who serves where" not in sheet_html(PLAN)
    page = sheet_html(replace(PLAN, ground=GROUND))
    assert "Who serves where" in page
    assert "laid around one basket" in page
