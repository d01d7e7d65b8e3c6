"""The pages on the home network: whom they answer there, and how a phone is let in."""

from __future__ import annotations

import ipaddress
import secrets
import socket
import threading
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from http.cookies import CookieError, SimpleCookie
from pathlib import Path

from starlette.datastructures import Headers
from starlette.types import ASGIApp, Receive, Scope, Send

from rimwise.app.devices import Device, Devices
from rimwise.errors import InputError
from rimwise.web.guarding import HERE
from rimwise.web.rendering import page

__all__ = [
    "COOKIE",
    "PLAIN_HTTP",
    "Codes",
    "Gate",
    "Sharing",
    "TooManyError",
    "home_address",
    "in_two",
]

#: What a paired device is known by.
COOKIE = "rimwise_device"
#: Said wherever sharing is offered.
PLAIN_HTTP = (
    "This is plain http, without encryption: whoever can listen in on your network can read what "
    "is sent, and could act as your phone. Share on your own home network only, never on one of "
    "strangers, and stop sharing when you are done."
)
#: Letters and digits that are not mistaken for each other; ten of them are 49 bits.
_SIGNS = "23456789ABCDEFGHJKMNPQRSTVWXYZ"
_CODE_LENGTH = 10
_CODE_LASTS = timedelta(minutes=5)
#: So many codes may be tried within so long, whoever tries them.
_TRIES = 5
_TRIES_WITHIN = timedelta(minutes=1)
#: What a device may ask before it is paired.
_OPEN = "/pair"
#: Only this computer says who else is let in, and replaces or hands out all records at once.
_HERE_ONLY = {
    "/devices": "Devices are paired and revoked on the computer only.",
    "/records": "Backups, history and the export are shown on the computer only.",
}


class TooManyError(InputError):
    """Too many codes were tried lately."""


class Codes:
    """Codes to pair a device with: one at a time, each for one use and a few minutes."""

    def __init__(self, clock: Callable[[], datetime] = datetime.now) -> None:
        self._clock = clock
        self._busy = threading.Lock()
        self._code = ""
        self._until = datetime.min
        self._tries: deque[datetime] = deque()

    def new(self) -> str:
        """Return a new code; the one before it is void."""
        with self._busy:
            self._code = "".join(secrets.choice(_SIGNS) for _ in range(_CODE_LENGTH))
            self._until = self._clock() + _CODE_LASTS
            return self._code

    def open_code(self) -> tuple[str, datetime] | None:
        """Return the code that works now and the time until which it does."""
        with self._busy:
            return (self._code, self._until) if self._open() else None

    def use(self, typed: str) -> bool:
        """Return whether this is the code, and use it up if so.

        Raises
        ------
        TooManyError
            When too many were tried lately; this one was not looked at.
        """
        plain = "".join(one for one in typed.upper() if one.isascii() and one.isalnum())
        with self._busy:
            now = self._clock()
            while self._tries and self._tries[0] <= now - _TRIES_WITHIN:
                self._tries.popleft()
            if len(self._tries) >= _TRIES:
                raise TooManyError("Too many codes were tried; wait a minute, then try again.")
            self._tries.append(now)
            if not self._open() or not secrets.compare_digest(plain, self._code):
                return False
            self._code = ""
            return True

    def _open(self) -> bool:
        return bool(self._code) and self._clock() < self._until


@dataclass(frozen=True, slots=True)
class Sharing:
    """Sharing on one address of the home network.

    Parameters
    ----------
    address, port
        Where the pages are answered beside the loopback address.
    devices
        Those let in.
    """

    address: str
    port: int
    devices: Devices
    codes: Codes = field(default_factory=Codes)

    @classmethod
    def of(cls, data: Path, address: str, port: int) -> Sharing:
        """Return the sharing of one data file's pages, its first code made."""
        sharing = cls(_private(address), port, Devices(data))
        sharing.codes.new()
        return sharing

    @property
    def pairing_page(self) -> str:
        """Where a device types a code."""
        return f"http://{self.address}:{self.port}{_OPEN}"

    def link(self, code: str) -> str:
        """Return what a QR code says."""
        return f"{self.pairing_page}?code={code}"

    def pair(self, typed: str, name: str, today: date) -> tuple[Device, str] | None:
        """Return a newly paired device and its secret, ``None`` when the code is not open.

        Raises
        ------
        TooManyError
            When too many codes were tried lately.
        """
        if not self.codes.use(typed):
            return None
        secret = secrets.token_urlsafe(32)
        return self.devices.add(secret, name, today), secret


class Gate:
    """Answer paired devices only where a request came in on the shared address."""

    def __init__(self, app: ASGIApp, devices: Devices) -> None:
        self._app = app
        self._devices = devices

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http" or _from_here(scope):
            await self._app(scope, receive, send)
            return
        path = scope["path"]
        why = next(
            (told for one, told in _HERE_ONLY.items() if path == one or path.startswith(f"{one}/")),
            "",
        )
        if not why and (path == _OPEN or path.startswith("/static/") or self._paired(scope)):
            await self._app(scope, receive, send)
            return
        await page("refused", title="Refused", status=403, why=why)(scope, receive, send)

    def _paired(self, scope: Scope) -> bool:
        try:
            found = SimpleCookie(Headers(scope=scope).get("cookie", "")).get(COOKIE)
        except CookieError:
            return False
        return found is not None and (
            self._devices.holder_of(found.value, date.today()) is not None
        )


def _from_here(scope: Scope) -> bool:
    """Return whether a request came in on the loopback address; what it says does not count."""
    server = scope.get("server")
    return server is not None and server[0] in HERE


def in_two(code: str) -> str:
    """Return a code as it is easiest to type."""
    half = len(code) // 2
    return f"{code[:half]}-{code[half:]}"


def home_address() -> str:
    """Return this computer's address on its network.

    Raises
    ------
    InputError
        When it has none.
    """
    try:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
            probe.connect(("192.0.2.1", 9))  # sends nothing: it only chooses the way out
            return str(probe.getsockname()[0])
    except OSError:
        raise InputError(
            "this computer is on no network now; join your home network, or serve without --share."
        ) from None


def _private(address: str) -> str:
    """Return an address that only a home network has.

    Raises
    ------
    InputError
        When it is another.
    """
    try:
        known = ipaddress.IPv4Address(address)
    except ValueError:
        raise InputError(
            f"{address[:60]!r} is no address of this computer; give one such as 192.168.1.20."
        ) from None
    if not known.is_private or known.is_unspecified or str(known) in HERE:
        raise InputError(
            f"{address} is not an address on a home network; pages are shared on one such as "
            "192.168.1.20 only."
        )
    return str(known)
