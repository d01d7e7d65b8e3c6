"""Write the generated files of the demonstration, the same to the byte every time.

``python -m rimwise.demo.generate FOLDER`` writes them; the committed copies in ``data`` came
from it. The hand-written files there (discs, plastics, weather, thrower, cart) are not touched.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass, field
from importlib import resources
from pathlib import Path
from xml.sax.saxutils import quoteattr

from rimwise.course.frame import LocalFrame
from rimwise.course.osm import course_from_osm
from rimwise.demo import landscape as heath
from rimwise.demo.evidence import comparisons_csv, putts_csv, rounds_csv, throws_csv
from rimwise.demo.hidden_truth import hidden_truth

__all__ = ["course_osm", "generated_files", "main"]

COURSE_NAME = "Invented Heath"
NOTICE = "Invented for demonstration; there is no such place"

Points = Sequence[tuple[float, float]]
Tags = dict[str, str]


def generated_files() -> dict[str, bytes]:
    """Return every generated file by name."""
    data = resources.files("rimwise.demo") / "data"
    truth = hidden_truth(
        (data / "discs.csv").read_text(encoding="utf-8"),
        (data / "plastics.csv").read_text(encoding="utf-8"),
    )
    course = course_osm()
    return {
        "course.osm": course,
        "throws.csv": throws_csv(truth),
        "comparisons.csv": comparisons_csv(truth),
        "putts.csv": putts_csv(),
        "rounds.csv": rounds_csv(truth, course_from_osm(course).course),
    }


def course_osm() -> bytes:
    """Return the invented course as an OpenStreetMap file.

    Ids are negative, as editors number what was never uploaded.
    """
    writer = _OsmWriter(LocalFrame(heath.ORIGIN_LAT_DEG, heath.ORIGIN_LON_DEG))
    _write_holes(writer)
    pond = {"natural": "water", "water": "pond", "tidal": "yes", "name": "Tidal pond"}
    writer.way(writer.ring(heath.smooth(heath.POND)), pond)
    writer.way(writer.ring(heath.LANE), {"disc_golf": "out_of_bounds", "name": "Lane"})
    for copse in heath.COPSES:
        tags = {"landuse": "forest", "name": "Birches"}
        writer.way(writer.ring(heath.ragged(copse, 1.5, per_side=2)), tags)
    _write_wood(writer)
    for kind, ref, at in heath.MARKS:
        writer.node(at, {"disc_golf": kind, "ref": ref})
    _write_boundary(writer)
    return writer.document()


def _write_holes(writer: _OsmWriter) -> None:
    for number, hole in enumerate(heath.PLANNED_HOLES, start=1):
        ref = str(number)
        ends = [
            writer.node(at, {"disc_golf": what, "ref": ref, "ele": f"{heath.height_m(*at):.1f}"})
            for what, at in (("tee", hole.tee), ("basket", hole.basket))
        ]
        writer.way(ends, {"disc_golf": "hole", "ref": ref, "par": str(hole.par)})


def _write_wood(writer: _OsmWriter) -> None:
    """Draw the pine wood's edge in two ways, and its clearing as an inner ring."""
    edge = writer.ring(heath.ragged(heath.WOOD_OUTLINE, 3.0))
    half = len(edge) // 2
    members = [
        (writer.way(edge[: half + 1], {}), "outer"),
        (writer.way(edge[half:], {}), "outer"),
        (writer.way(writer.ring(heath.ragged(heath.WOOD_CLEARING, 1.2, per_side=3)), {}), "inner"),
    ]
    tags = {"type": "multipolygon", "natural": "wood", "leaf_type": "needleleaved"}
    writer.relation(members, tags | {"name": "Pine wood"})


def _write_boundary(writer: _OsmWriter) -> None:
    corners = ((-20.0, -10.0), (380.0, -8.0), (575.0, 110.0), (580.0, 290.0), (470.0, 330.0),
               (425.0, 505.0), (330.0, 515.0), (-20.0, 500.0))  # fmt: skip
    writer.way(
        writer.ring(corners),
        {
            "leisure": "disc_golf_course",
            "name": COURSE_NAME,
            "attribution": NOTICE,
            "note": f"{NOTICE}. The coordinates lie in the open ocean.",
        },
    )


@dataclass
class _OsmWriter:
    """Collects elements and numbers them downward from −1."""

    frame: LocalFrame
    lines: list[str] = field(default_factory=list)
    ways: list[str] = field(default_factory=list)
    relations: list[str] = field(default_factory=list)
    count: int = 0

    def _next_id(self) -> int:
        self.count += 1
        return -self.count

    def node(self, at: tuple[float, float], tags: Tags | None = None) -> int:
        number = self._next_id()
        lat_deg, lon_deg = self.frame.to_geographic(*at)
        head = f'  <node id="{number}" lat="{lat_deg:.7f}" lon="{lon_deg:.7f}"'
        self.lines += _element(head, "node", [], tags or {})
        return number

    def ring(self, points: Points) -> list[int]:
        nodes = [self.node(at) for at in points]
        return [*nodes, nodes[0]]

    def way(self, nodes: Sequence[int], tags: Tags) -> int:
        number = self._next_id()
        inner = [f'    <nd ref="{node}"/>' for node in nodes]
        self.ways += _element(f'  <way id="{number}"', "way", inner, tags)
        return number

    def relation(self, members: Sequence[tuple[int, str]], tags: Tags) -> int:
        number = self._next_id()
        inner = [f'    <member type="way" ref="{way}" role="{role}"/>' for way, role in members]
        self.relations += _element(f'  <relation id="{number}"', "relation", inner, tags)
        return number

    def document(self) -> bytes:
        head = [
            '<?xml version="1.0" encoding="UTF-8"?>',
            f"<!-- {NOTICE}. Written by: python -m rimwise.demo.generate -->",
            '<osm version="0.6" generator="rimwise.demo.generate">',
        ]
        text = "\n".join([*head, *self.lines, *self.ways, *self.relations, "</osm>"])
        return (text + "\n").encode()


def _element(head: str, name: str, inner: list[str], tags: Tags) -> list[str]:
    inner = inner + [f"    <tag k={quoteattr(k)} v={quoteattr(v)}/>" for k, v in tags.items()]
    return [head + ">", *inner, f"  </{name}>"] if inner else [head + "/>"]


def main(folder: str) -> None:
    """Write every generated file into ``folder``."""
    for name, data in generated_files().items():
        Path(folder, name).write_bytes(data)


if __name__ == "__main__":
    main(sys.argv[1] if len(sys.argv) > 1 else str(Path(__file__).parent / "data"))
