"""Scenes drawn to scale: equal axes by construction, y up, text and strokes in pixels.

A scene has one unit on both axes (metres, centimetres for a cart, pixels for a diagram). Its
``viewBox`` is in that unit, so nothing can be drawn out of proportion. Sizes of text, marks and
hatches are given in pixels at the scene's natural width.
"""

from __future__ import annotations

import html
import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from rimwise.errors import InputError, check_finite
from rimwise.pictures.palette import LIGHT
from rimwise.records.words import METRES_PER_FOOT, Units

__all__ = ["Paint", "Scene", "coordinate", "escape", "fitted", "key_rows", "stack", "text_width_px"]

XY = tuple[float, float]

#: Rough advance of a system sans-serif letter per font size; wide on purpose.
_LETTER = 0.56
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_SANS = "system-ui, -apple-system, 'Segoe UI', Roboto, 'Helvetica Neue', Arial, sans-serif"


def escape(text: str) -> str:
    """Make text safe inside an element or a quoted attribute.

    Characters that XML 1.0 (section 2.2) does not allow are left out.
    """
    return html.escape(_NOT_XML.sub("", text))


def coordinate(value: float) -> str:
    """Write a coordinate with two decimals at most and no trailing zeros."""
    text = f"{check_finite('coordinate', value):.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def text_width_px(text: str, size_px: float) -> float:
    """Return about how wide a line of text is drawn, rather too wide than too narrow."""
    return _LETTER * size_px * len(text)


def fitted(text: str, size_px: float, width_px: float) -> str:
    """Return the text, shortened with "…" where it is wider than there is room."""
    most = max(int(width_px / (_LETTER * size_px)), 2)
    return text if len(text) <= most else f"{text[: most - 1].rstrip()}…"


@dataclass(frozen=True, slots=True)
class Paint:
    """How an outline is drawn and filled.

    Parameters
    ----------
    stroke, fill
        Names from :data:`rimwise.pictures.palette.LIGHT`, a ``#rrggbb`` colour, a hatch
        ``url(#…)`` or "none".
    width_px, dash_px
        Width and dashes of the outline, which do not grow with the drawing.
    fill_opacity
        0 to 1.
    """

    stroke: str = "ink"
    fill: str = "none"
    width_px: float = 1.0
    dash_px: tuple[float, ...] = ()
    fill_opacity: float = 1.0

    def attributes(self) -> str:
        """Return the attributes; named paints also get a class that a page can restyle."""
        classes = [f"s-{self.stroke}"] if self.stroke in LIGHT else []
        classes += [f"f-{self.fill}"] if self.fill in LIGHT else []
        named = f' class="{" ".join(classes)}"' if classes else ""
        stroke = LIGHT.get(self.stroke, self.stroke)
        text = f'{named} fill="{LIGHT.get(self.fill, self.fill)}" stroke="{stroke}"'
        if self.stroke != "none":
            text += (
                f' stroke-width="{coordinate(self.width_px)}" vector-effect="non-scaling-stroke"'
                ' stroke-linejoin="round" stroke-linecap="round"'
            )
        if self.dash_px:
            text += f' stroke-dasharray="{" ".join(coordinate(d) for d in self.dash_px)}"'
        if self.fill_opacity < 1.0:
            text += f' fill-opacity="{coordinate(self.fill_opacity)}"'
        return text


@dataclass(slots=True)
class Scene:
    """A drawing in one unit on both axes, y up.

    Parameters
    ----------
    prefix
        Start of every id in the drawing; give each drawing on a page its own.
    title, desc
        What the picture is, and what it shows, for those who do not see it.
    left, right, bottom, top
        The window that is drawn, in the scene's unit.
    width_px
        Natural width of the drawing.
    """

    prefix: str
    title: str
    desc: str
    left: float
    right: float
    bottom: float
    top: float
    width_px: float = 350.0
    _parts: list[str] = field(default_factory=list)
    _patterns: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if not (self.right > self.left and self.top > self.bottom):
            raise InputError(
                f"a scene needs right > left and top > bottom, but has {self.left:g} to "
                f"{self.right:g} and {self.bottom:g} to {self.top:g}."
            )

    @property
    def px(self) -> float:
        """The scene's units in one pixel."""
        return (self.right - self.left) / self.width_px

    @property
    def height_px(self) -> float:
        """Natural height of the drawing."""
        return (self.top - self.bottom) / self.px

    # -- what can be drawn ----------------------------------------------------------------

    def line(self, points: Iterable[Sequence[float]], paint: Paint) -> None:
        """Draw an open line."""
        self._parts.append(f'<polyline points="{self._points(points)}"{paint.attributes()}/>')

    def polygon(self, points: Iterable[Sequence[float]], paint: Paint) -> None:
        """Draw a closed outline."""
        self._parts.append(f'<polygon points="{self._points(points)}"{paint.attributes()}/>')

    def rings(self, rings: Iterable[Iterable[Sequence[float]]], paint: Paint) -> None:
        """Draw an area with openings; which ring is inside which follows from the even-odd rule."""
        path = "".join(f"M{self._points(ring)}Z" for ring in rings)
        self._parts.append(f'<path d="{path}" fill-rule="evenodd"{paint.attributes()}/>')

    def box(self, left: float, right: float, bottom: float, top: float, paint: Paint) -> None:
        """Draw an upright rectangle."""
        self._parts.append(
            f'<rect x="{coordinate(left)}" y="{coordinate(-top)}" '
            f'width="{coordinate(right - left)}" height="{coordinate(top - bottom)}"'
            f"{paint.attributes()}/>"
        )

    def circle(self, x: float, y: float, radius: float, paint: Paint) -> None:
        """Draw a circle; the radius is in the scene's unit."""
        self._parts.append(
            f'<circle cx="{coordinate(x)}" cy="{coordinate(-y)}" r="{coordinate(radius)}"'
            f"{paint.attributes()}/>"
        )

    def dots(self, points: Iterable[Sequence[float]], radius_px: float, paint: Paint) -> None:
        """Draw many small discs of one paint."""
        radius = coordinate(max(radius_px * self.px, 0.01))
        drawn = "".join(
            f'<circle cx="{coordinate(p[0])}" cy="{coordinate(-p[1])}" r="{radius}"/>'
            for p in points
        )
        self._parts.append(f"<g{paint.attributes()}>{drawn}</g>")

    def text(
        self,
        x: float,
        y: float,
        text: str,
        *,
        size_px: float = 12.0,
        anchor: str = "start",
        paint: str = "ink",
        bold: bool = False,
        halo: bool = True,
    ) -> None:
        """Write one line; ``y`` is its baseline. The halo keeps it readable over lines."""
        weight = ' font-weight="700"' if bold else ""
        place = "" if anchor == "start" else f' text-anchor="{anchor}"'
        around = ""
        if halo:
            around = (
                f' stroke="{LIGHT["paper"]}" stroke-width="{coordinate(3.5 * self.px)}"'
                ' stroke-linejoin="round" paint-order="stroke"'
            )
        classes = f"f-{paint} s-paper" if halo else f"f-{paint}"
        self._parts.append(
            f'<text x="{coordinate(x)}" y="{coordinate(-y)}"'
            f' font-size="{coordinate(size_px * self.px)}"{weight}{place}{around}'
            f' class="{classes}" fill="{LIGHT[paint]}">{escape(text)}</text>'
        )

    def arrow(self, start: XY, end: XY, paint: Paint, *, head_px: float = 7.0) -> None:
        """Draw an arrow from ``start`` to ``end``."""
        self.line((start, end), paint)
        angle = math.atan2(end[1] - start[1], end[0] - start[0])
        size = head_px * self.px
        corners = [
            (end[0] - size * math.cos(angle + turn), end[1] - size * math.sin(angle + turn))
            for turn in (0.42, -0.42)
        ]
        self.polygon((end, *corners), Paint(paint.stroke, paint.stroke, 1.0))

    def hatch(self, kind: str) -> str:
        """Return the fill for a kind of area: water, wood, "out of bounds", dear, or another."""
        name = {"out of bounds": "out"}.get(kind, kind if kind in _HATCHES else "other")
        if name not in self._patterns:
            self._patterns[name] = self._pattern(name)
        return f"url(#{self.prefix}-{name})"

    def scale_bar(self, x: float, y: float, most_px: float, units: Units) -> None:
        """Draw a bar of a round number of metres or feet, its left end at (x, y).

        The scene's unit must be metres.
        """
        one_m = 1.0 if units == "m" else METRES_PER_FOOT
        length = _round_length(most_px * self.px / one_m)
        end, tick = x + length * one_m, 4.0 * self.px
        half = (x + end) / 2
        self.box(x, half, y - tick / 2, y + tick / 2, Paint("ink", "ink", 1.0))
        self.box(half, end, y - tick / 2, y + tick / 2, Paint("ink", "paper", 1.0))
        self.text(x, y + 6 * self.px, "0", size_px=11, halo=False)
        said = f"{coordinate(length)} {units}"
        self.text(end, y + 6 * self.px, said, size_px=11, anchor="middle", halo=False)

    def north_arrow(self, x: float, y: float, up_bearing_deg: float, size_px: float = 26) -> None:
        """Draw where north is when the picture's up points to ``up_bearing_deg``."""
        turn = math.radians(-up_bearing_deg)
        dx, dy = math.sin(turn), math.cos(turn)
        half = size_px / 2 * self.px
        self.arrow((x - dx * half, y - dy * half), (x + dx * half, y + dy * half), Paint())
        beyond = half + 8 * self.px
        self.text(
            x + dx * beyond,
            y + dy * beyond - 4 * self.px,
            "N",
            size_px=11,
            anchor="middle",
            bold=True,
            halo=False,
        )

    def key(self, x: float, y: float, rows: Sequence[Sequence[tuple[str, str]]]) -> None:
        """Draw a key from its top left corner down: swatches of kinds with their words.

        A swatch is a hatched kind, "dots", "ring", "line" or "contour".
        """
        px = self.px
        for r, row in enumerate(rows):
            left, base = x, y - (12 + 17 * r) * px
            for swatch, words in row:
                self._swatch(swatch, left, base)
                self.text(left + 20 * px, base, words, size_px=11, halo=False)
                left += (34 + text_width_px(words, 11)) * px

    # -- the result -----------------------------------------------------------------------

    def render(self) -> str:
        """Return the drawing as one ``<svg>`` element."""
        return _frame(
            self.prefix,
            self.title,
            self.desc,
            (self.left, -self.top, self.right - self.left, self.top - self.bottom),
            (self.width_px, self.height_px),
            self._inside(),
        )

    def nested(self, x_px: float, y_px: float) -> str:
        """Return the drawing for use inside another, its top left corner at a place."""
        view = (self.left, -self.top, self.right - self.left, self.top - self.bottom)
        return (
            f'<svg x="{coordinate(x_px)}" y="{coordinate(y_px)}" '
            f'width="{coordinate(self.width_px)}" height="{coordinate(self.height_px)}" '
            f'viewBox="{" ".join(coordinate(v) for v in view)}">{self._inside()}</svg>'
        )

    def _inside(self) -> str:
        patterns = "".join(self._patterns.values())
        return (f"<defs>{patterns}</defs>" if patterns else "") + "".join(self._parts)

    def _points(self, points: Iterable[Sequence[float]]) -> str:
        return " ".join(f"{coordinate(p[0])},{coordinate(-p[1])}" for p in points)

    def _swatch(self, swatch: str, x: float, y: float) -> None:
        px = self.px
        middle = (x + 7 * px, y + 4 * px)
        if swatch == "dots":
            places = [(x + dx * px, y + dy * px) for dx, dy in ((2, 2), (7, 7), (12, 3))]
            self.dots(places, 1.7, Paint("none", "accent"))
        elif swatch == "ring":
            self.circle(*middle, 6 * px, Paint("accent", "accent", 1.4, fill_opacity=0.12))
        elif swatch == "line":
            self.line(((x, y + 4 * px), (x + 14 * px, y + 4 * px)), Paint(width_px=2.2))
        elif swatch == "contour":
            self.line(((x, y + 4 * px), (x + 14 * px, y + 4 * px)), Paint("faint", "none", 0.9))
        else:
            box = (x, x + 14 * px, y - 2 * px, y + 10 * px)
            self.box(*box, Paint("quiet", self.hatch(swatch), 0.8))

    def _pattern(self, name: str) -> str:
        """Lines in pixels, scaled to the scene; each kind has its own figure, not only a colour."""
        size, figure, paint = _HATCHES[name]
        return (
            f'<pattern id="{self.prefix}-{name}" width="{size}" height="{size}" '
            f'patternUnits="userSpaceOnUse" patternTransform="scale({coordinate(self.px)})">'
            f'<path d="{figure}" fill="none" stroke="{LIGHT[paint]}" class="s-{paint}"/></pattern>'
        )


#: Tile size in pixels, figure and paint: waves, small trees, slanted lines, twice, and dots.
_HATCHES = {
    "water": (12, "M0 4q3 -3 6 0t6 0M0 10q3 -3 6 0t6 0", "water"),
    "wood": (14, "M3 6l2 -4l2 4zM5 6v2M10 13l2 -4l2 4zM12 13v1", "wood"),
    "out": (8, "M-2 2L2 -2M0 8L8 0M6 10L10 6", "out"),
    "dear": (7, "M-1 1L1 -1M0 7L7 0M6 8L8 6", "accent"),
    "other": (10, "M2 2h1M7 7h1", "faint"),
}


def key_rows(
    items: Iterable[tuple[str, str]], width_px: float
) -> tuple[tuple[tuple[str, str], ...], ...]:
    """Break a key into rows that fit a width."""
    rows: list[list[tuple[str, str]]] = [[]]
    used = 0.0
    for swatch, words in items:
        wide = 34 + text_width_px(words, 11)
        if rows[-1] and used + wide > width_px:
            rows.append([])
            used = 0.0
        rows[-1].append((swatch, words))
        used += wide
    return tuple(tuple(row) for row in rows)


def stack(
    prefix: str, title: str, desc: str, scenes: Sequence[Scene], *, gap_px: float = 6.0
) -> str:
    """Return several scenes under one another as one picture; each keeps its own scale."""
    parts, y_px = [], 0.0
    for scene in scenes:
        parts.append(scene.nested(0.0, y_px))
        y_px += scene.height_px + gap_px
    width_px = max(scene.width_px for scene in scenes)
    height_px = y_px - gap_px
    return _frame(
        prefix, title, desc, (0, 0, width_px, height_px), (width_px, height_px), "".join(parts)
    )


def _frame(
    prefix: str,
    title: str,
    desc: str,
    view: tuple[float, float, float, float],
    size_px: tuple[float, float],
    inside: str,
) -> str:
    box = [coordinate(v) for v in view]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" '
        f'aria-labelledby="{prefix}-title {prefix}-desc" width="{coordinate(size_px[0])}" '
        f'height="{coordinate(size_px[1])}" viewBox="{" ".join(box)}" font-family="{_SANS}">'
        f'<title id="{prefix}-title">{escape(title)}</title>'
        f'<desc id="{prefix}-desc">{escape(desc)}</desc>'
        f'<rect x="{box[0]}" y="{box[1]}" width="{box[2]}" height="{box[3]}" '
        f'class="f-paper" fill="{LIGHT["paper"]}"/>{inside}</svg>'
    )


def _round_length(most: float) -> float:
    """Return the largest 1, 2 or 5 times a power of ten that is not above ``most``."""
    power = 10.0 ** math.floor(math.log10(most))
    return max(step * power for step in (1.0, 2.0, 5.0) if step * power <= most * (1 + 1e-9))
