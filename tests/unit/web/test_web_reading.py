"""Pages that tell what takes a while: asked for, worked out once, kept until something changes."""

from __future__ import annotations

import html
import re

import pytest
from web_page import Page

from rimwise.app import belief_strips, learning, losing, planning, putting, wishing
from rimwise.app.how_many import how_many
from rimwise.app.reports import load_plan
from rimwise.app.swapping import make_swaps
from rimwise.errors import InputError
from rimwise.store.opening import open_store
from rimwise.web import telling
from rimwise.web.reading import READINGS
from tiny_season import ROUGH, contents


@pytest.fixture
def page(season, monkeypatch) -> Page:
    monkeypatch.setattr(planning, "Simulator", ROUGH)
    return Page(season)


def ask(page: Page, name: str, **typed: str):
    return page.get(page.worked(page.ask("POST", f"/read/{name}", data=typed)).headers["location"])


def test_every_page_is_listed_and_says_what_it_tells(page):
    listed = page.get("/more").text
    for name, reading in READINGS.items():
        assert f'href="/read/{name}"' in listed
        shown = page.get(f"/read/{name}")
        assert shown.status_code == 200
        assert reading.about in shown.text
        assert "Work it out" in shown.text
    assert page.get("/read/nothing").status_code == 404


def test_a_disc_says_why_it_goes_or_stays_in_each_plan(page):
    text = page.get("/disc/nh27-gold").text
    assert re.search("<b>winter: (goes|stays)[.]</b> .{10}", text)
    assert re.search("<b>summer: (goes|stays)[.]</b> .{10}", text)


def test_swaps_are_told_as_the_command_tells_them(page, season):
    text = ask(page, "swaps", old="winter", new="summer").text
    with open_store(season) as store:
        report = make_swaps(store, "winter", "summer")
    assert report.summary in html.unescape(text)


def test_putting_is_told_with_its_curve(page, season):
    text = ask(page, "putting", plan="summer").text
    with open_store(season) as store:
        report = putting.make_putting(store, plan="summer")
    assert report.sentences[1] in html.unescape(text)
    assert "<svg" in text
    assert " style=" not in text
    assert report.caution in text


def test_gaps_and_the_rule_are_told_as_the_command_tells_them(page, season):
    gaps, rule = (html.unescape(ask(page, one, plan="winter").text) for one in ("gaps", "rule"))
    with open_store(season) as store:
        assert wishing.tell_gaps(store, "winter").sentences[0] in gaps
        assert wishing.tell_rule(store, "winter").words in rule


def test_what_a_lost_disc_costs_is_told_with_where_to_go_on(page, season):
    with open_store(season) as store:
        lost = load_plan(store, "winter").chosen[0]
        report = losing.tell_lost(store, lost, "winter")
    text = html.unescape(ask(page, "lost", plan="winter", disc=lost).text)
    assert report.sentences[0] in text
    assert f'href="/disc/{lost}"' in text
    assert "`rimwise" not in text


def test_a_disc_marked_as_lost_leads_to_what_repairs_the_carry(page, season):
    with open_store(season) as store:
        lost = load_plan(store, "winter").chosen[0]
    version = re.search('name="version" value="([0-9a-f]+)"', page.get(f"/disc/{lost}").text)[1]
    page.ask("POST", f"/disc/{lost}", data={"version": version, "status": "lost"})
    for shown in (page.get(f"/disc/{lost}").text, page.get("/?plan=winter").text):
        assert "What now?" in shown
        assert 'action="/read/lost?once=' in shown
        assert f'name="disc" value="{lost}"' in shown
    told = page.get(f"/disc/{lost}").text
    assert "winter: was chosen, and is lost now." in told
    assert ": goes." not in told
    text = ask(page, "lost", plan="winter", disc=lost).text
    assert "From home, take " in text
    assert f'href="/disc/{lost}"' not in text
    assert 'href="/plan?conditions=winter"' in text


def test_how_many_is_told_with_its_curve(page, season):
    text = html.unescape(ask(page, "many", plan="winter").text)
    with open_store(season) as store:
        assert how_many(store, "winter").sentences[0] in text
    assert "<svg" in text
    assert "discs:</b>" in text
    assert "Strokes a round lost" in text


WISH = {
    "plan": "winter", "mold": "QQ <b>9</b>", "speed": "9", "glide": "5", "turn": "-1",
    "fade": "2", "plastic": "soft base", "weight": "172",
}  # fmt: skip


def test_a_wished_for_disc_is_priced_from_the_form_or_a_table_and_not_kept(page, season):
    before = contents(season)
    typed = html.unescape(ask(page, "wish", **WISH).text)
    assert "eight of ten cases" in typed
    assert "QQ <b>9</b>" not in page.get("/read/wish", params=WISH).text
    table = "mold,speed,glide,turn,fade,plastic,weight\nQQ 9,9,5,-1,2,soft base,172\n"
    filled = page.ask("POST", "/wish/file", files={"file": ("w.csv", table)})
    assert "QQ 9,9,5,-1,2,soft base,172" in filled.text
    pasted = ask(page, "wish", plan="winter", table=table)
    assert "eight of ten cases" in pasted.text
    assert contents(season) == before


def test_what_was_learnt_is_drawn_there_and_on_the_page_of_each_disc(page):
    for disc, text in (("nh27-gold", "64m 5L"), ("kv15-red", "60m 8L")):
        page.ask("POST", "/log/throw", data={"disc": disc, "text": text})
    before = page.get("/disc/kv15-red").text
    assert "<svg" not in before
    assert 'href="/read/learnt"' in before
    text = ask(page, "learnt").text
    assert text.count("<svg") == 2
    assert text.count("What is believed of kv15-red</title>") == 1
    assert "Each strip is the ground" in text
    assert "Your other discs" in text
    ids = re.findall(' id="([^"]+)"', text)
    assert len(ids) == len(set(ids))
    shown = page.get("/disc/kv15-red").text
    assert shown.count("<svg") == 1
    assert "The one throw says" in shown
    assert "<svg" not in page.get("/disc/nh27-blue").text  # nothing is on file of it
    page.ask("POST", "/log/throw", data={"disc": "kv15-red", "text": "61m 8L"})
    assert "<svg" not in page.get("/disc/kv15-red").text  # it rests on less than is on file


def test_discs_beyond_the_first_strips_lead_to_their_own_pages(page, monkeypatch):
    monkeypatch.setattr(telling, "_MOST_STRIPS", 1)
    for disc in ("nh27-gold", "kv15-red"):
        page.ask("POST", "/log/throw", data={"disc": disc, "text": "64m 5L"})
    text = ask(page, "learnt").text
    assert text.count("<svg") == 1
    (other,) = re.findall('href="(/disc/[^"]+)"', text)
    assert page.get(other).text.count("<svg") == 1


def test_a_list_to_share_is_told(page):
    assert "NH" in ask(page, "share", plan="winter").text


def test_what_was_worked_out_is_kept_until_something_changes(page, monkeypatch):
    asked: list[int] = []
    told = learning.LearntReport("3 throws", True, (), ("Told so.",), (), "m")
    drawn = belief_strips.LearntDrawn(told, ())

    def counted(_store):
        asked.append(1)
        return drawn

    monkeypatch.setattr(belief_strips, "draw_learnt", counted)
    assert "Told so." in ask(page, "learnt").text
    assert "Told so." in page.get("/read/learnt").text
    again = page.ask("POST", "/read/learnt")
    assert again.headers["location"].startswith("/read/learnt")
    assert len(asked) == 1
    page.ask("POST", "/log/throw", data={"disc": "nh27-gold", "text": "64m 5L"})
    assert "Told so." not in page.get("/read/learnt").text
    ask(page, "learnt")
    assert len(asked) == 2


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("swaps", {"old": "winter", "new": "winter"}),
        ("swaps", {"old": "<script>x", "new": "winter"}),
        ("tee", {"hole": "99", "conditions": "winter"}),
        ("tee", {"hole": "1", "conditions": "<script>x"}),
        ("field", {"throws": "many"}),
        ("wish", {"plan": "winter"}),
        ("wish", {"plan": "winter", "table": "<script>x"}),
        ("wish", WISH | {"weight": "heavy"}),
        ("lost", {"plan": "winter", "disc": "<script>x"}),
        ("many", {"plan": "<script>x"}),
    ],
)
def test_what_cannot_be_worked_out_is_said_and_changes_nothing(page, season, name, typed):
    before = contents(season)
    told = ask(page, name, **typed)
    assert told.status_code == 400
    assert 'role="alert"' in told.text
    assert "<script>x" not in told.text
    assert contents(season) == before


def test_the_tee_is_told_with_a_picture_and_the_cautions(page, monkeypatch):
    from rimwise.app import tee
    from rimwise.app.solving import Question

    def quick(store, ref, asked, *, lie, progress):
        question = Question(asked.conditions, discs=("nh27-gold",), quick=True)
        return tell(store, ref, question, lie=lie, progress=progress)

    tell = tee.tell_tee
    monkeypatch.setattr(tee, "tell_tee", quick)
    text = ask(page, "tee", hole="1", conditions="winter").text
    assert "Hole 1" in text
    assert "nobody in range" in text
    assert text.index("nobody in range") < text.index("<svg")
    assert " style=" not in text


def test_swaps_gaps_and_wishes_rest_on_solved_holes_where_that_is_asked(page, monkeypatch):
    def asked(*_given, on_holes, **_more):
        raise InputError(f"Asked with {on_holes}.")

    for one in ("wishing.tell_gaps", "wishing.tell_wishes", "swapping.make_swaps"):
        monkeypatch.setattr(f"rimwise.app.{one}", asked)
    typed = {"gaps": {"plan": "winter"}, "wish": WISH, "swaps": {"old": "winter", "new": "summer"}}
    for name, said in typed.items():
        assert (
            "Play every hole out first, woods and water included" in page.get(f"/read/{name}").text
        )
        for answer in ("yes", "no"):
            shown = ask(page, name, **said, on_holes=answer).text
            assert f"Asked with {answer == 'yes'}." in shown
