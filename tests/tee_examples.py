"""An invented report from the tee, for tests of its picture and of the page."""

from __future__ import annotations

from dataclasses import replace

import picture_examples as examples
from rimwise.decide.tee_report import Contour, GroundPoint, TeeChoice, TeeDay, TeeReport

HOLE = examples.hole_line(0)


def choice(name: str, aside_m: float) -> TeeChoice:
    return TeeChoice(
        disc_id=name, disc_label=name, line="backhand, flat, low", aim="aim at the basket",
        landing="it ends 4 m short of the basket", chances="", compared="", style="backhand",
        hyzer_deg=0.0, launch_deg=10.0, effort=1.0, aim_left_m=0.0, strokes=2.9, strokes_se=0.01,
        better=None, better_se=None, putt_next=0.5, again=0.5, penalty=0.1, water=0.1, trees=0.0,
        gone=0.01,
        path=tuple((x, y + aside_m * x / HOLE.length_m, z) for x, y, z in HOLE.path),
        dots=tuple((x, y + aside_m) for x, y in HOLE.dots),
        outline=tuple((x, y + aside_m) for x, y in HOLE.outline),
    )  # fmt: skip


def day(count: int = 2) -> TeeDay:
    trees = [GroundPoint(x, 0.1 * x / HOLE.length_m, 9.0 if 20 < x < 40 else 0.0)
             for x in range(0, 70, 2)]  # fmt: skip
    ring = tuple((x, y) for x in (10.0, 11.0) for y in (-15.0, -5.0, 5.0, 15.0))
    return TeeDay(
        day="breezy", share=1.0, wind="light breeze 3 m/s from the left", wind_m_s=3.0,
        wind_from_deg=270.0, strokes=2.9, putt="", winds=(), over_water="", floating="",
        choices=tuple(choice(f"disc {n}", 9.0 * n) for n in range(count)),
        contours=(Contour(3.0, ring),), profile=tuple(trees),
    )  # fmt: skip


def report(lie: tuple[float, float] = (0.0, 0.0), **other: object) -> TeeReport:
    made = TeeReport(
        headline="", hole="1", course="c", conditions="winter", length_m=HOLE.length_m,
        elevation_change_m=0.1, bearing_deg=30.0, lie=lie, kind="", discs=3, days=(day(),),
        areas=HOLE.areas, attribution="\u00a9 a map", cautions=(),
    )  # fmt: skip
    return replace(made, **other)
