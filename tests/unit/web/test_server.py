"""The page on this computer: what it shows, whom it answers, what it allows."""

from __future__ import annotations

import hashlib
import re
import threading
import time
from dataclasses import replace
from importlib import resources
from pathlib import Path

import pytest
from web_page import Page, form_of

from rimwise.app.reports import load_plan, save_plan
from rimwise.decide.report import CarSwap
from rimwise.records.discs import Weight
from rimwise.store.opening import open_store
from rimwise.web import warming
from rimwise.web.reading import READINGS
from tiny_season import contents


@pytest.fixture
def page(season) -> Page:
    return Page(season)


def test_home_says_what_goes_what_stays_and_what_is_uncertain(page):
    answer = page.get("/")
    assert answer.status_code == 200
    for heading in (
        "Carry for summer",
        "What goes: 4",
        "What stays: 2",
        "Why each goes",
        "What is uncertain",
    ):
        assert heading in answer.text
    assert "<svg" in answer.text


def test_home_lists_what_goes_and_stays_by_role_before_it_says_why(page, season):
    with open_store(season) as store:
        plan = load_plan(store, "summer")
    text = page.get("/").text
    goes, stays = text.split("What goes: 4")[1].split("What stays: 2")
    stays, why = stays.split("Why each goes")
    lines = [plan.disc(disc) for disc in plan.chosen]
    for role in {line.role for line in lines}:
        assert f"<b>{role[0].upper()}{role[1:]}s:</b>" in goes
    assert all(line.label in goes for line in lines)
    assert all(plan.disc(left.disc_id).label in stays for left in plan.left)
    assert all(f"<b>{line.label}:</b>" in why for line in lines)


def test_home_says_what_was_wished_and_what_stays_in_the_car(season):
    with open_store(season) as store:
        plan = load_plan(store, "summer")
        carried, other = plan.chosen[0], next(d for d in plan.chosen if d != plan.chosen[0])
        swap = CarSwap("<b>calm</b>", (carried,), (other,), 0.04, 0.01)
        wish = f"{carried} must go"
        save_plan(store, replace(plan, wishes=(wish,), alternates=(other,), car_swaps=(swap,)))
    text = Page(season).get("/").text
    label = plan.disc(carried).label
    assert f"<li>{label} must go: that changes nothing.</li>" in text
    assert f'<a href="/disc/{other}">{other}</a> <b>{plan.disc(other).label}</b>.' in text
    car = text.split("What stays in the car")[1].split("What is uncertain")[0]
    assert plan.disc(other).label in car.split("<ul")[1]
    assert "0.04" in car
    assert "<b>calm" not in text


def test_a_plan_can_be_named_with_what_changed_since(page):
    assert "Carry for winter" in page.get("/", params={"plan": "winter"}).text
    since = page.get("/sheet", params={"plan": "summer", "since": "winter"})
    top = since.text.split("<main>")[0]
    for to in re.findall(r'<a href="([^"]+)"', top):
        assert page.get(to).status_code == 200
    assert top.count("<a href=") == 3
    assert since.status_code == 200
    assert "winter" in since.text
    assert since.text.count("<svg") >= 3


def test_without_a_plan_the_first_steps_are_told(unplanned):
    answer = Page(unplanned).get("/")
    assert answer.status_code == 200
    assert 'href="/plan"' in answer.text


def test_the_tee_is_at_hand_on_every_page_and_says_what_is_missing_before_a_carry(page, tmp_path):
    for path in ("/", "/log", "/more", "/start", "/no-such-page"):
        assert '<a href="/read/tee">Tee</a>' in page.get(path).text
    assert "<button>Work it out</button>" in page.get("/read/tee").text
    bare = Page(tmp_path / "bare.db").get("/read/tee")
    assert bare.status_code == 200
    assert "this needs a carry first" in bare.text
    assert 'href="/start">Next: say how far you throw</a>' in bare.text
    assert "Work it out" not in bare.text


@pytest.mark.parametrize("path", ["/", "/sheet"])
def test_an_unknown_plan_is_not_found_and_hostile_text_stays_text(page, path):
    answer = page.get(path, params={"plan": "<script>alert(1)</script>"})
    assert answer.status_code == 404
    assert "<script>alert" not in answer.text
    assert "&lt;script&gt;" in answer.text


@pytest.mark.parametrize("host", ["example.org", "10.0.0.5", "127.0.0.1.example.org"])
def test_another_host_name_is_refused(page, host):
    """A name that a foreign page could point at this computer (DNS rebinding)."""
    assert page.get("/", headers={"host": host}).status_code == 400


@pytest.mark.parametrize("path", ["/", "/discs", "/log", "/sheet", "/no-such-page"])
def test_nothing_may_be_fetched_from_elsewhere_framed_or_run_within_a_page(page, path):
    headers = page.get(path).headers
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "script-src 'unsafe-inline'" not in policy
    assert "script-src 'self'" in policy or path == "/sheet"
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "same-origin"


@pytest.mark.parametrize("path", ["/", "/discs", "/log", "/sheet"])
def test_a_page_names_no_other_address(page, path):
    text = page.get(path).text
    addresses = set(re.findall(r"https?://[^\s\"'<>)]+", text))
    assert addresses <= {"http://www.w3.org/2000/svg"}
    assert re.findall("<script(?! src=./static/)", text) == []
    assert " style=" not in text or path == "/sheet"


def test_the_vendored_script_is_the_one_named():
    folder = Path(str(resources.files("rimwise.web") / "static"))
    found = hashlib.sha256((folder / "htmx.min.js").read_bytes()).hexdigest()
    assert found in (folder / "VENDORED.txt").read_text(encoding="utf-8")


def test_a_browser_keeps_static_files_until_they_are_others(page):
    found = re.search(r'href="(/static/rimwise\.css\?v=([0-9a-f]+))"', page.get("/").text)
    kept = page.get(found[1])
    assert "immutable" in kept.headers["cache-control"]
    assert hashlib.sha256(kept.content).hexdigest().startswith(found[2])
    assert page.get("/static/rimwise.css").headers["cache-control"] == "no-store"
    assert page.get("/").headers["cache-control"] == "no-store"


@pytest.mark.parametrize(("path", "live"), [("/", False), ("/discs", False), ("/plan", True)])
def test_only_pages_with_a_form_that_is_sent_live_load_the_script_for_it(page, path, live):
    text = page.get(path).text
    assert (" hx-boost=" in text) == ("/static/htmx.min.js" in text) == live


def test_the_cart_is_packed_again_only_when_something_changed(page, season, monkeypatch):
    from rimwise.app import packing

    packed = []
    true = packing.pack_cart
    monkeypatch.setattr(packing, "pack_cart", lambda *a, **k: packed.append(1) or true(*a, **k))
    shown = page.get("/pack").text
    assert page.get("/pack").text == shown
    assert len(packed) == 1
    with open_store(season) as store:
        cart = store.carts.all()[0]
        store.carts.put(replace(cart, com_z_m=cart.com_z_m + 0.2))
    assert page.get("/pack").text != shown
    assert len(packed) == 2


def test_pages_are_asked_before_anyone_opens_them(monkeypatch):
    asked = []
    monkeypatch.setattr(warming, "_ask", lambda _port, path: asked.append(path))
    monkeypatch.setattr(warming, "_PAUSE_S", 0.0)
    monkeypatch.setattr(warming.gc, "freeze", lambda: asked.append("done"))
    ready = threading.Event()
    warming.warm_up(1, ready.set)
    assert ready.wait(10)
    deadline = time.monotonic() + 10
    while "done" not in asked and time.monotonic() < deadline:
        time.sleep(0.01)
    assert asked[0] == "/"
    assert "/pack" in asked


def test_a_missing_data_file_is_said_on_the_page(tmp_path):
    answer = Page(tmp_path / "none" / "x.db").get("/")
    assert answer.status_code == 500
    assert "folder does not exist" in answer.text


def test_there_is_no_other_page(page):
    for path in ("/docs", "/openapi.json", "/../etc/passwd", "/static/x", "/static/../server.py"):
        assert page.get(path).status_code == 404
    assert page.ask("POST", "/").status_code == 405


@pytest.mark.parametrize(
    "headers",
    [
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
        {"origin": "http://example.org"},
        {"origin": "http://127.0.0.1:9"},
        {"origin": "null"},
    ],
)
def test_what_another_site_sends_changes_nothing(page, season, headers):
    before = contents(season)
    answer = page.ask("POST", "/log/delete", data={"id": "t1"}, headers=headers)
    assert answer.status_code == 403
    assert contents(season) == before


def test_too_much_is_refused(page):
    answer = page.ask("POST", "/log/throw", data={"disc": "x" * 2_000_000})
    assert answer.status_code == 413


def test_a_throw_is_kept_deleted_and_brought_back(page, season):
    own = {"origin": "http://127.0.0.1", "sec-fetch-site": "same-origin"}
    throw = {"disc": "nh27-gold", "text": "64m 5L"}
    kept = page.ask("POST", "/log/throw", data=throw, headers=own)
    assert kept.status_code == 303
    assert "t1 kept" in page.get(kept.headers["location"]).text
    assert page.ask("POST", "/log/delete", data={"id": "t1"}).status_code == 303
    assert "Bring back t1" in page.get("/log").text
    assert page.ask("POST", "/log/undelete", data={"id": "t1"}).status_code == 303
    assert "Delete t1" in page.get("/log").text


@pytest.mark.parametrize(
    "hostile",
    ["<script>alert(1)</script>", "\u202eevil", "\N{FLYING DISC}" * 40, "", "a\0b", "x" * 9000],
)
@pytest.mark.parametrize(
    ("path", "field"),
    [
        ("/log/throw", "disc"),
        ("/log/throw", "text"),
        ("/log/throw", "on"),
        ("/log/comparison", "words"),
    ],
)
def test_bad_input_is_said_beside_the_form_and_nothing_is_kept(page, season, path, field, hostile):
    before = contents(season)
    typed = {"disc": "nh27-gold", "text": "64m 5L"} | {field: hostile}
    if field == "on" and not hostile:
        return
    answer = page.ask("POST", path, data=typed)
    assert answer.status_code == 400
    assert 'role="alert"' in answer.text
    assert "<script>alert" not in answer.text
    if field != "words":
        assert 'value="64m 5L"' in answer.text or field == "text"
    assert contents(season) == before


def _version(page: Page) -> str:
    text = page.get("/disc/nh27-gold").text
    assert "NH 27 firm glossy, gold; printed 7 / 5 / −1 / 2" in text
    return re.search('name="version" value="([0-9a-f]+)"', text)[1]


def test_a_disc_is_edited_and_the_same_form_again_changes_nothing(page, season):
    typed = {"version": _version(page), "status": "lost", "note": "<b>pond</b>"}
    assert page.ask("POST", "/disc/nh27-gold", data=typed).status_code == 303
    assert "&lt;b&gt;pond" in page.get("/disc/nh27-gold").text
    after = contents(season)
    assert page.ask("POST", "/disc/nh27-gold", data=typed).status_code == 303
    assert contents(season) == after


def test_a_stale_edit_is_refused_with_both_versions(page, season):
    version = _version(page)
    page.ask("POST", "/disc/nh27-gold", data={"version": version, "note": "first"})
    before = contents(season)
    late = page.ask("POST", "/disc/nh27-gold", data={"version": version, "note": "second"})
    assert late.status_code == 409
    assert "first" in late.text
    assert "second" in late.text
    assert contents(season) == before


@pytest.mark.parametrize("wear", ["7", "soft", "nan"])
def test_a_bad_edit_saves_nothing_of_it(page, season, wear):
    before = contents(season)
    typed = {"version": _version(page), "note": "kept?", "wear": wear}
    answer = page.ask("POST", "/disc/nh27-gold", data=typed)
    assert answer.status_code == 400
    assert "kept?" in answer.text
    assert contents(season) == before


def test_a_disc_that_was_weighed_is_saved_and_left_alone_to_the_bit_else(page, season):
    with open_store(season) as store:
        before = store.discs.get("nh27-gold")
        store.discs.put(replace(before, weight=Weight(171.234, 2.0)))
    assert 'value="169.2-173.2"' in page.get("/disc/nh27-gold").text
    page.ask("POST", "/disc/nh27-gold", data={"version": _version(page), "weight": "169.2-173.2",
                                              "note": "still"})  # fmt: skip
    with open_store(season) as store:
        assert store.discs.get("nh27-gold").weight == Weight(171.234, 2.0)
    typed = {"version": _version(page), "weight": "170.5"}
    saved = page.ask("POST", "/disc/nh27-gold", data=typed)
    assert saved.status_code == 303
    assert '<p role="status">Saved.' in page.get(saved.headers["location"]).text
    assert "Saved." not in page.get("/disc/nh27-gold").text
    with open_store(season) as store:
        assert store.discs.get("nh27-gold").weight == Weight(170.5, 1.0)
    wrong = page.ask("POST", "/disc/nh27-gold", data={"version": _version(page), "weight": "9"})
    assert wrong.status_code == 400
    assert 'id="weight-wrong"' in wrong.text


def test_an_unknown_disc_is_not_found(page):
    assert page.get("/disc/<script>").status_code == 404


def test_the_cart_says_where_each_disc_goes(page):
    answer = page.get("/pack")
    assert answer.status_code == 200
    assert "NH 27" in answer.text


def test_weather_in_plain_words_is_kept_once(page, season):
    typed = {"name": "league", "words": "4C wet wind 5m/s", "from": "SW"}
    assert page.ask("POST", "/weather", data=typed).status_code == 303
    assert ">league</h2>" in page.get("/weather").text
    before = contents(season)
    assert page.ask("POST", "/weather", data=typed).status_code == 400
    assert contents(season) == before


@pytest.mark.parametrize("wrong", [{"name": ""}, {"words": "<script>x"}, {"from": "up"}])
def test_weather_that_is_not_understood_stays_in_theform_of(page, season, wrong):
    before = contents(season)
    typed = {"name": "league", "words": "4C wet wind 5m/s", "from": "SW"} | wrong
    answer = page.ask("POST", "/weather", data=typed)
    assert answer.status_code == 400
    assert 'role="alert"' in answer.text
    assert "<script>x" not in answer.text
    assert "--" not in answer.text.split('role="alert"')[1].split("</p>")[0]
    assert contents(season) == before


def test_a_form_sent_twice_is_carried_out_once_and_answered_alike(page, season):
    sent_to = form_of(page, "/log", "/log/throw")
    throw = {"disc": "nh27-gold", "text": "64m 5L"}
    first = page.ask("POST", sent_to, data=throw)
    assert first.headers["location"] == "/log?kept=t1"
    after = contents(season)
    second = page.ask("POST", sent_to, data=throw)
    assert (second.status_code, second.headers["location"]) == (303, "/log?kept=t1")
    assert contents(season) == after


def test_two_sendings_at_once_keep_one(page, season):
    sent_to = form_of(page, "/log", "/log/throw")
    throw = {"disc": "nh27-gold", "text": "64m 5L"}
    answers = page.ask_at_once(2, "POST", sent_to, data=throw)
    assert [one.headers["location"] for one in answers] == ["/log?kept=t1"] * 2
    assert "Delete t2" not in page.get("/log").text


def test_going_back_and_typing_something_else_is_another_throw(page):
    sent_to = form_of(page, "/log", "/log/throw")
    page.ask("POST", sent_to, data={"disc": "nh27-gold", "text": "64m 5L"})
    other = page.ask("POST", sent_to, data={"disc": "nh27-gold", "text": "66m 2R"})
    assert other.headers["location"] == "/log?kept=t2"


def test_each_rendering_of_a_form_has_a_token_of_its_own(page):
    assert form_of(page, "/log", "/log/throw") != form_of(page, "/log", "/log/throw")
    for path in ("/log", "/weather", "/disc/nh27-gold"):
        forms = re.findall('<form method="post"[^>]*>', page.get(path).text)
        assert forms
        assert all("?once=" in form for form in forms)


def test_too_much_is_refused_with_a_token_too(page):
    sent_to = form_of(page, "/log", "/log/throw")
    answer = page.ask("POST", sent_to, data={"disc": "x" * 2_000_000})
    assert answer.status_code == 413
    assert "<h1>" in answer.text


def test_an_optional_value_of_a_disc_is_emptied_and_a_wrong_one_told_beside_its_field(page, season):
    page.ask("POST", "/disc/nh27-gold", data={"version": _version(page), "note": "first"})
    emptied = {"version": _version(page), "note": "", "cost": "18"}
    assert page.ask("POST", "/disc/nh27-gold", data=emptied).status_code == 303
    with open_store(season) as store:
        disc = store.discs.get("nh27-gold")
    assert (disc.note, disc.cost) == ("", 18.0)
    wrong = page.ask("POST", "/disc/nh27-gold", data={"version": _version(page), "wear": "7"})
    assert 'aria-describedby="wear-wrong"' in wrong.text
    assert 'href="#wear"' in wrong.text
    without = page.ask("POST", "/disc/nh27-gold", data={"version": _version(page), "wear": ""})
    assert without.status_code == 400
    missing = page.ask("POST", "/discs/new", data={"mold": "NH 9", "plastic": "soft"})
    assert 'aria-describedby="weight-wrong"' in missing.text


MAIN = (
    *("/", "/plan", "/discs", "/discs/new", "/log", "/weather", "/pack", "/sheet", "/more"),
    *("/start", "/import", "/settings", "/settings/assumptions", "/carries", "/log/field"),
    *("/log/new/round", "/log/new/putts", "/log/entries", "/pack/measure", "/help/start"),
    *(f"/read/{name}" for name in READINGS),
)


def test_no_page_sends_its_reader_to_a_terminal(page, tmp_path):
    """With everything on file, and with nothing: where there is a page, it is named instead."""
    data = tmp_path / "empty.db"
    open_store(data).close()
    for asked in (page, Page(data)):
        for path in MAIN:
            answer = asked.get(path)
            assert answer.status_code in (200, 303, 400, 404), path
            assert "`rimwise" not in answer.text, path
            assert " --" not in answer.text.split("<main")[-1], path


@pytest.mark.parametrize("path", ["/log/putts", "/wish/file", "/start/who", "/log/throw"])
def test_a_form_that_was_answered_can_be_loaded_again(page, path):
    assert page.get(path).status_code == 303
