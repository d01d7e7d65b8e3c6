"""A phone is paired in a real browser: what the computer shows is opened, and the phone is in.

The second loopback address, which Linux answers without being asked to, stands for the home
network: the program takes what comes in there for what comes from elsewhere.
"""

from __future__ import annotations

import re
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from test_page import ARTEFACTS, SIZES, browser  # noqa: F401 - a fixture is known by its name

from rimwise.web.server import build_app, listening
from rimwise.web.sharing import Sharing

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(sys.platform != "linux", reason="needs a second loopback address"),
]
ELSEWHERE = "127.0.0.2"


@pytest.fixture
def sharing(season: Path) -> Iterator[Sharing]:
    import uvicorn

    first = listening("127.0.0.1", 0)
    port = first.getsockname()[1]
    shared = Sharing.of(season, ELSEWHERE, port)
    sockets = [first, listening(ELSEWHERE, port)]
    server = uvicorn.Server(uvicorn.Config(build_app(season, shared), log_level="error"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": sockets}, daemon=True)
    thread.start()
    deadline = time.monotonic() + 20
    while not server.started and time.monotonic() < deadline:
        time.sleep(0.05)
    assert server.started
    yield shared
    server.should_exit = True
    thread.join(timeout=20)


def test_a_phone_is_paired_used_and_revoked(browser: Any, sharing: Sharing) -> None:  # noqa: F811
    here, elsewhere = (f"http://{at}:{sharing.port}" for at in ("127.0.0.1", ELSEWHERE))
    computer, phone = (
        browser.new_context(viewport={"width": SIZES[one][0], "height": SIZES[one][1]})
        for one in ("laptop", "phone")
    )
    there, desk = phone.new_page(), computer.new_page()
    ARTEFACTS.mkdir(exist_ok=True)

    assert there.goto(elsewhere).status == 403
    assert there.get_by_text("This device is not paired").is_visible()
    there.screenshot(path=ARTEFACTS / "pairing-refused-phone.png")

    assert desk.goto(f"{here}/devices").status == 200
    assert desk.get_by_role("img", name="QR code").is_visible()
    desk.screenshot(path=ARTEFACTS / "pairing-devices-laptop.png", full_page=True)
    code = re.search("type ([0-9A-Z]{5}-[0-9A-Z]{5})", desk.locator("main").inner_text())[1]

    there.get_by_role("link", name="type the code here").click()
    there.get_by_label("Code").fill("22222-22222")
    there.get_by_role("button", name="Pair this device").click()
    assert there.get_by_role("alert").is_visible()
    there.get_by_label("Code").fill(code.lower())
    there.get_by_label("What to call").fill("test phone")
    assert there.evaluate("document.documentElement.scrollWidth") <= SIZES["phone"][0]
    there.screenshot(path=ARTEFACTS / "pairing-code-phone.png", full_page=True)
    there.get_by_role("button", name="Pair this device").click()
    there.get_by_role("heading", name="What goes").wait_for()
    assert there.evaluate("document.cookie") == ""  # no script can read it

    there.goto(f"{elsewhere}/discs")
    assert there.get_by_role("heading", name="Discs").is_visible()

    desk.reload()
    assert desk.get_by_text("test phone").is_visible()
    assert desk.get_by_text("No code is open").is_visible()
    desk.get_by_role("button", name="Revoke test phone").click()
    desk.get_by_text("None.").wait_for()
    assert there.reload().status == 403
    phone.close()
    computer.close()


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_axe_finds_nothing(browser: Any, sharing: Sharing, theme: str) -> None:  # noqa: F811
    axe = (Path(__file__).parent / "vendor" / "axe.min.js").read_text(encoding="utf-8")
    context = browser.new_context(color_scheme=theme, bypass_csp=True)
    page = context.new_page()
    for address in (
        f"http://127.0.0.1:{sharing.port}/devices", f"http://{ELSEWHERE}:{sharing.port}/",
        f"http://{ELSEWHERE}:{sharing.port}/pair",
    ):  # fmt: skip
        page.goto(address)
        page.evaluate(axe)
        found = page.evaluate("axe.run()")
        assert found["passes"], address
        assert [one["id"] for one in found["violations"]] == [], address
    context.close()
