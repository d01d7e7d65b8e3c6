"""Binary extracts: the same course as from the XML form of the same map."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

import osmium
import pytest

from rimwise.course.osm import course_from_osm
from rimwise.course.pbf import MAX_PBF_BYTES, course_from_pbf
from rimwise.errors import InputError

DEMO = Path(str(resources.files("rimwise.demo") / "data"))


@pytest.fixture(scope="module")
def both(tmp_path_factory) -> tuple[bytes, bytes]:
    """Return the demo's map as XML, and written as binary by the reference library."""
    (source,) = DEMO.glob("*.osm")
    target = tmp_path_factory.mktemp("pbf") / "course.osm.pbf"
    with osmium.SimpleWriter(str(target)) as writer:
        for thing in osmium.FileProcessor(str(source)):
            writer.add(thing)
    return source.read_bytes(), target.read_bytes()


def test_the_same_map_gives_the_same_course(both):
    xml, binary = both
    one, other = course_from_osm(xml), course_from_pbf(binary)
    assert other.course == one.course
    assert set(other.warnings) == set(one.warnings)
    assert set(other.notes) == set(one.notes)
    assert any(area.openings for area in other.course.areas) == any(
        area.openings for area in one.course.areas
    )


def test_a_country_is_refused_with_its_size_and_what_to_do():
    with pytest.raises(InputError, match=r"13 MB, more than the 12 MB .*osmium extract"):
        course_from_pbf(b"\0" * (MAX_PBF_BYTES + 1_000_000))


@pytest.mark.parametrize("data", [b"no pbf at all", b"\0\0\0\x0d\n\x09OSMHeader\x18"])
def test_what_is_no_binary_map_is_refused_in_a_sentence(data):
    with pytest.raises(InputError, match="no sound"):
        course_from_pbf(data)


def test_a_cut_off_file_and_an_empty_one_are_refused(both):
    with pytest.raises(InputError):
        course_from_pbf(both[1][: len(both[1]) // 2])
    with pytest.raises(InputError, match="empty"):
        course_from_pbf(b"")
