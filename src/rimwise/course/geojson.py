"""Read a course from GeoJSON (RFC 7946), with OpenStreetMap's tags as properties."""

from __future__ import annotations

import json
import math
import re
from typing import Any, NoReturn

from rimwise.course.assemble import assemble
from rimwise.course.features import (
    OSM_ATTRIBUTION,
    CourseImport,
    LatLon,
    MapArea,
    MapData,
    MapLine,
    MapPoint,
    check_position,
    check_size,
)
from rimwise.errors import InputError

__all__ = ["course_from_geojson", "map_from_geojson"]

Tags = dict[str, str]
Path = tuple[LatLon, ...]


def course_from_geojson(data: bytes, name: str = "", layout: str = "") -> CourseImport:
    """Read a course from a GeoJSON FeatureCollection.

    Positions are longitude, latitude and optionally height in metres, in that order and on
    WGS 84 (RFC 7946, sections 3.1.1 and 4).

    Parameters
    ----------
    data
        The .geojson file, UTF-8.
    name
        What to call the course; the file's own name when empty.
    layout
        Word for the tees and baskets to take where a hole has several, as their tags have it.

    Raises
    ------
    InputError
        When the file is no sound FeatureCollection, or a hole cannot be placed; nothing is
        imported.
    """
    return assemble(map_from_geojson(data), name, layout)


def map_from_geojson(data: bytes) -> MapData:
    """Read everything of interest in a GeoJSON FeatureCollection.

    Raises
    ------
    InputError
        When the file is no sound FeatureCollection.
    """
    return _read(_parse(data))


def _parse(data: bytes) -> dict[str, Any]:
    check_size(data)
    try:
        root: Any = json.loads(data.decode("utf-8-sig"), parse_constant=_no_constant)
    except UnicodeDecodeError:
        raise InputError("the GeoJSON file is not UTF-8 text; save it as UTF-8.") from None
    except json.JSONDecodeError as error:
        raise InputError(
            f"line {error.lineno} of the GeoJSON file is not well-formed JSON ({error.msg}); "
            "export the course again or repair that line."
        ) from None
    except InputError:
        raise
    except ValueError:  # a number of thousands of digits
        raise InputError(
            "the GeoJSON file holds a number that is far too long; repair that value."
        ) from None
    except RecursionError:
        raise InputError(
            "the GeoJSON file is nested too deeply to be a map; export the course again."
        ) from None
    if not isinstance(root, dict) or not isinstance(root.get("features"), list):
        kind = root.get("type", "object") if isinstance(root, dict) else "bare value"
        raise InputError(
            f"the GeoJSON file is a {kind}, not a FeatureCollection with features; export the "
            "course as one."
        )
    _check_crs(root)
    return root


def _no_constant(text: str) -> NoReturn:
    raise InputError(f"the GeoJSON file holds {text}, which is no number; repair that value.")


def _check_crs(root: dict[str, Any]) -> None:
    """Refuse another coordinate system (removed from the format by RFC 7946, section 4)."""
    crs = root.get("crs")
    if crs is not None and not re.search(r"CRS84|4326", json.dumps(crs)):
        raise InputError(
            "the GeoJSON file uses a coordinate system of its own (crs); export it in WGS 84 "
            "longitude and latitude."
        )


def _read(root: dict[str, Any]) -> MapData:
    points: list[MapPoint] = []
    lines: list[MapLine] = []
    areas: list[MapArea] = []
    warnings: list[str] = []
    from_osm = False
    own = root.get("attribution", "")
    for number, feature in enumerate(root["features"], start=1):
        label = f"feature {number}"
        if not isinstance(feature, dict) or feature.get("type") != "Feature":
            raise InputError(f"{label} of the GeoJSON file is no Feature; remove or repair it.")
        tags = _tags(feature, label)
        osm_id = str(feature.get("id") or tags.get("@id", ""))
        from_osm |= re.fullmatch(r"(node|way|relation)/\d+", osm_id) is not None
        if tags.get("leisure") == "disc_golf_course":
            own = tags.get("attribution", own)
        geometry = feature.get("geometry")
        if geometry is None:
            continue
        if not isinstance(geometry, dict):
            raise InputError(f"{label} of the GeoJSON file has a geometry that is no object.")
        _add(geometry, label, tags, points, lines, areas, warnings)
    own = own if isinstance(own, str) else ""
    notice = "; ".join(filter(None, (OSM_ATTRIBUTION if from_osm else "", own)))
    return MapData(tuple(points), tuple(lines), tuple(areas), notice, tuple(warnings))


def _tags(feature: dict[str, Any], label: str) -> Tags:
    properties = feature.get("properties")
    if properties is None:
        return {}
    if not isinstance(properties, dict):
        raise InputError(f"{label} of the GeoJSON file has properties that are no object.")
    return {
        key: f"{value:g}" if isinstance(value, float) else str(value)
        for key, value in properties.items()
        if isinstance(value, str | int | float) and not isinstance(value, bool)
    }


def _add(
    geometry: dict[str, Any],
    label: str,
    tags: Tags,
    points: list[MapPoint],
    lines: list[MapLine],
    areas: list[MapArea],
    warnings: list[str],
) -> None:
    kind, coordinates = geometry.get("type"), geometry.get("coordinates")
    if kind == "Point":
        points.append(MapPoint(label, _with_height(tags, coordinates), _at(coordinates, label)))
    elif kind == "LineString":
        lines.append(MapLine(label, tags, _path(coordinates, label)))
    elif kind == "Polygon":
        outer, inner = _rings(coordinates, label)
        areas.append(MapArea(label, tags, outer, inner))
    elif kind == "MultiPolygon":
        for polygon in _listed(coordinates, label):
            outer, inner = _rings(polygon, label)
            areas.append(MapArea(label, tags, outer, inner))
    elif tags.get("disc_golf") == "hole":
        raise InputError(
            f"{label} of the GeoJSON file is a hole drawn as a {kind}; draw it as one LineString "
            "from tee to basket."
        )
    elif tags:
        warnings.append(f"{label} is a {kind}, which a course has no use for; it was left out.")


def _listed(value: object, label: str) -> list[Any]:
    if not isinstance(value, list):
        raise InputError(
            f"{label} of the GeoJSON file has coordinates that are no list; export it again."
        )
    return value


def _at(position: object, label: str) -> LatLon:
    numbers = _listed(position, label)
    if len(numbers) < 2 or any(
        isinstance(number, bool) or not isinstance(number, int | float) for number in numbers
    ):
        raise InputError(
            f"{label} of the GeoJSON file has position {json.dumps(position)[:60]}; write "
            "[longitude, latitude]."
        )
    try:
        lat_deg, lon_deg = float(numbers[1]), float(numbers[0])
    except OverflowError:
        lat_deg = lon_deg = math.inf
    return check_position(f"{label} of the GeoJSON file", lat_deg, lon_deg)


def _with_height(tags: Tags, position: object) -> Tags:
    """Take the third number of a position for its height when no ``ele`` is given."""
    if isinstance(position, list) and len(position) > 2 and "ele" not in tags:
        return {**tags, "ele": str(position[2])}
    return tags


def _path(positions: object, label: str) -> Path:
    return tuple(_at(position, label) for position in _listed(positions, label))


def _rings(rings: object, label: str) -> tuple[tuple[Path, ...], tuple[Path, ...]]:
    """First ring outside, the others openings (RFC 7946, section 3.1.6)."""
    paths = [_path(ring, label) for ring in _listed(rings, label)]
    return tuple(paths[:1]), tuple(paths[1:])
