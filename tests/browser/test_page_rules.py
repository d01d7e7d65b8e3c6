"""Every page in a real browser, in both themes at both sizes: it fits, breaks no rule, axe passes.

A page is loaded once; theme and size are then changed under it, as a person who turns a tablet or
switches the theme does.
"""

from __future__ import annotations

import shutil
import threading
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import Any

import httpx
import pytest
from test_page import ARTEFACTS, SIZES, browser, served  # noqa: F401 - a fixture is known by name

from rimwise.app.noted import delete_evidence
from rimwise.app.noting import When, note_putts
from rimwise.records.courses import Area, AreaKind
from rimwise.records.discs import Status
from rimwise.store.opening import open_store
from rimwise.web.working import Job

pytestmark = pytest.mark.browser

PAGES = (
    *("", "plan", "plan?conditions=winter", "discs", "disc/nh27-gold", "discs/new", "more"),
    *("pack", "pack?plan=summer&thing=upper+pouch", "pack/measure", "cart/new"),
    *("cart?name=Light+two-wheel+cart", "course", "course/hole?name=course&hole=1"),
    "course/facts?name=course&hole=1",
    *("start", "import", "import?kind=discs", "course/new", "discs/new?added=nh27-blue"),
    *("phone", "read/swaps", "read/wear", "no-such-page"),
    *("log", "log?gone=p2", "log/field", "log/new/putts", "log/new/round", "log/new/grip"),
    *("log/entries", "log/edit/p1", "weather", "weather?gone=autumn", "weather/new/numbers"),
    *("weather/new/report", "weather/new/climate", "weather/day?name=winter&at=1"),
    *("carries", "carries/1", "read/tee", "read/wish", "read/lost", "read/many", "read/risk"),
    *("read/certify", "records", "records/bring", "records/history", "settings"),
    *("settings/assumptions", "settings/assumption/wear_turn"),
    *("help", "help/start", "help/field", "help/cart", "help/assumed", "help/words"),
    *("help/cautions", "read/putting?plan=winter", "read/share?plan=winter", "job/{job}"),
)
#: Only violations are read; to write down all else takes axe as long again.
ALL_RULES = "axe.run(document, {resultTypes: ['violations']})"
#: A theme changes colours alone, so that after the first theme of a size these rules are left.
COLOUR_RULES = (
    "axe.run(document, {resultTypes: ['violations'], "
    "runOnly: ['color-contrast', 'link-in-text-block']})"
)
_STATES = (
    ("phone", "light", ALL_RULES), ("phone", "dark", COLOUR_RULES),
    ("laptop", "dark", ALL_RULES), ("laptop", "light", COLOUR_RULES),
)  # fmt: skip


@pytest.fixture(scope="module")
def pages(_seasons: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, str]]:
    """Serve a season with something of everything; give its address and a job that waits."""
    data = tmp_path_factory.mktemp("rules") / "rules.db"
    shutil.copy(_seasons / "tiny.db", data)
    with open_store(data) as store:
        note_putts(store, ["6m 13/20 8m 9/20"], When(date.today()))
        delete_evidence(store, ["p2"], datetime(2026, 5, 3))
        course = store.courses.all()[0]
        ring = ((5.0, 10.0), (25.0, 12.0), (15.0, 30.0))
        pond = Area(AreaKind.WATER, ring, (), "pond", drawn=True)
        store.courses.put(replace(course, areas=(pond,)))
        lost = store.discs.get("nh27-gold")
        store.discs.put(replace(lost, status=Status.LOST))
    done = threading.Event()

    def waits(_store: Any, progress: Any) -> None:
        progress("throwing", 0.25)
        assert done.wait(600)

    with served(data) as (address, app):
        for name in ("putting", "share", "wear"):  # what is told of these is looked at too
            httpx.post(f"{address}read/{name}", data={"plan": "winter"})
            while app.state.worker.running() is not None:
                time.sleep(0.05)
        yield address, app.state.worker.start(Job("x", "Planning x", "/", "/", {}, waits)).id
        done.set()


@pytest.mark.parametrize("part", range(4))
def test_every_page_fits_breaks_no_rule_and_axe_finds_nothing(
    browser: Any,  # noqa: F811
    pages: tuple[str, str],
    part: int,
) -> None:
    address, job = pages
    context = browser.new_context(bypass_csp=True)
    context.add_init_script(path=Path(__file__).parent / "vendor" / "axe.min.js")
    page = context.new_page()
    wrong: list[str] = []
    page.on("console", lambda message: wrong.append(message.text))
    page.on("pageerror", lambda error: wrong.append(str(error)))
    ARTEFACTS.mkdir(exist_ok=True)
    for path in PAGES[part::4]:
        page.set_viewport_size(_size("phone"))
        page.emulate_media(color_scheme="light")
        missing = path == "no-such-page"
        assert page.goto(address + path.format(job=job)).status == (404 if missing else 200), path
        page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
        for size, theme, rules in _STATES:
            where = f"{path} {size} {theme}"
            page.set_viewport_size(_size(size))
            page.emulate_media(color_scheme=theme)
            assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[size][0], where
            if rules is ALL_RULES:
                name = path.partition("{")[0].partition("?")[0].strip("/").replace("/", "-")
                shot = ARTEFACTS / f"{name or 'home'}-{size}-{theme}.png"
                page.screenshot(path=shot, full_page=True)
            found = page.evaluate(rules)
            assert found["passes"], where
            assert [one["id"] for one in found["violations"]] == [], where
        assert missing or wrong == [], path
        wrong.clear()
    context.close()


def _size(name: str) -> dict[str, int]:
    return dict(zip(("width", "height"), SIZES[name], strict=True))
