"""Ladders: the discs of a role by where they finish sideways for this arm, in metres.

Left on the scale is the thrower's left. Rows run from the turn side to the fade side, which
side that is depends on the hand and is read off the discs themselves.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Sequence

import numpy as np

from rimwise.decide.report import DiscLine, WideStep
from rimwise.pictures.svg import Paint, Scene, fitted, text_width_px
from rimwise.records.words import (
    METRES_PER_FOOT,
    Units,
    check_units,
    distance,
    in_units,
    short_side,
    sideways_give_or_take,
)

__all__ = ["fade_is_left", "ladder_svg", "rung_notes"]

WIDTH_PX, ROW_PX, NOTE_PX, HEAD_PX, FOOT_PX, EDGE_PX = 350.0, 38.0, 14.0, 42.0, 8.0, 12.0
#: Height of a missing rung.
GAP_PX = 26.0

#: Discs that finish and reach within these of each other are one rung.
SAME_FINISH_M, SAME_REACH_M = 2.0, 6.0


def ladder_svg(
    discs: Sequence[DiscLine],
    carried: Collection[str],
    *,
    fade_left: bool,
    units: Units = "m",
    prefix: str = "ladder",
    wide: Sequence[WideStep] = (),
) -> str:
    """Draw the ladder of one role.

    Parameters
    ----------
    discs
        The discs of the role, carried or not; at least one.
    carried
        Ids of the discs that go: drawn filled, the others hollow.
    fade_left
        Whether fade is to the thrower's left (see :func:`fade_is_left`).
    wide
        Rungs that the carry lacks; those of other roles are passed over.
    """
    check_units(units)
    order = sorted(discs, key=lambda d: (d.finish_left_m * (1 if fade_left else -1), d.disc_id))
    notes = rung_notes(order, carried)
    role = order[0].role
    names = [_name(disc, units) for disc in order]
    below = [
        NOTE_PX if _too_long(name, note) else 0.0 for name, note in zip(names, notes, strict=True)
    ]
    gaps = {step.above: step for step in wide if step.above in {disc.disc_id for disc in order}}
    height = HEAD_PX + ROW_PX * len(order) + sum(below) + GAP_PX * len(gaps) + FOOT_PX
    scene = Scene(
        prefix,
        f"Ladder: {role}",
        _words(order, carried, notes, tuple(gaps.values()), units),
        0.0,
        WIDTH_PX,
        0.0,
        height,
        WIDTH_PX,
    )
    low = min([0.0, *(d.finish_low_m for d in order)])
    high = max([0.0, *(d.finish_high_m for d in order)])
    span = max(high - low, 4.0)

    def across(left_m: float) -> float:
        return EDGE_PX + (high - left_m) / span * (WIDTH_PX - 2 * EDGE_PX)

    _draw_scale(scene, (high - span, high), across, units, fade_left=fade_left)
    base = height - HEAD_PX
    finish_m = {disc.disc_id: disc.finish_left_m for disc in order}
    for disc, name, note, extra in zip(order, names, notes, below, strict=True):
        if disc.disc_id in gaps:
            base -= GAP_PX
            step = gaps[disc.disc_id]
            ends = across(finish_m[step.below]), across(disc.finish_left_m)
            _draw_gap(scene, ends, base, distance(step.step_m, units))
        base -= ROW_PX + extra
        _draw_rung(scene, disc, across, base, goes=disc.disc_id in carried)
        up = base + 22 + extra
        scene.text(EDGE_PX, up, name, size_px=12, bold=disc.disc_id in carried)
        if extra:
            scene.text(EDGE_PX, base + 21, note, size_px=11, paint="quiet")
        elif note:
            edge = WIDTH_PX - EDGE_PX
            scene.text(edge, up, note, size_px=11, anchor="end", paint="quiet")
    return scene.render()


def _name(disc: DiscLine, units: Units) -> str:
    """Return name and reach; a long name gives way to the reach."""
    reach = f" · {distance(disc.reach_m, units)}"
    room = WIDTH_PX - 2 * EDGE_PX - text_width_px(reach, 13)
    return fitted(disc.label, 13, room) + reach


def _too_long(name: str, note: str) -> bool:
    """Whether name and note need a line each."""
    wide = text_width_px(name, 13) + text_width_px(note, 11)
    return bool(note) and wide > WIDTH_PX - 2 * EDGE_PX


def _draw_rung(
    scene: Scene, disc: DiscLine, across: Callable[[float], float], base: float, *, goes: bool
) -> None:
    ends = [(across(disc.finish_high_m), base + 10), (across(disc.finish_low_m), base + 10)]
    scene.line(ends, Paint("ink" if goes else "quiet", "none", 2.0 if goes else 1.0))
    dot = Paint("ink", "ink" if goes else "paper", 1.6)
    scene.circle(across(disc.finish_left_m), base + 10, 5.0, dot)


def _draw_gap(scene: Scene, ends: tuple[float, float], base: float, step: str) -> None:
    """Draw where a rung is missing: between its neighbours, with nothing on it."""
    level, middle = base + 6, 0.5 * sum(ends)
    scene.line([(ends[0], level), (ends[1], level)], Paint("quiet", "none", 1.2, dash_px=(2, 4)))
    for x in ends:
        scene.line([(x, level - 4), (x, level + 4)], Paint("quiet", "none", 1.2))
    said = f"no rung for {step}"
    half = 0.5 * text_width_px(said, 11)
    at = min(max(middle, EDGE_PX + half), WIDTH_PX - EDGE_PX - half)
    scene.text(at, level + 5, said, size_px=11, anchor="middle", paint="quiet")


def fade_is_left(discs: Sequence[DiscLine]) -> bool:
    """Tell the side of fade from the discs: the more stable ones finish on it.

    A right-hander's backhand fades left. With fewer than two discs there is nothing to tell,
    and left is assumed.
    """
    if len(discs) < 2:
        return True
    stability = np.array([d.numbers_for_you[2] + d.numbers_for_you[3] for d in discs])
    finish = np.array([d.finish_left_m for d in discs])
    return float((stability - stability.mean()) @ (finish - finish.mean())) >= 0.0


def rung_notes(order: Sequence[DiscLine], carried: Collection[str]) -> tuple[str, ...]:
    """Say for each disc which other carried disc stands on its rung, if one does."""
    return tuple(_note(disc, order, carried) for disc in order)


def _note(disc: DiscLine, order: Sequence[DiscLine], carried: Collection[str]) -> str:
    beside = [
        other
        for other in order
        if other.disc_id != disc.disc_id
        and other.disc_id in carried
        and abs(other.finish_left_m - disc.finish_left_m) <= SAME_FINISH_M
        and abs(other.reach_m - disc.reach_m) <= SAME_REACH_M
    ]
    if not beside:
        return ""
    nearest = min(beside, key=lambda o: (abs(o.finish_left_m - disc.finish_left_m), o.disc_id))
    name = f"{nearest.mold} {nearest.colour}".strip()
    name = fitted(name, 11, WIDTH_PX - 120)
    return f"doubled: {name}" if disc.disc_id in carried else f"same rung as {name}"


def _draw_scale(
    scene: Scene,
    ends_m: tuple[float, float],
    across: Callable[[float], float],
    units: Units,
    *,
    fade_left: bool,
) -> None:
    low, high = ends_m
    unit_m = 1.0 if units == "m" else METRES_PER_FOOT
    step = next(s for s in (2, 5, 10, 20, 50, 100) if (high - low) / (s * unit_m) <= 7)
    top = scene.top - HEAD_PX + 4
    first, last = math.ceil(low / (step * unit_m)), math.floor(high / (step * unit_m))
    for tick in range(first, last + 1):
        left_m = tick * step * unit_m
        x = across(left_m)
        paint = Paint("ink", "none", 1.2) if tick == 0 else Paint("faint", "none", 0.7)
        scene.line(((x, FOOT_PX), (x, top)), paint)
        label = short_side(left_m, units) if tick in (0, first, last) else _bare(left_m, units)
        edge = 22.0
        x = min(max(x, edge), WIDTH_PX - edge)
        scene.text(x, top + 5, label, size_px=11, anchor="middle", halo=False)
    sides = ("fade side", "turn side") if fade_left else ("turn side", "fade side")
    high_px = scene.top - 13
    scene.text(EDGE_PX, high_px, f"← left, {sides[0]}", size_px=11, bold=True, halo=False)
    right = f"right, {sides[1]} →"
    scene.text(WIDTH_PX - EDGE_PX, high_px, right, size_px=11, anchor="end", bold=True, halo=False)
    scene.text(WIDTH_PX / 2, high_px, units, size_px=11, anchor="middle", paint="quiet", halo=False)


def _bare(left_m: float, units: Units) -> str:
    return f"{abs(in_units(left_m, units)):.0f}"


def _words(
    order: Sequence[DiscLine],
    carried: Collection[str],
    notes: Sequence[str],
    wide: Sequence[WideStep],
    units: Units,
) -> str:
    labels = {disc.disc_id: disc.label for disc in order}
    lacks = "".join(
        f" From {labels[step.below]} to {labels[step.above]} a rung is missing: they finish "
        f"{distance(step.step_m, units)} apart, others {distance(step.usual_m, units)}."
        for step in wide
    )
    told = []
    for disc, note in zip(order, notes, strict=True):
        spread = (disc.finish_high_m - disc.finish_low_m) / 2
        goes = "goes" if disc.disc_id in carried else "stays home"
        also = f", {note}" if note else ""
        finish = sideways_give_or_take(disc.finish_left_m, spread, units)
        told.append(f"{disc.label} ({goes}{also}): {finish}")
    return f"From the turn side to the fade side, flat and full: {'; '.join(told)}.{lacks}"
