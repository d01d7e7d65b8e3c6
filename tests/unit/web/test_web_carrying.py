"""Kept carries in the browser: listed, kept for an occasion, shown and compared."""

from __future__ import annotations

import html

import pytest
from web_page import Page, form_of

from rimwise.store.opening import open_store
from tiny_season import contents

KEEP = {
    "occasion": "club <b>cup</b>", "like": "1", "discs": "kv15-red", "mold": "NH 3",
    "conditions": "winter", "items": "cool box 2.5kg 0.10 0 0.35", "on": "2026-05-03",
    "note": "doubles",
}  # fmt: skip


@pytest.fixture
def page(season) -> Page:
    return Page(season)


def test_a_carry_is_kept_once_shown_and_compared(page, season):
    sent_to = form_of(page, "/carries", "/carries")
    kept = page.ask("POST", sent_to, data=KEEP)
    assert kept.headers["location"] == "/carries/3"
    assert page.ask("POST", sent_to, data=KEEP).headers["location"] == "/carries/3"
    shown = page.get("/carries/3").text
    assert "<b>cup" not in shown
    for told in ("kv15-red", "cool box, 2.5 kg", "For the weather", "doubles", "2026-05-03"):
        assert told in shown
    assert page.get("/carries").text.count('href="/carries/') == 3
    compared = html.unescape(page.get("/carries", params={"old": "1", "new": "3"}).text)
    with open_store(season) as store:
        before, after = store.carries.get(1), store.carries.get(3)
    out = [disc for disc in before.disc_ids if disc not in after.disc_ids]
    stay = [disc for disc in after.disc_ids if disc in before.disc_ids]
    assert f"{len(stay)} stay, {len(out)} out" in compared


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"occasion": ""}, "occasion"), ({"discs": "<script>x"}, "discs"),
        ({"like": "", "discs": "", "mold": ""}, "discs"), ({"items": "a box"}, "items"),
        ({"on": "soon"}, "on"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_beside_its_field(page, season, wrong, field):
    before = contents(season)
    answer = page.ask("POST", "/carries", data=KEEP | wrong)
    assert answer.status_code == 400
    assert f'aria-describedby="{field}-wrong"' in answer.text
    assert "--" not in answer.text.split('role="alert"')[1].split("</div>")[0]
    assert "<script>x" not in answer.text
    assert contents(season) == before


@pytest.mark.parametrize(
    "path",
    [
        "/carries/99",
        "/carries/x",
        "/carries?old=1&new=99",
        "/carries?old=<script>x&new=1",
        "/carries?old=²&new=1",
        f"/carries/{'9' * 30}",
    ],
)
def test_a_carry_that_is_not_there_is_said(page, path):
    answer = page.get(path)
    assert answer.status_code in (400, 404)
    assert "<script>x" not in answer.text
