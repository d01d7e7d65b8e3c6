"""Who serves where: the ground around a basket, north up, with the disc that serves each part.

Each part has the number of its disc, in the order of how much it is thrown; the list under the
ground says which is which. Ground that is dear for its distance is hatched, and a heavy edge says
that a disc at home would do better.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rimwise.decide.serving import ServedGround, Territory
from rimwise.pictures.hole import draw_strip
from rimwise.pictures.svg import Paint, Scene, fitted, text_width_px
from rimwise.pictures.telling import Names
from rimwise.records.words import (
    Units,
    check_units,
    distance,
    joined,
    number,
)

__all__ = ["DEAR_STROKES", "serving_svg"]

WIDTH_PX, ROW_PX, STRIP_PX, SIZE_PX = 350.0, 17.0, 60.0, 11.0
#: Ground that costs so much more a throw than its distance does elsewhere is hatched.
DEAR_STROKES = 0.15
#: A disc at home that would save so much a round on a part gives it a heavy edge.
MISSED_STROKES = 0.01
_MARGIN_M = 14.0
#: A number stands where it has so much room.
_ROOM_PX = 5.0


@dataclass(frozen=True, slots=True)
class _Served:
    """What one disc serves."""

    disc: str
    parts: tuple[Territory, ...]

    @property
    def throws(self) -> float:
        return sum(part.throws for part in self.parts)

    def span(self, units: Units) -> str:
        near = distance(min(part.near_m for part in self.parts), units).split(" ")[0]
        far = distance(max(part.far_m for part in self.parts), units)
        return far if near == far.split(" ")[0] else f"{near} to {far}"

    def also(self, names: Names) -> str:
        """Say who would do as well on at least half of it."""
        beside: dict[str, float] = {}
        for part in self.parts:
            if part.also:
                beside[part.also] = beside.get(part.also, 0.0) + part.throws
        most = max(beside, key=lambda disc: beside[disc], default="")
        if not most or beside[most] < 0.5 * self.throws:
            return ""
        return names(most)


def serving_svg(
    ground: ServedGround, names: Names, units: Units = "m", *, prefix: str = "serving"
) -> str:
    """Draw the ground around a basket with the discs that serve it.

    Parameters
    ----------
    names
        What the discs are called.
    units
        "m" or "ft" for everything written; the drawing itself is in metres.
    """
    check_units(units)
    served = _by_disc(ground)
    xs = [x for part in ground.territories for ring in part.rings for x, _ in ring]
    ys = [y for part in ground.territories for ring in part.rings for _, y in ring]
    left, right = min([0.0, *xs]) - _MARGIN_M, max([0.0, *xs]) + _MARGIN_M
    low, high = min([0.0, *ys]) - _MARGIN_M, max([0.0, *ys]) + _MARGIN_M
    missing = max(0.8 * (high - low) - (right - left), 0.0)
    left, right = left - missing / 2, right + missing / 2
    px = (right - left) / WIDTH_PX
    marks = _marks(ground)
    rows = len(served) + len(marks)
    bottom = low - (STRIP_PX + ROW_PX * rows + 6.0) * px
    scene = Scene(
        prefix, f"Who serves where: {ground.day}", _words(ground, served, names, units),
        left, right, bottom, high, WIDTH_PX,
    )  # fmt: skip
    place = {one.disc: str(n) for n, one in enumerate(served, 1)}
    for part in ground.territories:
        _draw_part(scene, part)
    scene.dots([(x, y) for x, y, _ in ground.lies], 1.1, Paint("none", "quiet"))
    for part in ground.territories:
        if part.room_m < _ROOM_PX * px:
            continue
        base = part.at[1] - 0.35 * SIZE_PX * px
        scene.text(part.at[0], base, place[part.disc], size_px=SIZE_PX, anchor="middle", bold=True)
    scene.circle(0.0, 0.0, 5 * px, Paint("ink", "paper", 2.0))
    scene.dots(((0.0, 0.0),), 2.0, Paint("none", "ink"))
    scene.box(left, right, low, high, Paint("ink", "none", 1.0))
    draw_strip(
        scene, units, low, bearing_deg=0.0, wind_m_s=ground.wind_m_s,
        wind_from_deg=ground.wind_from_deg, wind_from=f"from {number(ground.wind_from_deg)}°",
    )  # fmt: skip
    y = low - (STRIP_PX + 8.0) * px
    for one in served:
        scene.text(left + 22 * px, y, place[one.disc], size_px=SIZE_PX, anchor="end", bold=True,
                   halo=False)  # fmt: skip
        does = f"{number(one.throws, 1)} throws, {one.span(units)}"
        room = WIDTH_PX - 44 - text_width_px(does, SIZE_PX)
        scene.text(left + 28 * px, y, fitted(names(one.disc), SIZE_PX, room), size_px=SIZE_PX,
                   halo=False)  # fmt: skip
        scene.text(right - 8 * px, y, does, size_px=SIZE_PX, anchor="end", halo=False)
        y -= ROW_PX * px
    for swatch, said in marks:
        box = (left + 8 * px, left + 22 * px, y - 2 * px, y + 9 * px)
        scene.box(*box, swatch if swatch is not None else Paint("quiet", scene.hatch("dear"), 0.8))
        scene.text(left + 28 * px, y, said, size_px=SIZE_PX, halo=False)
        y -= ROW_PX * px
    return scene.render()


def _by_disc(ground: ServedGround) -> tuple[_Served, ...]:
    """Return what every disc serves, the most thrown first."""
    parts: dict[str, list[Territory]] = {}
    for part in ground.territories:
        parts.setdefault(part.disc, []).append(part)
    served = [_Served(disc, tuple(mine)) for disc, mine in parts.items()]
    return tuple(sorted(served, key=lambda one: (-one.throws, one.disc)))


def _marks(ground: ServedGround) -> list[tuple[Paint | None, str]]:
    """Return the marks that are on the ground, with their words; ``None`` is the hatch."""
    found: list[tuple[Paint | None, str]] = []
    if any(part.dearer >= DEAR_STROKES for part in ground.territories):
        found.append((None, f"dear for its distance, {number(DEAR_STROKES, 2)} strokes or more"))
    if any(part.missed >= MISSED_STROKES for part in ground.territories):
        found.append((Paint("accent", "none", 2.4), "a disc at home would do better"))
    return found


def _draw_part(scene: Scene, part: Territory) -> None:
    scene.rings(part.rings, Paint("ink", "shade", 0.8))
    if part.dearer >= DEAR_STROKES:
        scene.rings(part.rings, Paint("none", scene.hatch("dear"), 0.0))
    if part.missed >= MISSED_STROKES:
        scene.rings(part.rings, Paint("accent", "none", 2.4))


def _words(ground: ServedGround, served: Sequence[_Served], names: Names, units: Units) -> str:
    """Say what the picture shows."""
    told = []
    for one in served:
        also = one.also(names)
        more = f"; {also} would do as well on most of it" if also else ""
        does = f"{number(one.throws, 1)} throws a round, {one.span(units)}"
        told.append(f"{names(one.disc)}: {does}{more}")
    said = f"Every lie of {ground.day} around one basket, north up. {'. '.join(told)}."
    dear = [part for part in ground.territories if part.dearer >= DEAR_STROKES]
    if dear:
        throws = sum(part.throws for part in dear)
        said += (
            f" {number(throws, 1)} throws a round come from ground that is dear for its distance."
        )
    missed = [part for part in ground.territories if part.missed >= MISSED_STROKES]
    if missed:
        where = joined([f"{distance(part.far_m, units)} out" for part in missed])
        said += f" A disc at home would do better {where}."
    return said
