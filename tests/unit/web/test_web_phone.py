"""The page that makes the file for the phone: asked for, worked out, saved, and anew on change."""

from __future__ import annotations

import threading
import time
from datetime import date

import pytest
from web_page import Page, form_of

from phone_examples import phone_file as example
from rimwise.app import phone
from rimwise.app.noting import When, note_throw
from rimwise.store.opening import open_store
from rimwise.web import jobs
from rimwise.web.working import Job

WHICH = {"which": "winter: raw"}


@pytest.fixture
def page(season, monkeypatch) -> Page:
    def made(_store, plan, *, day, today, progress):
        progress("hole 1", 0.5)
        assert (plan, day, today) == ("winter", "raw", date.today())
        return example()

    monkeypatch.setattr(phone, "phone_file", made)
    return Page(season)


def test_the_file_is_made_in_the_background_and_saved(page):
    assert page.get("/phone/file", params=WHICH).status_code == 404
    ended = page.worked(page.ask("POST", form_of(page, "/phone", "/phone"), data=WHICH))
    shown = page.get(ended.headers["location"]).text
    assert "It is ready, 0.1 MB" in shown
    file = page.get("/phone/file", params=WHICH)
    assert file.headers["content-disposition"].startswith("attachment")
    assert "rimwise-phone-winter.html" in file.headers["content-disposition"]
    assert file.text.startswith("<!doctype html>")
    assert "Hole 2A" in file.text


def test_it_is_told_to_be_old_when_something_changed(page, season):
    page.worked(page.ask("POST", "/phone", data=WHICH))
    with open_store(season) as store:
        note_throw(store, "nh27-gold", "64m 5L", When(date.today()))
    shown = page.get("/phone", params=WHICH).text
    assert "It is ready" not in shown
    assert "before your throws changed" in shown
    assert "make it anew" in shown
    assert page.get("/phone/file", params=WHICH).status_code == 200
    page.worked(page.ask("POST", "/phone", data=WHICH))
    assert "It is ready" in page.get("/phone", params=WHICH).text


def test_a_restart_does_not_lose_it(page, season):
    page.worked(page.ask("POST", "/phone", data=WHICH))
    again = Page(season)
    shown = again.get("/phone").text  # nothing asked for yet
    assert "save the file for winter: raw" in shown
    assert "Hole 2A" in again.get("/phone/file", params=WHICH).text


def test_what_is_made_already_is_shown_at_once(page):
    page.worked(page.ask("POST", "/phone", data=WHICH))
    again = page.ask("POST", "/phone", data=WHICH)
    assert again.headers["location"].startswith("/phone?which=")


def test_a_day_that_is_not_there_is_answered(page):
    answer = page.ask("POST", "/phone", data={"which": "winter: snow"})
    assert answer.status_code == 400
    assert "no such plan or day" in answer.text


def test_without_a_plan_it_leads_to_one(unplanned):
    answer = Page(unplanned).get("/phone")
    assert answer.status_code == 200
    assert 'href="/plan"' in answer.text
    assert "<form" not in answer.text


def test_a_job_that_ends_while_its_page_is_made_is_not_called_cancelled(page, monkeypatch):
    going, worker = threading.Event(), page.app.state.worker
    job = worker.start(Job("k", "Something", "/phone", "/phone", {}, lambda *_: going.wait(60.0)))
    made = jobs.page

    def slowly(*asked, **values):
        going.set()
        while job.state == "running":
            time.sleep(0.001)
        return made(*asked, **values)

    monkeypatch.setattr(jobs, "page", slowly)
    assert "Cancelled" not in page.get(f"/job/{job.id}").text
    assert page.get(f"/job/{job.id}").status_code == 303
