"""Double submits: the same form sent twice is carried out once, and answered the same twice."""

from __future__ import annotations

import asyncio
import hashlib
import secrets
from collections import OrderedDict
from dataclasses import dataclass, field
from urllib.parse import parse_qs

from starlette.exceptions import HTTPException
from starlette.types import ASGIApp, Message, Receive, Scope, Send

__all__ = ["Once", "new_token"]

#: So many of the latest forms are remembered, until the server stops.
_REMEMBERED = 256
#: An answer that is bigger is not kept: no form of ours gives one.
_LARGEST_ANSWER = 512 * 1024


@dataclass(slots=True)
class _Sent:
    """One form as sent: its answer, once there is one."""

    busy: asyncio.Lock = field(default_factory=asyncio.Lock)
    answer: list[Message] = field(default_factory=list)


def new_token() -> str:
    """Return what tells one rendering of a form from every other."""
    return secrets.token_urlsafe(12)


class Once:
    """Answer a form that was sent already with what its first sending got.

    A form carries a token in the query of its action, ``?once=...``. The same token with other
    content is another sending: somebody went back and typed something else.
    """

    def __init__(self, app: ASGIApp) -> None:
        self._app = app
        self._sent: OrderedDict[str, _Sent] = OrderedDict()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        token = _token(scope)
        if not token:
            await self._app(scope, receive, send)
            return
        body, refusal = await _whole(receive)
        content = hashlib.sha256(body).hexdigest()
        sent = self._remembered(f"{scope['path']} {token} {content}")
        async with sent.busy:
            if not sent.answer:
                sent.answer = await self._carried_out(scope, body, refusal)
        for message in sent.answer:
            await send(message)
        if sent.answer[0]["status"] >= 500 or _length(sent.answer) > _LARGEST_ANSWER:
            sent.answer = []

    def _remembered(self, key: str) -> _Sent:
        sent = self._sent.setdefault(key, _Sent())
        self._sent.move_to_end(key)
        while len(self._sent) > _REMEMBERED:
            self._sent.popitem(last=False)
        return sent

    async def _carried_out(
        self, scope: Scope, body: bytes, refusal: HTTPException | None
    ) -> list[Message]:
        answer: list[Message] = []

        async def again() -> Message:
            if refusal is not None:
                raise refusal
            return {"type": "http.request", "body": body, "more_body": False}

        async def kept(message: Message) -> None:
            answer.append(message)

        await self._app(scope, again, kept)
        return answer


def _token(scope: Scope) -> str:
    if scope["type"] != "http" or scope["method"] != "POST":
        return ""
    query: bytes = scope["query_string"]
    return parse_qs(query.decode("latin-1")).get("once", [""])[0]


async def _whole(receive: Receive) -> tuple[bytes, HTTPException | None]:
    """Return what was sent, or why it is not taken; that is said where pages are made."""
    pieces = []
    try:
        while True:
            message = await receive()
            pieces.append(message.get("body", b""))
            if not message.get("more_body", False):
                return b"".join(pieces), None
    except HTTPException as refusal:
        return b"", refusal


def _length(answer: list[Message]) -> int:
    return sum(len(message.get("body", b"")) for message in answer)
