"""Read a course from an OpenStreetMap extract (.osm, XML API 0.6).

Tags follow the OpenStreetMap wiki pages Key:disc_golf, Tag:leisure=disc_golf_course and
Relation:multipolygon. The XML is parsed without entities, DTDs or outside references.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING
from xml.etree.ElementTree import ParseError

import defusedxml.ElementTree
from defusedxml.common import DefusedXmlException

from rimwise.course.assemble import assemble
from rimwise.course.features import (
    OSM_ATTRIBUTION,
    CourseImport,
    LatLon,
    MapArea,
    MapData,
    MapLine,
    MapPoint,
    area_kind,
    check_position,
    check_size,
)
from rimwise.errors import InputError

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

__all__ = ["course_from_osm", "map_from_elements", "map_from_osm"]

#: So many corners together have the ways that relations are made of; a town has some thousands.
MAX_MEMBER_CORNERS = 1_000_000

#: Positions of nodes by id.
Nodes = dict[str, LatLon]
Tags = dict[str, str]


def course_from_osm(data: bytes, name: str = "", layout: str = "") -> CourseImport:
    """Read a course from an OpenStreetMap extract.

    Parameters
    ----------
    data
        The .osm file.
    name
        What to call the course; the file's own name when empty. When the file holds several
        courses, it says which one is meant.
    layout
        Word for the tees and baskets to take where a hole has several, as their tags have it.

    Raises
    ------
    InputError
        When the file is no sound extract, or a hole cannot be placed; nothing is imported.
    """
    return assemble(map_from_osm(data), name, layout)


def map_from_osm(data: bytes) -> MapData:
    """Read everything of interest in an OpenStreetMap extract.

    Raises
    ------
    InputError
        When the file is no sound extract.
    """
    return map_from_elements(_parse(data))


def _parse(data: bytes) -> Element:
    check_size(data)
    try:
        root: Element = defusedxml.ElementTree.fromstring(data, forbid_dtd=True)
    except DefusedXmlException:
        raise InputError(
            "the map file declares a document type or entities, which a map never needs and "
            "which can be harmful; export the course again from the map."
        ) from None
    except ParseError as error:
        line = error.position[0]
        raise InputError(
            f"line {line} of the map file is not well-formed XML ({str(error).split(':')[0]}); "
            "export the course again or repair that line."
        ) from None
    except (LookupError, ValueError):
        raise InputError(
            "the map file names a text encoding that cannot be read; save it as UTF-8."
        ) from None
    if root.tag != "osm":
        raise InputError(
            f"the map file begins with <{root.tag}>, not <osm>; choose an OpenStreetMap extract."
        )
    return root


def map_from_elements(root: Element) -> MapData:
    """Read everything of interest in an ``<osm>`` element with its nodes, ways and relations.

    Raises
    ------
    InputError
        When a position is none, or a hole runs to a node that is not there.
    """
    elements = [element for element in root if _alive(element)]
    nodes: Nodes = {}
    points: list[MapPoint] = []
    for element in elements:
        if element.tag == "node":
            label = f"node {element.get('id', '?')}"
            at = _position(element, label)
            nodes[element.get("id", "")] = at
            if tags := _tags(element):
                points.append(MapPoint(label, tags, at))
    ways = {element.get("id", ""): element for element in elements if element.tag == "way"}
    relations = [element for element in elements if element.tag == "relation"]
    _refuse_swollen(relations, ways)

    warnings: list[str] = []
    areas = list(_relation_areas(relations, ways, nodes, warnings))
    within = _outer_members(relations)
    lines: list[MapLine] = []
    for way_id, way in ways.items():
        tags = _tags(way)
        label = f"way {way_id}"
        if tags.get("disc_golf") == "hole":
            lines.append(MapLine(label, tags, _path(way, nodes, required=_hole_label(tags, label))))
        elif way_id not in within and _is_area(tags):
            areas.append(MapArea(label, tags, (_path(way, nodes),)))
    return MapData(
        tuple(points), tuple(lines), tuple(areas), _attribution(elements), tuple(warnings)
    )


def _refuse_swollen(relations: list[Element], ways: dict[str, Element]) -> None:
    """Refuse relations that name long ways again and again: few bytes, corners without end."""
    lengths = {way_id: sum(1 for _ in way.iter("nd")) for way_id, way in ways.items()}
    members = (member.get("ref", "") for one in relations for member in one.iter("member"))
    if sum(lengths.get(ref, 0) for ref in members) > MAX_MEMBER_CORNERS:
        raise InputError(
            f"the areas of the map file have more than {MAX_MEMBER_CORNERS:,} corners; export only "
            "the course and its surroundings."
        )


def _alive(element: Element) -> bool:
    """Whether an element still stands (an editor may mark it deleted)."""
    return element.get("visible") != "false" and element.get("action") != "delete"


def _tags(element: Element) -> Tags:
    return {tag.get("k", ""): tag.get("v", "") for tag in element.iter("tag")}


def _is_area(tags: Tags) -> bool:
    return (
        area_kind(tags) is not None
        or tags.get("leisure") == "disc_golf_course"
        or tags.get("disc_golf") in ("tee", "basket")
    )


def _position(element: Element, label: str) -> LatLon:
    try:
        lat_deg, lon_deg = float(element.get("lat", "")), float(element.get("lon", ""))
    except ValueError:
        raise InputError(
            f"{label} has no usable lat and lon; export the course again from the map."
        ) from None
    return check_position(label, lat_deg, lon_deg)


def _hole_label(tags: Tags, label: str) -> str:
    return f"hole {tags['ref']} ({label})" if tags.get("ref", "").strip() else label


def _path(way: Element, nodes: Nodes, *, required: str = "") -> tuple[LatLon, ...]:
    """Positions along a way; nodes cut off by the extract are skipped unless ``required``."""
    refs = [nd.get("ref", "") for nd in way.iter("nd")]
    missing = [ref for ref in refs if ref not in nodes]
    if required and missing:
        raise InputError(
            f"{required} runs to node {missing[0]}, which is not in the file, so its tee or basket "
            "is missing; export the whole course."
        )
    return tuple(nodes[ref] for ref in refs if ref in nodes)


def _members(relation: Element, roles: tuple[str, ...]) -> list[str]:
    return [
        member.get("ref", "")
        for member in relation.iter("member")
        if member.get("type") == "way" and member.get("role", "") in roles
    ]


def _relation_areas(
    relations: list[Element], ways: dict[str, Element], nodes: Nodes, warnings: list[str]
) -> Iterator[MapArea]:
    for relation in relations:
        tags = _tags(relation)
        label = f"relation {relation.get('id', '?')}"
        if tags.get("leisure") == "disc_golf_course" or tags.get("type") == "disc_golf_course":
            tags["leisure"] = "disc_golf_course"
            yield MapArea(label, tags, ())
            continue
        if tags.get("type") != "multipolygon" or not _is_area(tags):
            continue
        outer, inner = _members(relation, ("outer", "")), _members(relation, ("inner",))
        missing = [ref for ref in outer + inner if ref not in ways]
        if missing:
            warnings.append(
                f"{label} ({area_kind(tags) or 'area'}) lies partly outside the file (way "
                f"{missing[0]} is missing); export a larger piece to have all of it."
            )
        yield MapArea(
            label,
            tags,
            tuple(_path(ways[ref], nodes) for ref in outer if ref in ways),
            tuple(_path(ways[ref], nodes) for ref in inner if ref in ways),
        )


def _outer_members(relations: list[Element]) -> set[str]:
    """Ways that are the outline of a tagged multipolygon: not areas of their own."""
    return {
        ref
        for relation in relations
        if (tags := _tags(relation)).get("type") == "multipolygon" and area_kind(tags)
        for ref in _members(relation, ("outer", ""))
    }


def _attribution(elements: list[Element]) -> str:
    """Return the notice owed; negative ids mark data never uploaded to OpenStreetMap."""
    own = next(
        (
            tags["attribution"]
            for element in elements
            if (tags := _tags(element)).get("leisure") == "disc_golf_course"
            and tags.get("attribution")
        ),
        "",
    )
    if all(element.get("id", "").startswith("-") for element in elements):
        return own
    return f"{OSM_ATTRIBUTION}; {own}" if own else OSM_ATTRIBUTION
