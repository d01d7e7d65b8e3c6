"""The page on physics: what it shows and lists is what the tool makes.

Numbers of flights are not compared with those on the page: they may differ in the last digit
from one processor to another. `make docs` writes them anew.
"""

from __future__ import annotations

import re
import runpy
from pathlib import Path

import pytest
from defusedxml.ElementTree import fromstring

from rimwise.flight.domain import DOMAIN

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "physics.md").read_text("utf-8")
TOOL = runpy.run_path(str(ROOT / "tools" / "draw_physics.py"))
SHOWN = re.findall(r"!\[([^]]+)\]\(pictures/(physics-[\w-]+\.svg)\)", PAGE)
MADE = dict(re.findall(r"<!-- made: (.+?) -->\n(.*?)<!-- end -->", PAGE, re.DOTALL))


def test_the_page_shows_every_picture_and_each_exists() -> None:
    named = [name for _, name in SHOWN]
    assert sorted(named) == sorted(f"physics-{name}.svg" for name in TOOL["PICTURES"])
    for name in named:
        assert (ROOT / "docs" / "pictures" / name).exists()


def test_the_page_has_every_made_part_once() -> None:
    assert set(MADE) == set(TOOL["BLOCKS"])
    assert PAGE.count("<!-- made: ") == len(MADE) == PAGE.count("<!-- end -->")
    assert all(text.strip() for text in MADE.values())


@pytest.mark.parametrize("name", ["domain", "grounds", "stall"])
def test_what_is_stated_is_up_to_date(name: str) -> None:
    """Run `make docs` when this fails."""
    assert MADE[name] == f"{TOOL['BLOCKS'][name]()}\n"


def test_every_limit_is_on_the_page() -> None:
    rows = MADE["domain"].splitlines()[2:]
    assert [row.split(" | ")[0].removeprefix("| ") for row in rows] == [
        limit.quantity for limit in DOMAIN
    ]


def test_the_tool_draws_and_writes_the_same_twice(tmp_path: Path) -> None:
    (tmp_path / "again").mkdir()
    first, again = TOOL["draw"](tmp_path), TOOL["draw"](tmp_path / "again")
    for one, other in zip(first, again, strict=True):
        assert fromstring(one.read_text("utf-8")).tag.endswith("svg")
        assert one.read_bytes() == other.read_bytes()
    written = TOOL["page"](PAGE)
    assert TOOL["page"](written) == written
    kept = re.compile(r"<!-- made: .+? -->\n.*?<!-- end -->", re.DOTALL)
    assert kept.sub("", written) == kept.sub("", PAGE)  # the text around is left alone


def test_the_pictures_show_what_their_sentences_say() -> None:
    """Turn, fade and wind as the page describes them; sides are positive to the left."""
    throws = {name: make() for name, make in TOOL["PICTURES"].items()}
    left = {name: [flight.left_m for _, flight in made] for name, made in throws.items()}
    turn = {
        name: [float(f.position_m[:, 1].min()) for _, f in made] for name, made in throws.items()
    }
    assert turn["one-flight"][0] < -0.2 < 1.0 < left["one-flight"][0]
    assert left["turn-and-fade"] == sorted(left["turn-and-fade"])
    assert turn["speeds"] == sorted(turn["speeds"], reverse=True)
    headwind, calm, tailwind = (flight for _, flight in throws["wind"])
    assert headwind.apex_m > calm.apex_m > tailwind.apex_m
    assert headwind.range_m < calm.range_m
    flips, keeps = (flight for _, flight in throws["hyzer"])
    assert abs(flips.axis[:, 1]).min() < 0.1 < abs(keeps.axis[:, 1]).min()
    down, level, up = (flight for _, flight in throws["nose"])
    assert down.apex_m < level.apex_m < up.apex_m
    assert down.left_m < level.left_m < up.left_m
    clean, wobbly = (flight for _, flight in throws["wobble"])
    assert wobbly.range_m < clean.range_m
    slow, middle, fast = (float(f.axis[-1, 1]) for _, f in throws["spin"])
    assert slow > middle > fast
