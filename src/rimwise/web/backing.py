"""Backup, restore, export, history and faults in pages; backups of their own accord."""

from __future__ import annotations

import logging
import threading
from datetime import datetime
from pathlib import Path
from typing import Any
from urllib.parse import quote

from fastapi import FastAPI, Response
from fastapi.responses import RedirectResponse
from starlette.concurrency import run_in_threadpool
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from rimwise.errors import InputError, NotFoundError, StoreError
from rimwise.records.words import date_words
from rimwise.store.opening import open_store
from rimwise.web.rendering import Typed, in_page_words, page, whole_number
from rimwise.web.restoring import add_restoring
from rimwise.web.working import BusyError, Worker

__all__ = ["BackUp", "add_backing"]

#: So many steps of the history on a page.
_STEPS = 50


class BackUp:
    """Make a backup after a change when one is due; nobody waits for it."""

    def __init__(self, app: ASGIApp, data: Path) -> None:
        self._app = app
        self._data = data
        self._busy = threading.Lock()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request, then look whether a backup is due."""
        status = 500

        async def seen(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
            await send(message)

        await self._app(scope, receive, seen)
        if scope["type"] == "http" and scope["method"] == "POST" and status < 400:
            await run_in_threadpool(self._back_up)

    def _back_up(self) -> None:
        from rimwise.app.backing import back_up_when_due

        if not self._busy.acquire(blocking=False):
            return
        try:
            back_up_when_due(self._data, datetime.now())
        except StoreError as error:
            logging.getLogger(__name__).warning("no backup was made: %s", error)
        finally:
            self._busy.release()


def add_backing(app: FastAPI, data: Path, worker: Worker) -> None:
    """Add the pages that keep the records safe."""
    _add_backups(app, data)
    _add_restore(app, data, worker)
    add_restoring(app, data, worker, _moment)
    _add_history(app, data)
    _add_check(app, data)


def _add_backups(app: FastAPI, data: Path) -> None:
    @app.get("/records")
    def backups(made: str = "", restored: str = "") -> Response:
        from rimwise.app.backing import backup_lines

        lines = backup_lines(data)
        known = {line.name for line in lines}
        return page(
            "records", title="Backups and history", lines=lines, folder="backups",
            made=made if made in known else "", before=restored if restored in known else "",
            restored=bool(restored), date_words=_moment,
        )  # fmt: skip

    @app.post("/records/backup")
    def back_up_now() -> Response:
        from rimwise.app.backing import back_up

        with open_store(data) as store:
            made = back_up(store, datetime.now())
        return RedirectResponse(f"/records?made={quote(Path(made.path).name)}", 303)

    @app.get("/records/backup/{name}")
    def download(name: str) -> Response:
        return _file(_backup(data, name).read_bytes(), name, "application/vnd.sqlite3")

    @app.get("/records/export.zip")
    def export() -> Response:
        from rimwise import __version__
        from rimwise.store.exchange.archive import archive_of, zipped

        with open_store(data) as store:
            packed = zipped(archive_of(store.connection, __version__))
        return _file(packed, f"rimwise-{datetime.now():%Y-%m-%d}.zip", "application/zip")


def _file(content: bytes, name: str, kind: str) -> Response:
    """Return a file to be saved; its name is one that we gave, or quoted."""
    headers = {"Content-Disposition": f"attachment; filename*=UTF-8''{quote(name)}"}
    return Response(content, media_type=kind, headers=headers)


def _backup(data: Path, name: str) -> Path:
    """Return the backup of this name: one of those listed, and no other file."""
    from rimwise.app.backing import backup_lines, folder_of

    if name not in {line.name for line in backup_lines(data)}:
        raise NotFoundError("There is no such backup any more; look at the list again.")
    return folder_of(data) / name


def _add_restore(app: FastAPI, data: Path, worker: Worker) -> None:
    @app.get("/records/restore/{name}")
    def ask(name: str) -> Response:
        _backup(data, name)
        return page("restore", title="Put this backup in place?", name=name, line=_line(data, name))

    @app.post("/records/restore/{name}")
    def restore(name: str) -> Response:
        from rimwise.app.backing import restore_records

        running = worker.running()
        if running is not None:
            raise BusyError(running)
        done = restore_records(data, str(_backup(data, name)), datetime.now())
        return RedirectResponse(f"/records?restored={quote(Path(done.before).name) or 'yes'}", 303)


def _line(data: Path, name: str) -> Any:
    from rimwise.app.backing import backup_lines

    (line,) = [one for one in backup_lines(data) if one.name == name]
    return {"at": _moment(line.at), "size": f"{line.size_bytes / 1e6:.1f} MB"}


def _moment(at: str) -> str:
    day, _, time = at.replace("T", " ").partition(" ")
    return f"{date_words(day)}, {time[:5]}"


def _add_history(app: FastAPI, data: Path) -> None:
    @app.get("/records/history")
    def steps(thing: str = "", undone: int | None = None) -> Response:
        return _history_page(data, thing.strip()[:80], undone=undone)

    @app.post("/records/undo")
    def take_back(typed: Typed) -> Response:
        from rimwise.app.history import undo

        number = whole_number(typed, "step", "the step", 1, 999_999_999)
        try:
            with open_store(data) as store:
                done = undo(store, number)
        except InputError as error:
            return _history_page(data, "", error=in_page_words(error))
        return RedirectResponse(f"/records/history?undone={done.number}", 303)


def _history_page(
    data: Path, thing: str, *, undone: int | None = None, error: str = ""
) -> Response:
    from rimwise.app.history import history

    steps: Any = ()
    with open_store(data) as store:
        try:
            steps = history(store, thing or None, most=_STEPS)
        except NotFoundError as missing:
            error = in_page_words(missing)
    return page(
        "history", title="What was changed", steps=steps, thing=thing, undone=undone, error=error,
        status=400 if error else 200, most=_STEPS, moment=_moment,
    )  # fmt: skip


def _add_check(app: FastAPI, data: Path) -> None:
    @app.post("/records/check")
    def check(typed: Typed) -> Response:
        from rimwise.app.backing import check_records

        found = check_records(data, datetime.now(), mend=typed.get("mend") == "yes")
        return page("checked", title="Faults in the records", found=found)
