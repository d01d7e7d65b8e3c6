"""The file for the phone kept beside the data file, so that a restart does not lose the work.

It is kept with digests of what it rests on; when anything of that changes it may still be taken,
but is told to have been made before.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from rimwise import __version__
from rimwise.app.files import Written, write_whole
from rimwise.app.reports import load_plan
from rimwise.decide.rounds import Progress
from rimwise.errors import StoreError
from rimwise.store.backup import make_folder
from rimwise.store.store import Store

__all__ = ["FOLDER", "KeptFile", "forget_files", "kept_file", "made_file", "write_phone"]

#: Folder beside the data file.
FOLDER = "phone-files"
#: What a file rests on in its owner's words, by the tables that hold it.
_TABLES = {
    "your discs": ("discs", "knocks", "molds", "plastics"),
    "your throws": ("comparisons", "condition_grades", "grip_grades", "throws"),
    "your putts": ("putts",),
    "your rounds": ("rounds",),
    "the thrower": ("throwers",),
    "the settings": ("settings",),
}
_PROGRAM = "this program"
#: Raise it when what is in a file changes its meaning or its looks.
_FORM = 1
_CANNOT = "the folder '{path}' cannot be made ({why}); change its permissions."


@dataclass(frozen=True, slots=True)
class KeptFile:
    """A file for the phone that was made earlier.

    Parameters
    ----------
    made_on
        The day, as an ISO date.
    changed
        What it rests on and has changed since, in words; nothing when it is as good as new.
    """

    path: Path
    made_on: str
    size_bytes: int
    changed: tuple[str, ...]

    def text(self) -> str:
        """Return the document."""
        try:
            return self.path.read_text(encoding="utf-8")
        except OSError as error:
            raise StoreError(
                f"{self.path} cannot be read ({error.strerror}); make it anew."
            ) from None


def kept_file(store: Store, conditions: str, day: str) -> KeptFile | None:
    """Return the file that was made for a plan and a kind of day; ``None`` when none was."""
    path = _path(store, conditions, day)
    try:
        said = json.loads(path.with_suffix(".json").read_text(encoding="utf-8"))
        rested, made_on, size = dict(said["rests_on"]), str(said["made_on"]), path.stat().st_size
    except (OSError, ValueError, KeyError, TypeError):
        return None  # none, or half of one: it is made again
    if size != said.get("size_bytes"):
        return None
    now = _rests_on(store, conditions)
    return KeptFile(path, made_on, size, tuple(w for w in now if rested.get(w) != now[w]))


def made_file(
    store: Store,
    conditions: str,
    day: str,
    *,
    today: date,
    progress: Progress = lambda _what, _share: None,
) -> str:
    """Return the document: as kept where nothing changed, or worked out now, and kept.

    Raises
    ------
    RimwiseError
        When nothing is planned, or a carried disc is gone.
    """
    from rimwise.app import phone
    from rimwise.pictures.phone import phone_html

    kept = kept_file(store, conditions, day)
    if kept is not None and not kept.changed:
        return kept.text()
    rests_on = _rests_on(store, conditions)  # before the work: what changes meanwhile is not in it
    text = phone_html(
        phone.phone_file(store, conditions, day=day, today=today, progress=progress)
    )  # fmt: skip
    with contextlib.suppress(StoreError):  # a full disk must not cost the work: it is returned
        _keep(_path(store, conditions, day), text, rests_on, today)
    return text


def write_phone(
    store: Store,
    path: Path,
    *,
    conditions: str | None = None,
    day: str | None = None,
    today: date,
    progress: Progress = lambda _what, _share: None,
) -> Written:
    """Write the file for the phone: as kept where nothing changed, else worked out now.

    Raises
    ------
    RimwiseError
        When nothing is planned, or the file cannot be written.
    """
    from rimwise.app.phone import day_like

    plan = load_plan(store, conditions).conditions
    kind = day_like(store.conditions.get(plan), day).name
    return write_whole(path, made_file(store, plan, kind, today=today, progress=progress))


def forget_files(store: Store) -> None:
    """Delete what was kept for a data file."""
    for path in _folder(store).glob(f"{store.path.stem}-*"):
        if path.suffix in (".html", ".json"):
            path.unlink(missing_ok=True)


def _keep(path: Path, text: str, rests_on: Mapping[str, str], today: date) -> None:
    try:
        make_folder(path.parent)
    except OSError as error:
        raise StoreError(_CANNOT.format(path=path.parent, why=error.strerror)) from error
    size = write_whole(path, text).size_bytes
    said = {"made_on": today.isoformat(), "size_bytes": size, "rests_on": dict(rests_on)}
    write_whole(path.with_suffix(".json"), json.dumps(said))


def _folder(store: Store) -> Path:
    return store.path.expanduser().parent / FOLDER


def _path(store: Store, conditions: str, day: str) -> Path:
    """Return where a file is kept; names of plans and days may be anything, so they are hashed."""
    named = hashlib.sha256(repr((conditions, day)).encode()).hexdigest()[:16]
    return _folder(store) / f"{store.path.stem}-{named}.html"


def _rests_on(store: Store, conditions: str) -> dict[str, str]:
    """Return a digest of everything that a plan's file rests on, by what it is called."""
    plan = load_plan(store, conditions)
    said = {
        "the plan": repr((sorted(plan.chosen), plan.course, plan.thrower)),
        "the weather": repr(store.conditions.get(conditions)),
        "the course": repr(store.courses.get(plan.course)),
        _PROGRAM: repr((_FORM, __version__)),
    }
    found = {what: hashlib.sha256(text.encode()).hexdigest() for what, text in said.items()}
    return found | {what: store.digest(tables) for what, tables in _TABLES.items()}
