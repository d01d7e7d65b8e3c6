"""The demonstration's generated files against what their generator writes today.

A deliberate change of the flight model or the course changes them: run
``python -m rimwise.demo.generate`` and commit the result.
"""

from __future__ import annotations

from importlib import resources

import pytest

from rimwise.demo import generate


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    folder = tmp_path_factory.mktemp("demo")
    generate.main(str(folder))
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def committed(name):
    return (resources.files("rimwise.demo") / "data" / name).read_bytes()


def test_generating_again_gives_the_committed_course(written):
    assert written["course.osm"] == committed("course.osm")


@pytest.mark.parametrize("name", ["throws.csv", "comparisons.csv", "putts.csv", "rounds.csv"])
def test_generating_again_gives_the_committed_evidence(written, name):
    """Another processor may round the last bit of a flight differently: a line in thirty."""
    again, before = written[name].splitlines(), committed(name).splitlines()
    assert len(again) == len(before)
    differing = sum(one != other for one, other in zip(again, before, strict=True))
    assert differing <= len(before) / 30


def test_nothing_else_is_generated():
    assert sorted(generate.generated_files()) == [
        "comparisons.csv", "course.osm", "putts.csv", "rounds.csv", "throws.csv",
    ]  # fmt: skip
