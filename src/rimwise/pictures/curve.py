"""The how-many curve: strokes per round lost against the number of discs carried."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from rimwise.decide.report import CurvePoint, PlanReport
from rimwise.pictures.svg import Paint, Scene, coordinate, text_width_px
from rimwise.records.words import number, plural, strokes

__all__ = ["curve_svg"]

WIDTH_PX, HEIGHT_PX = 350.0, 244.0
LEFT_PX, RIGHT_PX, BOTTOM_PX, TOP_PX = 34.0, 340.0, 42.0, 214.0

XY = tuple[float, float]
Place = Callable[[float, float], XY]


def curve_svg(plan: PlanReport, *, prefix: str = "curve") -> str:
    """Draw what carrying fewer discs costs, with the flat part shaded and the carry marked.

    The band is give or take one standard error, as everywhere else.
    """
    points = sorted(plan.curve, key=lambda p: p.discs)
    carried = len(plan.chosen)
    scene = Scene(
        prefix,
        "Strokes per round lost, by number of discs carried",
        _words(plan, points),
        0.0,
        WIDTH_PX,
        0.0,
        HEIGHT_PX,
        WIDTH_PX,
    )
    most = max([p.lost + p.lost_se for p in points] + [plan.lost + plan.lost_se, 0.1])
    least = min([p.lost - p.lost_se for p in points] + [plan.lost - plan.lost_se, 0.0])
    first = min([p.discs for p in points] + [carried])
    last = max([p.discs for p in points] + [carried])

    def place(discs: float, lost: float) -> XY:
        across = (discs - first) / max(last - first, 1)
        up = (lost - least) / (most - least)
        return LEFT_PX + across * (RIGHT_PX - LEFT_PX), BOTTOM_PX + up * (TOP_PX - BOTTOM_PX)

    _draw_flat(scene, plan.flat_from, last, place)
    _draw_axes(scene, (first, last), (least, most), place)
    band = [place(p.discs, p.lost + p.lost_se) for p in points]
    band += [place(p.discs, p.lost - p.lost_se) for p in reversed(points)]
    scene.polygon(band, Paint("none", "accent", fill_opacity=0.22))
    scene.line([place(p.discs, p.lost) for p in points], Paint(width_px=2.2))
    scene.dots([place(p.discs, p.lost) for p in points], 2.2, Paint("none", "ink"))
    _mark_carry(scene, plan, place)
    return scene.render()


def _draw_flat(scene: Scene, flat_from: int, last: int, place: Place) -> None:
    left = place(flat_from, 0.0)[0]
    if left >= RIGHT_PX:
        return
    scene.box(left, place(last, 0.0)[0], BOTTOM_PX, TOP_PX, Paint("none", "shade"))
    scene.line(((left, BOTTOM_PX), (left, TOP_PX)), Paint("quiet", "none", 1.0, (3.0, 3.0)))
    said = f"flat from {plural(flat_from, 'disc')} on"
    at = min(left + 6, RIGHT_PX - text_width_px(said, 12))
    scene.text(at, TOP_PX - 16, said, size_px=12, halo=False)


def _draw_axes(
    scene: Scene, discs: tuple[int, int], lost: tuple[float, float], place: Place
) -> None:
    first, last = discs
    step = _step(lost[1])
    decimals = 0 if step >= 1 else 1 if step >= 0.1 else 2
    tick = 0.0
    while tick <= lost[1] + 1e-9:
        y = place(first, tick)[1]
        paint = Paint("ink") if tick == 0.0 else Paint("faint", "none", 0.7)
        scene.line(((LEFT_PX - 4, y), (RIGHT_PX, y)), paint)
        label = number(tick, decimals)
        scene.text(LEFT_PX - 8, y - 4, label, size_px=11, anchor="end", halo=False)
        tick += step
    every = 5 if last - first > 12 else 2 if last - first > 6 else 1
    marks = [d for d in range(first, last + 1) if d == first or d % every == 0]
    for count in marks:
        x = place(count, 0.0)[0]
        scene.line(((x, BOTTOM_PX), (x, BOTTOM_PX - 4)), Paint())
        label = coordinate(count)
        scene.text(x, BOTTOM_PX - 17, label, size_px=11, anchor="middle", halo=False)
    scene.text(RIGHT_PX, 6, "discs carried", size_px=11, anchor="end", halo=False)
    scene.text(4, HEIGHT_PX - 12, "strokes lost per round", size_px=11, halo=False)


def _step(most: float) -> float:
    """Return a tick step of 1, 2 or 5 times a power of ten, for about four ticks."""
    steps = [base * 10.0**power for power in range(-2, 3) for base in (1.0, 2.0, 5.0)]
    return next((step for step in steps if most / step <= 5.0), steps[-1])


def _mark_carry(scene: Scene, plan: PlanReport, place: Place) -> None:
    carried = len(plan.chosen)
    x, y = place(carried, plan.lost)
    scene.line(((x, y + 8), (x, y + 46)), Paint("accent", "none", 1.6))
    scene.circle(x, y, 5.5, Paint("accent", "paper", 2.4))
    said = f"your {carried}"
    wide = text_width_px(said, 13)
    at = min(max(x, LEFT_PX + wide / 2), RIGHT_PX - wide / 2)
    scene.text(at, y + 52, said, size_px=13, bold=True, anchor="middle")


def _words(plan: PlanReport, points: Sequence[CurvePoint]) -> str:
    told = [f"with {p.discs}, {strokes(p.lost, p.lost_se)}" for p in points]
    return (
        f"Lost against carrying everything, per round: {'; '.join(told)}. "
        f"The curve is flat from {plural(plan.flat_from, 'disc')} on. The carry of "
        f"{len(plan.chosen)} loses {strokes(max(plan.lost, 0.0), plan.lost_se)}."
    )
