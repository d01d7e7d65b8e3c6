"""From an empty data file to a carry in the browser, and files looked at before they are kept."""

from __future__ import annotations

import html
import re
import tempfile

import pytest
from web_page import Page, form_of

from rimwise.app import planning
from rimwise.store.opening import open_store
from tiny_season import ROUGH, contents, write_files

WHO = {"hand": "left", "units": "m", "backhand": "92,5", "forehand": "", "level": "recreational"}


@pytest.fixture
def nothing(tmp_path):
    data = tmp_path / "empty.db"
    open_store(data).close()
    return data


@pytest.fixture
def page(nothing) -> Page:
    return Page(nothing)


def look(page: Page, name: str, content: bytes, **typed: str):
    return page.ask("POST", "/import", files={"file": (name, content)}, data=typed)


def keep(page: Page, looked):
    fields = dict(re.findall('type="hidden" name="([a-z]+)" value="([^"]*)"', looked.text))
    return page.ask("POST", "/import/keep", data=fields)


def test_an_empty_file_leads_to_the_start(page):
    assert page.get("/").headers["location"] == "/start"
    text = page.get("/start").text
    assert "Put the example here" in text
    assert "How far your fairway driver goes backhand" in text


def test_who_you_are_is_kept(page, nothing):
    assert page.ask("POST", "/start/who", data=WHO).status_code == 303
    with open_store(nothing) as store:
        (thrower,) = store.throwers.all()
    assert str(thrower.hand) == "left"
    assert thrower.styles[0].fairway_distance_m == pytest.approx(92.5)
    assert page.ask("POST", "/start/who", data=WHO | {"hand": "right"}).status_code == 400


@pytest.mark.parametrize(
    ("languages", "units"),
    [
        ("", "m"), ("en-US", "ft"), ("en-US,en;q=0.9", "ft"), ("EN-us, en;q=0.5", "ft"),
        ("en-GB,en-US;q=0.9,en;q=0.8", "m"), ("de-DE,de;q=0.9,en-US;q=0.8", "m"),
        ("de;q=0.3,en-US;q=0.8", "ft"), ("en", "m"), ("*", "m"), ("en-US;q=0", "m"),
        ("en-US;q=nan", "m"), ("en-US;q=9", "m"), (",;,=", "m"), ("fr;q=0.8, en-US; q=0.9", "ft"),
    ],
)  # fmt: skip
def test_units_begin_with_what_the_browser_asks_for_and_can_be_changed(tmp_path, languages, units):
    page = Page(tmp_path / "new.db")
    asked = {"Accept-Language": languages}
    text = page.get("/start", headers=asked).text
    assert re.findall(r'<option value="(m|ft)" selected>', text) == [units]
    other = "m" if units == "ft" else "ft"
    wrong = {"units": other, "hand": "left", "backhand": "far", "level": "recreational"}
    again = page.ask("POST", "/start/who", data=wrong, headers=asked)
    assert re.findall(r'<option value="(m|ft)" selected>', again.text) == [other]
    nothing_told = page.ask("POST", "/start/who", data=wrong | {"backhand": ""}).text
    assert f"such as {300 if other == 'ft' else 90}." in nothing_told


@pytest.mark.parametrize(
    ("units", "typed"), [("ft", "300"), ("ft", "300 ft"), ("m", "300ft"), ("ft", "91,44m")]
)
def test_feet_are_feet(page, nothing, units, typed):
    page.ask("POST", "/start/who", data=WHO | {"units": units, "backhand": typed})
    with open_store(nothing) as store:
        assert store.throwers.all()[0].styles[0].fairway_distance_m == pytest.approx(91.44)


@pytest.mark.parametrize(
    "wrong",
    [
        {"hand": "both"}, {"backhand": "far"}, {"backhand": ""}, {"backhand": "nan"},
        {"backhand": "9000"}, {"level": "<script>"}, {"units": "yd"},
    ],
)  # fmt: skip
def test_a_wrong_start_is_told_with_what_was_typed(page, nothing, wrong):
    before = contents(nothing)
    answer = page.ask("POST", "/start/who", data=WHO | {"name": "kept?"} | wrong)
    assert answer.status_code == 400
    assert 'role="alert"' in answer.text
    assert 'value="kept?"' in answer.text
    assert contents(nothing) == before


def test_the_example_is_put_into_an_empty_file_only(page, nothing):
    assert page.ask("POST", "/start/example").status_code == 303
    assert "is invented" in page.get("/start").text
    after = contents(nothing)
    again = page.ask("POST", "/start/example")
    assert again.status_code == 400
    assert contents(nothing) == after


DISCS = """mold,speed,glide,turn,fade,plastic,weight,colour
AB 12,9,5,-1,2,soft base,172,blue
AB 12,,,,,firm,170ish,red
CD 3,3,3,0,1,soft base,174,white
"""


def onward(answer):
    """Return where a page leads on to, from nothing to a carry."""
    found = re.search('class="button" href="([^"]+)">Next: ', answer.text)
    return found and html.unescape(found[1])


def test_from_nothing_to_a_carry_each_page_leads_to_the_next(page, nothing, monkeypatch):
    monkeypatch.setattr(planning, "Simulator", ROUGH)
    started = page.ask("POST", "/start/who", data=WHO)
    to = onward(page.get(started.headers["location"]))
    assert to == "/import?kind=discs"
    assert 'name="kind" value="discs"' in page.get(to).text
    looked = page.ask("POST", "/import", data={"kind": "discs", "pasted": DISCS})
    assert "What this would bring" in looked.text
    to = onward(keep(page, looked))
    assert to == "/course/new"
    holes = {"name": "<b>park", "holes": "62 3\n84,5 par 3\n"}
    to = onward(page.get(page.ask("POST", to, data=holes).headers["location"]))
    assert to == "/weather"
    page.ask("POST", to, data={"name": "spring", "words": "10C dry wind 3m/s", "from": "W"})
    to = onward(page.get("/weather"))
    assert to == "/plan"
    planned = page.ask("POST", to, data={"conditions": "spring", "limit": "2"})
    assert page.worked(planned).headers["location"] == "/?plan=spring"
    assert "numbers on the rim" in page.get("/?plan=spring").text
    for path in ("/start", "/weather", "/course"):
        assert onward(page.get(path)) is None


def test_each_disc_is_shown_as_it_was_understood_before_it_is_kept(page, nothing):
    lines = "blue ZQ 9 9/5/-1.5/2 <b>base 172\nred ZQ 9, base, 170ish, worn, rolls"
    looked = page.ask("POST", "/import", data={"kind": "discs", "pasted": lines})
    assert "zq9-blue: ZQ 9, printed 9 / 5 / −1.5 / 2, &lt;b&gt;base, blue, 172 g" in looked.text
    assert "zq9-red: ZQ 9, printed 9 / 5 / −1.5 / 2, base, red, 170 g, 60 % worn, rolls" in (
        looked.text
    )
    with open_store(nothing) as store:
        assert len(store.discs) == 0
    blank = page.get("/import", params={"kind": "discs"}).text
    assert 'spellcheck="false">\n</textarea>' in blank


def test_many_wrong_rows_are_not_all_listed(page, nothing):
    looked = page.ask("POST", "/import", data={"kind": "discs", "pasted": "what is this\n" * 30})
    assert looked.text.count("no mold on file is named") == 8
    assert "… and 22 more." in looked.text


def test_what_was_pasted_can_be_changed_when_a_row_is_wrong(page, nothing):
    wrong = DISCS.replace("174", "heavy")
    looked = page.ask("POST", "/import", data={"kind": "discs", "pasted": wrong})
    assert looked.text.count("pasted.txt, line 4") == 1
    assert "CD 3,3,3,0,1,soft base,heavy,white</textarea>" in looked.text
    for pasted in ("", "mold,speed,glide,turn,fade,plastic,weight,colour"):
        empty = page.ask("POST", "/import", data={"kind": "discs", "pasted": pasted})
        assert "nothing is pasted" in empty.text
    heading = {"kind": "discs", "pasted": "mold,speed,glide,turn,fade,plastic,weight,colour"}
    chosen = look(page, "mine.csv", DISCS.encode(), **heading)
    assert "What mine.csv would bring" in chosen.text
    assert "3 discs from mine.csv" in chosen.text


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"name": ""}, "name"), ({"holes": ""}, "holes"), ({"holes": "long"}, "holes"),
        ({"holes": "62 3\n9000"}, "holes"), ({"holes": "62 9"}, "holes"),
        ({"holes": "62 3 <script>x"}, "holes"), ({"holes": "1: 62\n1: 70"}, "holes"),
    ],
)  # fmt: skip
def test_a_course_that_cannot_be_is_told_beside_its_field(page, nothing, wrong, field):
    before = contents(nothing)
    answer = page.ask("POST", "/course/new", data={"name": "park", "holes": "62 3"} | wrong)
    assert answer.status_code == 400
    assert f'id="{field}-wrong"' in answer.text
    assert "<script>x" not in answer.text
    assert contents(nothing) == before


@pytest.mark.parametrize(
    ("units", "typed", "holes"),
    [
        ("ft", "250, 310, 190, 420 par 4", [(250, None), (310, None), (190, None), (420, 4)]),
        ("ft", "250;310;190", [(250, None), (310, None), (190, None)]),
        ("ft", "250,310\n190 3, 420 4,\n", [(250, None), (310, None), (190, 3), (420, 4)]),
        ("ft", "250, 3, 420, par 4", [(250, 3), (420, 4)]),
        ("ft", "250, par 3\n310/4", [(250, 3), (310, 4)]),
        ("m", "62,5; 80,5 3; 96.5", [(62.5, None), (80.5, 3), (96.5, None)]),
        ("m", "62,88,96", [(62, None), (88, None), (96, None)]),
        ("m", "1: 62, 2: 88 par 3", [(62, None), (88, 3)]),
        ("m", "250 ft, 310ft par 4", [(76.2, None), (94.488, 4)]),
    ],
)
def test_lengths_on_one_line_are_one_hole_each(page, nothing, units, typed, holes):
    with open_store(nothing) as store:
        store.settings.put("units", units)
    kept = page.ask("POST", "/course/new", data={"name": "park", "holes": typed})
    assert kept.status_code == 303, kept.text
    with open_store(nothing) as store:
        found = store.courses.get("park").holes
    metres = 0.3048 if units == "ft" else 1.0
    assert [hole.length_m for hole in found] == pytest.approx([long * metres for long, _ in holes])
    assert [hole.ref for hole in found] == [str(number + 1) for number in range(len(holes))]
    for hole, (_, par) in zip(found, holes, strict=True):
        assert par in (None, hole.par)


@pytest.mark.parametrize(
    ("units", "typed", "told"),
    [
        ("ft", "250, 310, 2900", "Hole 3 is 2900ft long, but a hole is from 33 to 1640 feet"),
        ("ft", "30m\n9 m", "Hole 2 is 9m long, but a hole is from 33 to 1640 feet"),
        ("m", "7: 62\n8: 620", "Hole 8 is 620m long, but a hole is from 10 to 500 metres"),
    ],
)
def test_a_hole_too_long_is_told_in_what_was_typed(page, nothing, units, typed, told):
    with open_store(nothing) as store:
        store.settings.put("units", units)
    answer = page.ask("POST", "/course/new", data={"name": "park", "holes": typed})
    assert answer.status_code == 400
    assert told in answer.text


@pytest.mark.parametrize(
    ("units", "such", "unit"), [("ft", "290 3", "feet"), ("m", "88 3", "metres")]
)
def test_holes_are_asked_for_in_the_owners_units(page, nothing, units, such, unit):
    with open_store(nothing) as store:
        store.settings.put("units", units)
    assert f"its length in {unit}, then its par, as in {such};" in page.get("/course/new").text
    for wrong in ("250, long, 310", "250 310 190", ""):
        answer = page.ask("POST", "/course/new", data={"name": "park", "holes": wrong})
        assert answer.status_code == 400
        assert f"as in {such}." in answer.text


def test_from_nothing_to_a_carry_with_files_of_ones_own(page, nothing, tmp_path, monkeypatch):
    monkeypatch.setattr(planning, "Simulator", ROUGH)
    folder = tmp_path / "files"
    folder.mkdir()
    files = {path.name: path for path in write_files(folder)}
    for name in ("plastics.csv", "discs.csv", "course.csv", "winter.csv", "thrower.json"):
        before = contents(nothing)
        looked = look(page, name, files[name].read_bytes())
        assert looked.status_code == 200, looked.text
        assert "Nothing is saved yet" in looked.text
        assert contents(nothing) == before
        assert keep(page, looked).status_code == 200
        assert contents(nothing) != before
    started = page.ask("POST", "/plan", data={"conditions": "winter", "limit": "4"})
    assert page.worked(started).headers["location"] == "/?plan=winter"


def test_each_rows_problem_is_shown_and_the_good_rows_can_be_kept(page, nothing):
    rows = b"mold,speed,glide,turn,fade,plastic,weight,colour\n"
    rows += b"A1,5,4,0,2,firm,175,red\nA2,40,4,0,2,firm,175,blue\nA3,5,4,0,2,firm,heavy,red\n"
    before = contents(nothing)
    looked = look(page, "mine.csv", rows)
    assert "mine.csv, line 3" in looked.text
    assert "mine.csv, line 4" in looked.text
    assert "1 disc from mine.csv" in looked.text
    assert contents(nothing) == before
    assert keep(page, looked).status_code == 200
    with open_store(nothing) as store:
        assert [disc.mold for disc in store.discs.all()] == ["A1"]
    again = look(page, "mine.csv", b"\n".join(rows.split(b"\n")[:2]))
    assert "1 on file already would be replaced" in again.text


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("picture.png", b"\x89PNG\r\n\x1a\n\0\0"), ("empty.csv", b""), ("x.osm", b"<osm"),
        ("x.json", b"{"), ("../../x.csv", b"mold\n"), ("<script>alert(1)</script>.csv", b"a,b\n"),
        ("\u202etxt.csv", b"mold\n"), ("\N{FLYING DISC}" * 90 + ".csv", b"mold\n"), ("..", b"mold"),
        ("a\0b.csv", b"mold\n"), ("x" * 300, b"\xff\xfe\0"),
    ],
)  # fmt: skip
def test_a_file_of_the_wrong_kind_or_with_a_hostile_name_is_refused_in_words(
    page, nothing, name, content
):
    before = contents(nothing)
    looked = look(page, name, content)
    assert looked.status_code == 400
    assert 'role="alert"' in looked.text
    assert "<script>alert" not in looked.text
    assert tempfile.gettempdir() not in looked.text
    assert "\u202e" not in looked.text
    assert contents(nothing) == before


def test_no_file_and_too_big_a_file_are_refused(page):
    assert page.ask("POST", "/import", data={"kind": "discs"}).status_code == 400
    assert look(page, "x.csv", b"x" * (17 * 1024 * 1024)).status_code == 413
    assert page.ask("POST", "/import/keep", data={"upload": "abc"}).status_code == 404


def test_a_disc_is_added_once_by_form(page, nothing):
    disc = {
        "mold": "NH 9", "speed": "9", "glide": "5", "turn": "-1", "fade": "2",
        "plastic": "soft, base", "weight": "170ish", "colour": '<b>"red"',
    }  # fmt: skip
    sent_to = form_of(page, "/discs/new", "/discs/new")
    first = page.ask("POST", sent_to, data=disc)
    assert first.status_code == 303
    assert page.ask("POST", sent_to, data=disc).headers["location"] == first.headers["location"]
    assert page.get(first.headers["location"]).status_code == 200
    assert "<b>" not in page.get("/discs").text
    with open_store(nothing) as store:
        assert len(store.discs) == 1


@pytest.mark.parametrize("wrong", [{"mold": ""}, {"speed": "40"}, {"weight": "heavy"}])
def test_a_wrong_disc_is_told_with_what_was_typed(page, nothing, wrong):
    before = contents(nothing)
    disc = {"mold": "NH 9", "speed": "9", "glide": "5", "turn": "0", "fade": "2",
            "plastic": "kept?", "weight": "170"} | wrong  # fmt: skip
    answer = page.ask("POST", "/discs/new", data=disc)
    assert answer.status_code == 400
    assert 'value="kept?"' in answer.text
    assert contents(nothing) == before
