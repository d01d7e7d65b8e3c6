"""Planning in the browser: the form, the job that works it out, and what it leaves behind."""

from __future__ import annotations

import dataclasses
import html
import json
import re
import threading

import pytest
from web_page import Page

from rimwise.app import planning
from rimwise.app.asking import Asked, load_asked, save_asked
from rimwise.app.reports import load_plan, plan_names
from rimwise.records.discs import Status
from rimwise.store.opening import open_store
from rimwise.web.asking import asked_in, typed_of
from tiny_season import ROUGH, contents

FORM = {"conditions": "winter", "limit": "4"}


@pytest.fixture
def page(unplanned, monkeypatch) -> Page:
    monkeypatch.setattr(planning, "Simulator", ROUGH)
    return Page(unplanned)


@pytest.fixture
def held(monkeypatch):
    """Let a plan wait at its first progress until it is let go."""
    let_go, reached = threading.Event(), threading.Event()

    def waiting(store, name, asked, *, progress, **_rest):
        progress("throwing", 0.25)
        reached.set()
        assert let_go.wait(30)
        progress("choosing", 1.0)

    monkeypatch.setattr(planning, "make_plan", waiting)
    yield let_go, reached
    let_go.set()


def test_a_carry_is_planned_from_the_form_with_its_wishes(page, unplanned):
    typed = FORM | {"disc:nh27-gold": "goes", "disc:nh27-blue": "stays", "changes": ""}
    ended = page.worked(page.ask("POST", "/plan", data=typed))
    assert ended.headers["location"] == "/?plan=winter"
    assert "What goes: 4" in page.get("/?plan=winter").text
    with open_store(unplanned) as store:
        chosen = load_plan(store, "winter").chosen
        assert load_asked(store, "winter").must == ("nh27-gold",)
    assert "nh27-gold" in chosen
    assert "nh27-blue" not in chosen
    again = page.get("/plan?conditions=winter").text
    assert again.count("selected>must go") == 1
    assert again.count("selected>must stay home") == 1


def test_wishes_that_the_form_does_not_show_stay_in_force(page, unplanned):
    with open_store(unplanned) as store:
        save_asked(store, "winter", Asked(limit=2, spares=1, putting="nh3-yellow", must=("x",)))
    page.worked(page.ask("POST", "/plan", data=FORM | {"changes": ""}))
    with open_store(unplanned) as store:
        asked = load_asked(store, "winter")
    assert (asked.spares, asked.putting) == (1, "nh3-yellow")
    assert (asked.limit, asked.must) == (4, ())


WISHES = {
    "changes": "4", "changes_from": "", "keep": "", "putting": "nh3-yellow",
    "at_least": "putter: 1\nnh27-blue, nh27-gold: 1", "at_most": "mid-range: 2",
    "one_of": "kv15-red, ol17-white", "spares": "1", "floating": "1", "weight": "2000",
    "price": "0,01", "cart": "", "slope_backward": "5", "slope_forward": "", "slope_sideways": "7",
    "car": "2", "printed": "yes", "occasion": "club <b>cup</b>", "disc:nh27-gold": "liked",
    "then": "spares\nbad throws", "on_holes": "yes",
}  # fmt: skip


def test_every_wish_has_a_field_that_is_filled_again_and_an_empty_one_takes_it_back():
    asked = asked_in(FORM | WISHES, Asked())
    assert {one.name for one in dataclasses.fields(Asked) if getattr(asked, one.name)} == {
        one.name for one in dataclasses.fields(Asked)
    } - {"must", "never", "keep", "changes_from", "cart"}
    assert asked.at_least == (("putter", 1), ("nh27-blue, nh27-gold", 1))
    assert asked.slopes == (5.0, None, 7.0)
    assert asked_in(typed_of(asked, []), Asked()) == asked
    emptied = dict.fromkeys(WISHES, "") | {"limit": "20"}
    assert asked_in(emptied, asked) == Asked()


def test_the_form_asks_for_no_more_discs_than_are_at_hand(page, unplanned):
    def shown() -> str:
        return re.search(r'name="limit"[^>]* value="(\d+)"', page.get("/plan").text)[1]

    assert shown() == "6"
    with open_store(unplanned) as store:
        store.discs.put(dataclasses.replace(store.discs.get("nh27-gold"), status=Status.LOST))
        assert shown() == "5"
        for one in store.discs.all():
            store.discs.put(dataclasses.replace(one, status=Status.RETIRED))
        assert shown() == "20"
        for number in range(21):
            store.discs.put(
                dataclasses.replace(
                    store.discs.get("nh27-gold"), id=f"more-{number}", status=Status.HOME
                )
            )
        assert shown() == "20"
        save_asked(store, "winter", Asked(limit=30))
    assert 'value="30"' in page.get("/plan?conditions=winter").text


def test_all_wishes_can_be_taken_back_at_once(page, unplanned):
    with open_store(unplanned) as store:
        save_asked(store, "winter", asked_in(FORM | WISHES, Asked()))
    shown = html.unescape(page.get("/plan?conditions=winter").text)
    assert 'value="club <b>cup</b>"' in shown
    assert "nh27-blue, nh27-gold: 1" in shown
    assert "fresh=true" in shown
    fresh = page.get("/plan?conditions=winter&fresh=true").text
    assert "club" not in fresh
    assert 'id="limit" name="limit" value="6"' in fresh


def test_wishes_reach_the_plan(page, unplanned):
    wishes = {"at_most": "putter: 1", "at_least": "putter: 0", "occasion": "cup", "car": "1"}
    page.worked(page.ask("POST", "/plan", data=FORM | {"limit": "3"} | wishes))
    with open_store(unplanned) as store:
        chosen = load_plan(store, "winter").chosen
        assert [one.name for _, one in store.carries.all()] == ["cup"]
    assert len([disc for disc in chosen if disc.startswith("nh3")]) <= 1


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"at_least": "putter"}, "at_least"), ({"at_most": "putter: many"}, "at_most"),
        ({"at_most": "x: 99"}, "at_most"), ({"spares": "-1"}, "spares"),
        ({"weight": "heavy"}, "weight"), ({"price": "<script>x"}, "price"), ({"car": "²"}, "car"),
        ({"slope_forward": "steep"}, "slope_forward"), ({"putting": "<script>x"}, "putting"),
        ({"changes_from": "1"}, "changes"), ({"cart": "<script>x"}, "cart"),
    ],
)  # fmt: skip
def test_a_wrong_wish_is_told_beside_its_field(page, unplanned, wrong, field):
    before = contents(unplanned)
    answer = page.ask("POST", "/plan", data=FORM | wrong)
    assert answer.status_code == 400
    assert f'aria-describedby="{field}-wrong"' in answer.text
    assert "<details open><summary>Other wishes" in answer.text
    assert "<script>x" not in answer.text
    assert contents(unplanned) == before


def test_each_season_is_planned_in_turn(page, unplanned):
    ended = page.worked(page.ask("POST", "/plan", data=FORM | {"conditions": "*"}))
    assert ended.status_code == 303
    with open_store(unplanned) as store:
        assert plan_names(store) == ["summer", "winter"]
        kept = [load_asked(store, name).keep for name in store.conditions.keys()]  # noqa: SIM118
        first = next(iter(store.conditions.keys()))
    assert kept == [None, first]


@pytest.mark.parametrize(
    "wrong",
    [
        {"limit": "many"}, {"limit": ""}, {"limit": "0"}, {"limit": "9" * 5000}, {"limit": "²"},
        {"changes": "-1"}, {"conditions": "<script>x"}, {"disc:<script>": "goes"},
    ],
)  # fmt: skip
def test_a_wrong_form_is_told_at_once_with_what_was_typed(page, unplanned, wrong):
    before = contents(unplanned)
    answer = page.ask("POST", "/plan", data=FORM | {"disc:nh27-gold": "goes"} | wrong)
    assert answer.status_code == 400
    assert 'role="alert"' in answer.text
    assert "<script>x" not in answer.text
    assert "selected>must go" in answer.text
    assert contents(unplanned) == before


def test_wishes_that_cannot_be_met_come_back_to_the_form(page, unplanned):
    typed = FORM | {"limit": "1", "disc:nh27-gold": "goes", "disc:nh27-blue": "goes"}
    before = contents(unplanned)
    ended = page.worked(page.ask("POST", "/plan", data=typed))
    assert ended.headers["location"].startswith("/plan?job=")
    told = page.get(ended.headers["location"])
    assert "2 discs must go, but the limit is 1" in told.text
    assert told.text.count("selected>must go") == 2
    assert contents(unplanned) == before


def test_a_job_is_one_for_all_tabs_and_told_of_while_it_runs(page, held):
    let_go, reached = held
    first = page.ask("POST", "/plan", data=FORM)
    assert reached.wait(30)
    second = page.ask("POST", "/plan", data=FORM)
    assert second.headers["location"] == first.headers["location"]
    shown = page.get(first.headers["location"])
    assert "Throwing; 25 % done" in shown.text
    assert '<noscript><meta http-equiv="refresh"' in shown.text
    other = page.ask("POST", "/plan", data=FORM | {"conditions": "summer"})
    assert other.status_code == 400
    assert "Planning winter" in other.text
    let_go.set()
    assert page.worked(first).headers["location"] == "/?plan=winter"


def test_a_job_tells_how_far_it_is_until_it_ends(page, held):
    let_go, reached = held
    started = page.ask("POST", "/plan", data=FORM)
    assert reached.wait(30)
    threading.Timer(0.5, let_go.set).start()
    told = page.get(started.headers["location"] + "/events")
    assert told.headers["content-type"].startswith("text/event-stream")
    first, *_, last, rest = told.text.split("\n\n")
    assert json.loads(first.removeprefix("data: ")) == {"told": "Throwing; 25 % done", "share": 25}
    assert last == "event: ended\ndata:"
    assert rest == ""


def test_nobody_is_told_of_a_job_for_longer_than_the_server_runs(page, held):
    started = page.ask("POST", "/plan", data=FORM)
    assert held[1].wait(30)
    page.app.state.worker.close()
    assert page.get(started.headers["location"] + "/events").text == ""
    assert page.get("/job/abc/events").status_code == 404


def test_a_job_can_be_cancelled_and_leaves_nothing(page, held, unplanned):
    let_go, reached = held
    before = contents(unplanned)
    started = page.ask("POST", "/plan", data=FORM)
    assert reached.wait(30)
    assert page.ask("POST", started.headers["location"] + "/cancel").status_code == 303
    assert "Stopping" in page.get(started.headers["location"]).text
    let_go.set()
    assert "everything is as it was" in page.worked(started).text
    assert contents(unplanned) == before


def test_cancelling_between_seasons_says_what_is_kept(page, held):
    _, reached = held
    started = page.ask("POST", "/plan", data=FORM | {"conditions": "*"})
    assert reached.wait(30)
    page.ask("POST", started.headers["location"] + "/cancel")
    held[0].set()
    assert "what was chosen until then is kept" in page.worked(started).text


def test_a_fault_of_ours_is_said_and_does_not_stop_the_worker(page, monkeypatch, held):
    let_go, _ = held
    let_go.set()
    with monkeypatch.context() as patch:
        patch.setattr(planning, "make_plan", lambda *_a, **_k: 1 / 0)
        ended = page.worked(page.ask("POST", "/plan", data=FORM))
    assert "ZeroDivisionError" in page.get(ended.headers["location"]).text
    ended = page.worked(page.ask("POST", "/plan", data=FORM))
    assert ended.headers["location"] == "/?plan=winter"


def test_a_forgotten_job_is_said(page):
    answer = page.get("/job/abc")
    assert answer.status_code == 404
    assert "Ask for it once more" in answer.text
