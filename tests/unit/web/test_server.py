"""The page on this computer: what it shows, whom it answers, what it allows."""

from __future__ import annotations

import asyncio
import re
from pathlib import Path

import httpx
import pytest

from rimwise.web.server import build_app


class Page:
    """Asks the application as a browser on this computer does, without a network."""

    def __init__(self, data: Path) -> None:
        self._app = build_app(data)

    def ask(self, method: str, path: str, **rest: object) -> httpx.Response:
        async def answer() -> httpx.Response:
            transport = httpx.ASGITransport(app=self._app)
            async with httpx.AsyncClient(
                transport=transport, base_url="http://127.0.0.1"
            ) as client:
                return await client.request(method, path, **rest)

        return asyncio.run(answer())

    def get(self, path: str, **rest: object) -> httpx.Response:
        return self.ask("GET", path, **rest)


@pytest.fixture
def page(season) -> Page:
    return Page(season)


def test_the_latest_plan_is_shown(page):
    answer = page.get("/")
    assert answer.status_code == 200
    assert "<h1" in answer.text
    assert "summer" in answer.text
    assert answer.text.count("<svg") >= 3


def test_a_plan_can_be_named_with_what_changed_since(page):
    assert "winter" in page.get("/", params={"plan": "winter"}).text
    since = page.get("/", params={"plan": "summer", "since": "winter"})
    assert since.status_code == 200
    assert "winter" in since.text


def test_without_a_plan_the_first_steps_are_told(unplanned):
    answer = Page(unplanned).get("/")
    assert answer.status_code == 200
    assert "rimwise plan" in answer.text


def test_an_unknown_plan_is_not_found_and_hostile_text_stays_text(page):
    answer = page.get("/", params={"plan": "<script>alert(1)</script>"})
    assert answer.status_code == 404
    assert "<script" not in answer.text
    assert "&lt;script&gt;" in answer.text


@pytest.mark.parametrize("host", ["example.org", "10.0.0.5", "127.0.0.1.example.org"])
def test_another_host_name_is_refused(page, host):
    """A name that a foreign page could point at this computer (DNS rebinding)."""
    assert page.get("/", headers={"host": host}).status_code == 400


def test_nothing_may_be_fetched_framed_or_run(page):
    headers = page.get("/").headers
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "script-src" not in policy
    assert "frame-ancestors 'none'" in policy
    assert headers["x-content-type-options"] == "nosniff"


def test_the_page_names_no_other_address(page):
    text = page.get("/").text
    addresses = set(re.findall(r"https?://[^\s\"'<>)]+", text))
    assert addresses <= {"http://www.w3.org/2000/svg"}
    assert "<script" not in text


def test_a_missing_data_file_is_said_on_the_page(tmp_path):
    answer = Page(tmp_path / "none" / "x.db").get("/")
    assert answer.status_code == 500
    assert "folder does not exist" in answer.text


def test_there_is_no_other_page(page):
    for path in ("/docs", "/openapi.json", "/../etc/passwd", "/static/x"):
        assert page.get(path).status_code == 404
    assert page.ask("POST", "/").status_code == 405
