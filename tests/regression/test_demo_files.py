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


@pytest.mark.parametrize(
    "name", ["course.osm", "throws.csv", "comparisons.csv", "putts.csv", "rounds.csv"]
)
def test_generating_again_gives_the_committed_bytes(written, name):
    committed = (resources.files("rimwise.demo") / "data" / name).read_bytes()
    assert written[name] == committed


def test_nothing_else_is_generated():
    assert sorted(generate.generated_files()) == [
        "comparisons.csv", "course.osm", "putts.csv", "rounds.csv", "throws.csv",
    ]  # fmt: skip
