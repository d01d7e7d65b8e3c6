"""A backup or an export from elsewhere: sent, read whole, shown, and put in place after a yes."""

from __future__ import annotations

import secrets
import tempfile
import threading
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from urllib.parse import quote

from fastapi import FastAPI, Response
from fastapi.responses import RedirectResponse

from rimwise.errors import InputError, NotFoundError, RimwiseError, StoreError
from rimwise.web.rendering import Typed, in_page_words, page
from rimwise.web.uploading import Upload, Uploaded
from rimwise.web.working import BusyError, Worker

__all__ = ["add_restoring"]


@dataclass(frozen=True, slots=True)
class _Waiting:
    """The file that waits for a yes, in a folder of its own that goes with it."""

    number: str
    folder: tempfile.TemporaryDirectory[str]
    name: str

    @property
    def path(self) -> Path:
        return Path(self.folder.name) / self.name


class _Slot:
    """Holds one file, the latest: whoever sends another has made up their mind."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._held: _Waiting | None = None

    def put(self, upload: Upload) -> _Waiting:
        folder = tempfile.TemporaryDirectory(prefix="rimwise-")
        held = _Waiting(secrets.token_hex(8), folder, upload.name)
        held.path.write_bytes(upload.content)
        self._swap(held)
        return held

    def take(self, number: str) -> _Waiting:
        """Return the file of this number.

        Raises
        ------
        NotFoundError
            When it waits no more.
        """
        held = self._held
        if held is None or held.number != number:
            raise NotFoundError("That file is not waiting any more; choose it again.")
        return held

    def empty(self) -> None:
        self._swap(None)

    def _swap(self, coming: _Waiting | None) -> None:
        with self._lock:
            going, self._held = self._held, coming
        if going is not None:
            going.folder.cleanup()


def add_restoring(app: FastAPI, data: Path, worker: Worker, moment: Callable[[str], str]) -> None:
    """Add the pages that take a backup from elsewhere.

    Parameters
    ----------
    moment
        Says a day and a time.
    """
    slot = _Slot()

    @app.get("/records/bring")
    def choose() -> Response:
        return _choose("")

    @app.post("/records/bring")
    def look(upload: Uploaded) -> Response:
        from rimwise.app.holding import look_at_records

        if not upload.name:
            return _choose("No file was chosen; choose one.")
        held = slot.put(upload)
        try:
            found = look_at_records(data, held.path, datetime.now())
        except RimwiseError as error:
            slot.empty()
            return _choose(in_page_words(error))
        return page(
            "bring_back", title=f"Put {held.name} in place?", found=found, number=held.number,
            moment=moment,
        )  # fmt: skip

    @app.post("/records/bring/keep")
    def keep(typed: Typed) -> Response:
        from rimwise.app.backing import restore_records

        running = worker.running()
        if running is not None:
            raise BusyError(running)
        held = slot.take(typed.get("upload", ""))
        try:
            done = restore_records(data, str(held.path), datetime.now())
        except (InputError, StoreError) as error:
            raise type(error)(str(error).replace(f"{held.folder.name}/", "")) from None
        slot.empty()
        return RedirectResponse(f"/records?restored={quote(Path(done.before).name) or 'yes'}", 303)


def _choose(error: str) -> Response:
    return page("bring", title="A backup from elsewhere", error=error, status=400 if error else 200)
