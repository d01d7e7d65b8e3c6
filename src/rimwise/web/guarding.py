"""What stands before every page: who may ask, how much may be sent, what a page may do."""

from __future__ import annotations

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

__all__ = [
    "HERE", "HOSTS", "LARGEST_BYTES", "LARGEST_RECORDS_BYTES", "LARGEST_UPLOAD_BYTES", "Guard",
]  # fmt: skip

#: The loopback addresses: what comes in on one comes from this computer.
HERE = ("127.0.0.1", "::1")
#: Only this computer is answered, whatever name the network has for it.
HOSTS = ["127.0.0.1", "localhost", "[::1]"]
#: Nothing that is typed into a form of ours has a reason to be bigger.
LARGEST_BYTES = 1024 * 1024
LARGEST_UPLOAD_BYTES = 16 * 1024 * 1024
LARGEST_RECORDS_BYTES = 96 * 1024 * 1024
#: What is sent to these may be bigger: a map, and records of more than twenty years (56 MB).
_UPLOADS = {"/import": LARGEST_UPLOAD_BYTES, "/records/bring": LARGEST_RECORDS_BYTES}
_SAFE = ("GET", "HEAD", "OPTIONS")
#: Nothing from elsewhere, no script or style within a page, no framing.
_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
)


class Guard:
    """Refuse what another site sends and what is too big; put the limits on every answer."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        most = _UPLOADS.get(scope["path"], LARGEST_BYTES)
        taken = 0

        async def counted() -> Message:
            nonlocal taken
            message = await receive()
            taken += len(message.get("body", b""))
            if taken > most:
                raise HTTPException(413, "That is more than a page takes; send less.")
            return message

        async def limited(message: Message) -> None:
            if message["type"] == "http.response.start":
                answer = MutableHeaders(scope=message)
                # A page may bring a policy of its own: the sheet carries its style inside.
                answer.setdefault("Content-Security-Policy", _POLICY)
                answer["X-Content-Type-Options"] = "nosniff"
                # With no referrer at all, browsers send "null" as the origin of a form.
                answer["Referrer-Policy"] = "same-origin"
                answer["Cross-Origin-Opener-Policy"] = "same-origin"
                answer["Cross-Origin-Resource-Policy"] = "same-origin"
                answer.setdefault("Cache-Control", "no-store")
            await send(message)

        if scope["method"] not in _SAFE and not _own(scope, headers):
            refusal = PlainTextResponse("Refused: this was sent by another site.", 403)
            await refusal(scope, receive, limited)
            return
        await self._app(scope, counted, limited)


def _own(scope: Scope, headers: Headers) -> bool:
    """Return whether a change comes from a page of ours, or from no browser at all."""
    site, origin = headers.get("sec-fetch-site"), headers.get("origin")
    if site is not None and site != "same-origin":
        return False
    return origin is None or origin == f"{scope['scheme']}://{headers.get('host', '')}"
