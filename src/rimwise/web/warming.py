"""Ready before it is asked: parts of the program are loaded when a page first needs them."""

from __future__ import annotations

import gc
import http.client
import threading
import time
from collections.abc import Callable
from contextlib import suppress

__all__ = ["warm_up"]

#: Before these, the first page; the slower ones last, so that they keep nobody waiting.
_PAGES = ("/discs", "/plan", "/log", "/weather", "/carries", "/log/field", "/pack", "/sheet")
#: Whoever opens the first page at once shall not wait for the others.
_PAUSE_S = 1.5


def warm_up(port: int, ready: Callable[[], None]) -> None:
    """Ask the first page, say that browsers can connect, then ask others, all in the background.

    A page that fails is left to whoever opens it: there it says what is wrong.
    """
    threading.Thread(target=_ask_each, args=(port, ready), daemon=True).start()


def _ask_each(port: int, ready: Callable[[], None]) -> None:
    try:
        _ask(port, "/")
    finally:
        ready()
    time.sleep(_PAUSE_S)
    for path in _PAGES:
        _ask(port, path)
    # What is loaded now stays; looking through all of it again and again would stall pages.
    gc.collect()
    gc.freeze()


def _ask(port: int, path: str) -> None:
    with suppress(OSError, http.client.HTTPException):
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60.0)
        try:
            connection.request("GET", path)
            connection.getresponse().read()
        finally:
            connection.close()
