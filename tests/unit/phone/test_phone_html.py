"""The file for the phone: small, read without script, asking for nothing, safe with any name."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from phone_examples import EXPECTED, HOSTILE, WINDS, hole, phone_file
from rimwise.pictures import phone
from rimwise.pictures.phone import CAUTIONS, MOST_BYTES, phone_html
from rimwise.pictures.phone_packing import unpack


class Read(HTMLParser):
    """What a browser without script makes of a document."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.said: list[str] = []
        self.scripts: list[str] = []
        self._hidden = ""
        self.feed(html)
        self.text = re.sub(r"\s+", " ", " ".join(self.said))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag in ("script", "style"):
            self._hidden = tag

    def handle_endtag(self, tag: str) -> None:
        if tag == self._hidden:
            self._hidden = ""

    def handle_data(self, data: str) -> None:
        if not self._hidden:
            self.said.append(data)
        elif self._hidden == "script":
            self.scripts.append(data)


@pytest.fixture(scope="module")
def made() -> str:
    return phone_html(phone_file())


@pytest.fixture(scope="module")
def read(made: str) -> Read:
    return Read(made)


def test_every_choice_from_every_tee_stands_in_it_in_every_wind(read: Read) -> None:
    for one in phone_file().holes:
        assert f"Hole {one.ref}" in read.text
        for told in (told for wind in one.told for told in wind):
            for words in (told.disc, told.aim, told.chances, told.compared):
                assert words in read.text
    assert read.text.count("calm") >= len(phone_file().holes)
    assert read.text.count("from the north-west") >= 3 * len(phone_file().holes)


def test_each_hole_has_a_map_with_a_text_in_its_place(read: Read) -> None:
    maps = [attributes for tag, attributes in read.tags if tag == "svg"]
    assert len(maps) == 2
    assert all(one["role"] == "img" and one["aria-labelledby"] for one in maps)
    assert "mill <pond> (water)" in read.text
    assert "Choice 2: OL 5 grey" in read.text


def test_cautions_date_carry_and_precision_are_said(read: Read) -> None:
    for text in (*CAUTIONS, "26 November 2026", "2 discs", "Made up for a test."):
        assert text in read.text
    words = " ".join(CAUTIONS).lower()
    for danger in ("in range", "posted course rules", "lightning", "wade"):
        assert danger in words


def test_it_asks_for_nothing(made: str, read: Read) -> None:
    for tag, attributes in read.tags:
        assert tag not in ("link", "iframe", "img", "object", "base", "form")
        assert "src" not in attributes
        assert (attributes.get("href") or "#").startswith("#"), tag
    assert set(re.findall(r"https?://[^\"' ]+", made)) == {"http://www.w3.org/2000/svg"}
    assert "url(http" not in made
    assert "@import" not in made


def test_only_its_own_script_may_run(made: str, read: Read) -> None:
    policy = next(a["content"] for t, a in read.tags if a.get("http-equiv"))
    data, script = read.scripts
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    assert f"script-src 'sha256-{digest}'" in policy
    assert "default-src 'none'" in policy
    assert json.loads(data)["expected"] == EXPECTED


def test_hostile_names_are_only_ever_text() -> None:
    file = phone_file(HOSTILE)
    file = replace(file, course=HOSTILE[0], day=HOSTILE[1], note=HOSTILE[0], attribution=HOSTILE[0])
    read = Read(phone_html(file))
    assert len(read.scripts) == 2
    assert "alert(1)" not in read.scripts[1]
    plain = replace(phone_file(), note="a", attribution="b")
    assert [tag for tag, _ in read.tags] == [tag for tag, _ in Read(phone_html(plain)).tags]
    assert json.loads(read.scripts[0])["discs"][0][1] == HOSTILE[0]
    assert "<b>bold</b>" in read.text
    events = [name for _, attributes in read.tags for name in attributes if name.startswith("on")]
    assert events == []


def test_what_its_script_reads_is_what_was_put_in(read: Read) -> None:
    data = json.loads(read.scripts[0])
    for told, one in zip(data["holes"], phone_file().holes, strict=True):
        assert unpack(told["answers"], len(one.lies)) == one.answers
    assert len(data["winds"]) == len(WINDS)


def test_feet_are_told_in_feet() -> None:
    text = Read(phone_html(phone_file(units="ft"))).text
    assert "289 ft" in text
    assert "aim 11 m" not in text


def test_a_course_without_bearings_tells_winds_by_the_hole() -> None:
    file = phone_file()
    holes = tuple(replace(one, bearing_deg=None, areas=()) for one in file.holes)
    read = Read(phone_html(replace(file, holes=holes)))
    assert "from straight ahead" in read.text
    assert "from the north" not in read.text
    assert json.loads(read.scripts[0])["sides"][2] == "from the right"


def test_18_holes_of_a_usual_size_fit_into_3_megabytes() -> None:
    """14 lies a hole, all of them with three choices: the demo has 13, and fewer choices."""
    file = phone_file()
    one = hole("1", 120.0, ("NH 27 blue", "OL 5 grey", "EJ 4 mint"), count=3)
    tee = [wind[0] for wind in one.answers]
    full = replace(one, lies=one.lies[:1] * 14, answers=tuple((answer,) * 14 for answer in tee))
    with_one, with_two = (
        len(phone_html(replace(file, holes=(full,) * n)).encode()) for n in (1, 2)
    )
    assert with_one + 17 * (with_two - with_one) < MOST_BYTES


def test_a_file_too_big_leaves_landings_out_and_says_so(monkeypatch, made: str) -> None:
    monkeypatch.setattr(phone, "MOST_BYTES", len(made.encode()) - 1)
    smaller = phone_html(phone_file())
    assert len(smaller.encode()) < len(made.encode())
    read = Read(smaller)
    assert "landings are drawn from the tees only" in read.text
    data = json.loads(read.scripts[0])
    for told, one in zip(data["holes"], phone_file().holes, strict=True):
        for wind, whole in zip(unpack(told["answers"], len(one.lies)), one.answers, strict=True):
            assert wind[0] == whole[0]
            assert all(not throw.dots_m for answer in wind[1:] for throw in answer.throws)
            assert [len(a.throws) for a in wind] == [len(a.throws) for a in whole]
