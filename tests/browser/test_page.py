"""The page in a real browser, at the size of a phone and of a laptop.

Set RIMWISE_REQUIRE_BROWSER=1 to turn a missing browser into a failure.
"""

from __future__ import annotations

import os
import shutil
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

pytestmark = pytest.mark.browser

CHROMIUM = shutil.which("chromium")
REQUIRED = os.environ.get("RIMWISE_REQUIRE_BROWSER") == "1"
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
ARTEFACTS = Path(__file__).parent.parent.parent / "artefacts"
SIZES = {"phone": (390, 844), "laptop": (1280, 800)}


@pytest.fixture(scope="module")  # an event loop left running breaks tests that follow
def browser() -> Iterator[Any]:
    if CHROMIUM is None:
        if REQUIRED:
            pytest.fail("Chromium is not installed, but RIMWISE_REQUIRE_BROWSER asks for it.")
        pytest.skip("Chromium is not installed")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        opened = play.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        yield opened
        opened.close()


@contextmanager
def served(data: Path) -> Iterator[tuple[str, Any]]:
    """Serve the pages over a data file; gives their address and the application."""
    from rimwise.web.server import build_app, listening, server_of

    place, app = listening("127.0.0.1", 0), build_app(data)
    server = server_of(app)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [place]}, daemon=True)
    thread.start()
    deadline = time.monotonic() + 20
    while not server.started and time.monotonic() < deadline:
        time.sleep(0.05)
    assert server.started
    yield f"http://127.0.0.1:{place.getsockname()[1]}/", app
    server.should_exit = True
    thread.join(timeout=20)
    assert not thread.is_alive()


@pytest.fixture
def address(season: Path) -> Iterator[str]:
    with served(season) as (found, _app):
        yield found


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("size", SIZES)
def test_the_sheet_reads_well(browser: Any, address: str, size: str, theme: str) -> None:
    width, height = SIZES[size]
    context = browser.new_context(viewport={"width": width, "height": height}, color_scheme=theme)
    page = context.new_page()
    asked: list[str] = []
    wrong: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: wrong.append(message.text))
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.add_init_script(path=Path(__file__).parent / "vendor" / "axe.min.js")
    answer = page.goto(f"{address}sheet?plan=summer&since=winter")
    assert answer.status == 200
    assert page.locator("h1").is_visible()
    assert page.locator("svg[role=img]").count() >= 4
    assert page.locator("svg[role=img]").first.is_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    ARTEFACTS.mkdir(exist_ok=True)
    page.screenshot(path=ARTEFACTS / f"sheet-{size}-{theme}.png", full_page=True)
    assert [url for url in asked if not url.startswith(address)] in ([], [f"{address}favicon.ico"])
    assert [text for text in wrong if "favicon" not in text] == []
    found = page.evaluate("axe.run(document, {resultTypes: ['violations']})")
    assert found["passes"]
    assert [one["id"] for one in found["violations"]] == []
    page.get_by_role("link", name="Carry").click()
    assert page.get_by_role("heading", level=1).inner_text() == "Carry for summer"
    context.close()


@pytest.mark.parametrize("script", [True, False])
def test_a_carry_is_planned_with_and_without_script(
    browser: Any, address: str, script: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The page of the job leads on by itself, polling or refreshing; going back finds it again."""
    from rimwise.app import planning
    from tiny_season import ROUGH

    monkeypatch.setattr(planning, "Simulator", ROUGH)
    context = browser.new_context(java_script_enabled=script)
    page = context.new_page()
    page.goto(f"{address}plan")
    page.get_by_label("For which weather").select_option("winter")
    if script:  # without, the browser asks before it goes back to what a form was answered
        page.get_by_label("Most discs to carry").fill("many")
        page.get_by_role("button", name="Choose my carry").click()
        page.get_by_role("alert").wait_for()
        assert page.get_by_label("Most discs to carry").input_value() == "many"
    page.get_by_label("Most discs to carry").fill("3")
    page.get_by_role("button", name="Choose my carry").click()
    page.get_by_role("heading", name="What goes: 3").wait_for(timeout=30_000)
    assert page.url.endswith("plan=winter")
    page.go_back()
    page.reload()
    assert page.get_by_role("heading", level=1).is_visible()
    context.close()


def test_a_file_is_looked_at_and_kept_by_keyboard_alone(
    browser: Any, address: str, tmp_path: Path
) -> None:
    table = tmp_path / "new.csv"
    table.write_text("disc,mold,plastic,weight\nspare-nh27,NH 27,soft base,171\n", encoding="utf-8")
    page = browser.new_page()
    page.goto(f"{address}import")
    page.get_by_label("File, up to").set_input_files(table)
    page.get_by_label("Name for").press("Enter")
    page.get_by_text("Nothing is saved yet").wait_for()
    for _ in range(20):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.textContent") == "Keep it":
            break
    page.keyboard.press("Enter")
    page.get_by_role("status").wait_for()
    page.goto(f"{address}discs")
    assert page.get_by_role("link", name="spare-nh27").is_visible()
    page.close()


@pytest.mark.parametrize("script", [True, False])
def test_a_throw_is_logged_with_and_without_script(
    browser: Any, address: str, script: bool
) -> None:
    context = browser.new_context(java_script_enabled=script)
    page = context.new_page()
    page.goto(f"{address}log")
    page.get_by_label("Disc", exact=True).fill("nh27-gold")
    page.get_by_label("Where it came to rest").fill("far away")
    page.get_by_role("button", name="Keep this throw").click()
    page.get_by_role("alert").wait_for()
    assert page.get_by_label("Where it came to rest").input_value() == "far away"
    page.get_by_label("Where it came to rest").fill("64m 5L")
    page.get_by_role("button", name="Keep this throw").click()
    page.get_by_role("status").wait_for()
    assert "64 m" in page.get_by_role("status").inner_text()
    context.close()


def test_the_sheet_prints(browser: Any, address: str, tmp_path: Path) -> None:
    page = browser.new_page()
    page.goto(f"{address}sheet")
    assert page.get_by_role("navigation").is_visible()
    page.emulate_media(media="print")
    assert not page.get_by_role("navigation").is_visible()
    printed = page.pdf(format="A4")
    assert printed.startswith(b"%PDF")
    assert len(printed) > 10_000
    page.close()


def test_a_saved_sheet_needs_no_network(browser: Any, season: Path, tmp_path: Path) -> None:
    from rimwise.app.sheets import write_sheet
    from rimwise.store.opening import open_store

    with open_store(season) as store:
        written = write_sheet(store, tmp_path / "sheet.html", conditions="summer", since="winter")
    context = browser.new_context(offline=True)
    page = context.new_page()
    page.goto(Path(written.path).as_uri())
    assert page.locator("h1").is_visible()
    assert page.locator("svg[role=img]").count() >= 4
    assert page.get_by_role("navigation").count() == 0
    context.close()
