"""Read a course from a binary OpenStreetMap extract (.osm.pbf).

The file is gone through three times: for the things that a course is made of, for the ways that
relations are made of, and for the nodes of all of them. These become the elements of the XML form,
so that one reading and one set of messages serves both.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from rimwise.course.assemble import assemble
from rimwise.course.features import CourseImport, MapData
from rimwise.course.osm import map_from_elements
from rimwise.errors import InputError

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

__all__ = ["MAX_PBF_BYTES", "course_from_pbf", "map_from_pbf"]

#: A town with its surroundings; a country has a hundred times as much.
MAX_PBF_BYTES = 12_000_000
#: What such a file holds unpacked; maps are pressed to a half or a third.
MAX_UNPACKED_BYTES = 60_000_000
#: So many things of interest, and so many nodes in all, are more than any town has.
MAX_KEPT = 300_000
MAX_NODES = 4_000_000
#: Keys that things on a course carry.
_KEYS = ("disc_golf", "leisure", "natural", "landuse")


def course_from_pbf(data: bytes, name: str = "", layout: str = "") -> CourseImport:
    """Read a course from a binary OpenStreetMap extract.

    Parameters
    ----------
    data
        The .osm.pbf file.
    name
        As in :func:`rimwise.course.osm.course_from_osm`.
    layout
        Word for the tees and baskets to take where a hole has several, as their tags have it.

    Raises
    ------
    InputError
        When the file is no sound extract, too large, or a hole cannot be placed.
    """
    return assemble(map_from_pbf(data), name, layout)


def map_from_pbf(data: bytes) -> MapData:
    """Read everything of interest in a binary extract.

    Raises
    ------
    InputError
        When the file is no sound extract, or too large.
    """
    if not data:
        raise InputError("the map file is empty; export the course again.")
    if len(data) > MAX_PBF_BYTES:
        raise InputError(
            f"the map file has {len(data) / 1e6:.0f} MB, more than the {MAX_PBF_BYTES / 1e6:.0f} "
            "MB read here; cut the course and its surroundings out of it first, for example with "
            "`osmium extract --bbox`, or export the course from the map as .osm."
        )
    if _unpacked_bytes(data) > MAX_UNPACKED_BYTES:
        raise _too_much()
    try:
        return map_from_elements(_elements(data))
    except RuntimeError as error:
        raise InputError(
            f"the map file is no sound .osm.pbf ({_first(error)}); download it again."
        ) from None


def _too_much() -> InputError:
    return InputError(
        "the map file holds far more than a course and its surroundings once it is unpacked; cut "
        "these out of it first, for example with `osmium extract --bbox`."
    )


def _unpacked_bytes(data: bytes) -> int:
    """Return how large the blocks of a file say they are unpacked; those that lie are unsound.

    A file is a row of blocks, each a length, a header and a blob as protocol buffers
    (OpenStreetMap wiki, PBF Format). What cannot be understood is left to the reader.
    """
    total = at = 0
    while at + 4 <= len(data):
        header_end = at + 4 + int.from_bytes(data[at : at + 4], "big")
        size = _number(data[at + 4 : header_end], 3)
        total += _number(data[header_end : header_end + 64], 2)
        at = header_end + size
    return total


def _number(message: bytes, wanted: int) -> int:
    """Return a numeric field of a protocol buffer, 0 when it is not there before its data."""
    at = 0

    def varint() -> int:
        nonlocal at
        value = shift = 0
        while at < len(message) and shift < 64:
            byte = message[at]
            at += 1
            value |= (byte & 127) << shift
            shift += 7
            if byte < 128:
                break
        return value

    while at < len(message):
        key = varint()
        value = varint()
        if key >> 3 == wanted and key & 7 == 0:
            return value
        if key & 7 == 2:  # a length: step over what is that long
            at += value
    return 0


def _first(error: Exception) -> str:
    return str(error).split("\n", 1)[0].split(":", 1)[0].strip() or "it cannot be read"


def _elements(data: bytes) -> Element:
    """Return the parts of the file that make up courses, as one XML tree."""
    from xml.etree.ElementTree import Element

    import osmium

    relations: list[Element] = []
    ways: dict[int, Element] = {}
    nodes: set[int] = set()
    wanted_ways: set[int] = set()
    for kept, thing in enumerate(_pass(data, osmium.filter.KeyFilter(*_KEYS))):
        if kept > MAX_KEPT:
            raise _too_much()
        if thing.is_relation():
            relations.append(_relation(thing))
            wanted_ways.update(member.ref for member in thing.members if member.type == "w")
        elif thing.is_way():
            ways[thing.id] = _way(thing)
    missing = wanted_ways - set(ways)
    if missing:
        for thing in _pass(data, None, osmium.osm.WAY):  # ids may be negative: no filter by them
            if thing.id in missing:
                ways[thing.id] = _way(thing)
    for way in ways.values():
        nodes.update(int(nd.get("ref", "0")) for nd in way.iter("nd"))
    root = Element("osm")
    for seen, thing in enumerate(_pass(data, None, osmium.osm.NODE)):
        if seen > MAX_NODES:
            raise _too_much()
        if thing.id in nodes or (len(thing.tags) and any(key in thing.tags for key in _KEYS)):
            root.append(_node(thing))
    root.extend(ways.values())
    root.extend(relations)
    return root


def _pass(data: bytes, only: Any, entities: Any = None) -> Iterator[Any]:
    """Go through the file once; parts of things live no longer than their turn."""
    import osmium

    source = osmium.io.FileBuffer(data, "osm.pbf")
    found = (
        osmium.FileProcessor(source) if entities is None else osmium.FileProcessor(source, entities)
    )
    return iter(found if only is None else found.with_filter(only))


def _named(tag: str, thing: Any, more: dict[str, str] | None = None) -> Element:
    from xml.etree.ElementTree import Element, SubElement

    element = Element(tag, {"id": str(thing.id), **(more or {})})
    for pair in thing.tags:
        SubElement(element, "tag", k=pair.k, v=pair.v)
    return element


def _node(thing: Any) -> Element:
    at = thing.location
    return _named("node", thing, {"lat": repr(at.lat), "lon": repr(at.lon)})


def _way(thing: Any) -> Element:
    from xml.etree.ElementTree import SubElement

    element = _named("way", thing)
    for node in thing.nodes:
        SubElement(element, "nd", ref=str(node.ref))
    return element


def _relation(thing: Any) -> Element:
    from xml.etree.ElementTree import SubElement

    element = _named("relation", thing)
    kinds = {"n": "node", "w": "way", "r": "relation"}
    for member in thing.members:
        SubElement(
            element, "member", type=kinds[member.type], ref=str(member.ref), role=member.role
        )
    return element
