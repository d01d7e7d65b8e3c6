"""Something that takes a while, in a real browser: told as it goes on, in two tabs, cancelled."""

from __future__ import annotations

import threading
from typing import Any

import pytest
from test_page import browser, served  # noqa: F401 - a fixture is known by its name

from rimwise.web.working import Job

pytestmark = pytest.mark.browser


def test_two_tabs_are_told_how_far_it_is_and_of_a_cancel(browser: Any, season: Any) -> None:  # noqa: F811
    steps = {share: threading.Event() for share in (0.25, 0.5)}

    def work(_store: Any, progress: Any) -> None:
        for share, step in steps.items():
            progress("throwing", share)
            assert step.wait(30)
        while True:
            progress("choosing", 0.75)

    with served(season) as (address, app):
        job = app.state.worker.start(Job("x", "Planning x", "/plan", "/discs", {}, work))
        one, two = (browser.new_context(reduced_motion="reduce").new_page() for _ in range(2))
        wrong: list[str] = []
        one.on("console", lambda message: wrong.append(message.text))
        for tab in (one, two):
            tab.goto(f"{address}plan")
            tab.goto(f"{address}job/{job.id}")
            tab.get_by_text("Throwing; 25 % done").wait_for()
            tab.evaluate("window.stayed = true")
        steps[0.25].set()
        for tab in (one, two):
            tab.get_by_text("Throwing; 50 % done").wait_for()
            assert tab.evaluate("window.stayed")  # the page was not loaded again
        one.reload()
        one.get_by_text("Throwing; 50 % done").wait_for()
        steps[0.5].set()
        two.get_by_text("Choosing; 75 % done").wait_for()
        two.get_by_role("button", name="Cancel").click()
        for tab in (one, two):
            tab.get_by_text("everything is as it was").wait_for()
        one.go_back()
        one.get_by_role("heading", name="Plan", exact=True).wait_for()
        assert wrong == []
        for tab in (one, two):
            tab.context.close()


def test_the_server_stops_though_a_page_waits_and_the_end_leads_on(
    browser: Any,  # noqa: F811
    season: Any,
) -> None:
    go_on = threading.Event()

    def work(_store: Any, progress: Any) -> None:
        progress("throwing", 0.25)
        assert go_on.wait(30)

    page = browser.new_page()
    with served(season) as (address, app):
        job = app.state.worker.start(Job("x", "Planning x", "/plan", "/discs", {}, work))
        page.goto(f"{address}job/{job.id}")
        page.get_by_text("Throwing; 25 % done").wait_for()
        go_on.set()
        page.get_by_role("heading", name="Discs").wait_for()
        go_on.clear()
        job = app.state.worker.start(Job("y", "Planning y", "/plan", "/discs", {}, work))
        page.goto(f"{address}job/{job.id}")
        page.get_by_text("Throwing; 25 % done").wait_for()
    go_on.set()  # the server ended while the page still waited
    page.close()
