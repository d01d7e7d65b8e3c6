"""Asks the pages as a browser on this computer does, without a network."""

from __future__ import annotations

import asyncio
import re
import time
from copy import copy
from pathlib import Path

import httpx

from rimwise.web.server import build_app
from rimwise.web.sharing import Sharing


class Page:
    """Asks the application as a browser on this computer does, without a network."""

    def __init__(self, data: Path, sharing: Sharing | None = None) -> None:
        self.app = build_app(data, sharing)
        self._address = "http://127.0.0.1"

    def from_elsewhere(self, address: str) -> Page:
        """Return what asks the same application at another of its addresses."""
        other = copy(self)
        other._address = address
        return other

    def ask_at_once(
        self, times: int, method: str, path: str, **rest: object
    ) -> list[httpx.Response]:
        async def answers() -> list[httpx.Response]:
            transport = httpx.ASGITransport(app=self.app)
            async with httpx.AsyncClient(transport=transport, base_url=self._address) as client:
                asked = (client.request(method, path, **rest) for _ in range(times))
                return await asyncio.gather(*asked)

        return asyncio.run(answers())

    def ask(self, method: str, path: str, **rest: object) -> httpx.Response:
        return self.ask_at_once(1, method, path, **rest)[0]

    def get(self, path: str, **rest: object) -> httpx.Response:
        return self.ask("GET", path, **rest)

    def worked(self, started: httpx.Response) -> httpx.Response:
        """Return where a job leads to once it has ended; it has four minutes.

        The first job of a run may have to compile.
        """
        assert started.status_code == 303, started.text
        deadline = time.monotonic() + 240.0
        while time.monotonic() < deadline:
            answer = self.get(started.headers["location"])
            if answer.status_code != 200 or "Cancelled" in answer.text:
                return answer
            time.sleep(0.05)
        raise AssertionError("the job did not end")


def form_of(page: Page, path: str, action: str) -> str:
    """Return where a form is sent to, with the token of this rendering."""
    found = re.search(f'action="({re.escape(action)}\\?once=[^"]+)"', page.get(path).text)
    assert found is not None
    return found[1]
