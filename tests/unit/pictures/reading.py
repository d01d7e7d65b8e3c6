"""Reading drawings back: as XML, with every place in the numbers of its own window."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from defusedxml.ElementTree import fromstring

SVG = "{http://www.w3.org/2000/svg}"
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?(?:[eE][-+]?\d+)?")
_MEASURES = ("x", "y", "width", "height", "cx", "cy", "r", "points", "d", "viewBox", "font-size",
             "stroke-width")  # fmt: skip


@dataclass(frozen=True, slots=True)
class Window:
    """An ``<svg>`` element: its viewBox, its size in pixels and what is drawn in it."""

    element: Element
    left: float
    top: float
    width: float
    height: float

    @property
    def px(self) -> float:
        return self.width / float(self.element.attrib["width"])

    def own(self, tag: str) -> Iterator[Element]:
        """Elements drawn in this window, not in one nested in it."""
        yield from _own(self.element, SVG + tag)


def _own(element: Element, tag: str) -> Iterator[Element]:
    for child in element:
        if child.tag == SVG + "svg":
            continue
        if child.tag == tag:
            yield child
        yield from _own(child, tag)


def parse(svg: str) -> Element:
    return fromstring(svg)


def windows(root: Element) -> list[Window]:
    return [
        Window(element, *(float(v) for v in element.attrib["viewBox"].split()))
        for element in root.iter(SVG + "svg")
    ]


def points(element: Element) -> list[tuple[float, float]]:
    """Corners of a polyline or polygon, with y turned up again."""
    numbers = [float(v) for v in _NUMBER.findall(element.attrib["points"])]
    return [(x, -y) for x, y in zip(numbers[::2], numbers[1::2], strict=True)]


def measures(root: Element) -> Iterator[str]:
    """Every number that places or sizes something."""
    for element in root.iter():
        for name in _MEASURES:
            if name in element.attrib and not element.attrib[name].endswith("%"):
                yield from _NUMBER.findall(element.attrib[name])


def texts(window: Window) -> dict[str, tuple[float, float]]:
    """What is written in a window and where it starts, y up."""
    return {t.text or "": (float(t.attrib["x"]), -float(t.attrib["y"])) for t in window.own("text")}
