"""From nothing: who you are, an invented example, your own files looked at first, a disc typed."""

from __future__ import annotations

import csv
import io
import re
import secrets
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import quote

from fastapi import FastAPI, Request, Response
from fastapi.responses import RedirectResponse

from rimwise.errors import InputError, NotFoundError, RimwiseError
from rimwise.records.thrower import Level
from rimwise.records.words import number, printed_numbers
from rimwise.store.opening import open_store
from rimwise.store.store import Store
from rimwise.web.fields import Field, FieldError, length, told_wrong
from rimwise.web.rendering import Typed, in_page_words, page
from rimwise.web.uploading import Upload, Uploaded, as_file

if TYPE_CHECKING:
    from rimwise.app.bring import Brought
    from rimwise.app.showing import DiscRow
    from rimwise.records.words import Units

__all__ = ["Preview", "add_starting", "is_empty", "next_step", "preview", "units_for"]

#: With fewer discs there is nothing to choose.
_FEWEST = 3
#: The heading of a table of discs; alone it brings nothing.
_DISC_HEADING = "mold,speed,glide,turn,fade,plastic,weight,colour"
#: So many uploads wait for a yes, the latest ones.
_WAITING = 4
#: What a disc is typed in: a column of a disc table, its label, and what goes there.
_DISC_FIELDS = (
    Field("mold", "Mold, the name printed on it"),
    Field("speed", "Speed, as printed; these four may stay empty for a mold that you have already"),
    Field("glide", "Glide"),
    Field("turn", "Turn"),
    Field("fade", "Fade"),
    Field("plastic", "Plastic, such as soft base"),
    Field("weight", "Weight in grams, such as 172 or 170ish"),
    Field("colour", "Colour"),
    Field("mark", "What you wrote on it"),
    Field("disc", "What to call it; made from mold and colour when left empty"),
)


@dataclass(frozen=True, slots=True)
class Preview:
    """What a file would bring.

    Parameters
    ----------
    words, notices
        What would be saved, and what is worth knowing; ``words`` is empty when nothing can be.
    problem
        Why the file cannot be saved as it is; empty when it can.
    discs
        What each disc would be, in words.
    """

    words: str
    notices: tuple[str, ...]
    problem: str
    discs: tuple[str, ...] = ()


class _NotKeptError(Exception):
    """Raised to undo an import that was only to be looked at."""


def is_empty(store: Store) -> bool:
    """Return whether nothing was brought in yet."""
    shelves = (
        store.discs, store.molds, store.throwers, store.courses, store.conditions, store.carts,
        store.carries, store.throws, store.comparisons, store.putts, store.rounds,
    )  # fmt: skip
    return not any(len(shelf.all()) for shelf in shelves)


def next_step(store: Store) -> tuple[str, str] | None:
    """Return where to go on from nothing to a carry, and in what words; nothing once there is one.

    A handful of discs is enough to go on; more can come later.
    """
    from rimwise.app.reports import plan_names

    if plan_names(store):
        return None
    if not len(store.throwers):
        return "/start", "Say how far you throw"
    if len(store.discs) < _FEWEST:
        return "/import?kind=discs", "Your discs" if not len(store.discs) else "More discs"
    if not len(store.courses):
        return "/course/new", "A course"
    if not len(store.conditions):
        return "/weather", "What weather to expect"
    return "/plan", "Choose your carry"


def units_for(languages: str) -> Units:
    """Return the units to begin with: feet where American English is asked for first, else metres.

    Parameters
    ----------
    languages
        What a browser asks for in Accept-Language (RFC 9110, section 12.5.4): of several, the one
        with the greatest weight, or of these the first; one that cannot be read does not count.
    """
    first, most = "", 0.0
    for one in languages.split(","):
        tag, _, weight = (part.strip().lower() for part in one.partition(";"))
        told = re.fullmatch(r"(?:q\s*=\s*(0(?:\.\d{0,3})?|1(?:\.0{0,3})?))?", weight, re.ASCII)
        if told is None:
            continue
        weighs = float(told[1] or 1.0)
        if weighs > most:
            first, most = tag, weighs
    return "ft" if first == "en-us" else "m"


def bring(store: Store, upload: Upload, *, keep_good: bool) -> Brought:
    """Import an upload."""
    from rimwise.app.bring import bring_file

    with as_file(upload) as path:
        return bring_file(
            store, path, kind=upload.typed.get("kind") or None,
            name=upload.typed.get("name") or None, keep_good=keep_good, today=date.today(),
        )  # fmt: skip


def preview(store: Store, upload: Upload) -> Preview:
    """Return what an upload would bring, and leave the records as they are."""
    try:
        found, discs = _undone(store, upload, keep_good=False)
    except InputError as error:
        problem = in_page_words(error).removesuffix("\nNothing was saved.")
    else:
        return Preview(found.words, found.notices, "", discs)
    try:
        good, discs = _undone(store, upload, keep_good=True)
    except InputError:
        return Preview("", (), problem)
    if good.count == 0:
        return Preview("", (), problem)
    told = {line.strip() for line in problem.splitlines()}
    notices = tuple(one for one in good.notices if in_page_words(one).strip() not in told)
    return Preview(good.words, notices, problem, discs)


def _undone(store: Store, upload: Upload, *, keep_good: bool) -> tuple[Brought, tuple[str, ...]]:
    """Return what an upload would bring, and its discs in words; nothing of it stays."""
    from rimwise.app.showing import disc_rows

    found: list[tuple[Brought, tuple[str, ...]]] = []
    try:
        with store.atomic():
            before = disc_rows(store, everything=True)
            brought = bring(store, upload, keep_good=keep_good)
            after = disc_rows(store, everything=True)
            new = len(after) - len(before)
            again = brought.count - new if brought.kind == "discs" else 0
            if again:
                told = f"Of these, {again} on file already would be replaced by what the file says."
                brought = replace(brought, notices=(told, *brought.notices))
            found.append((brought, tuple(_disc_words(row) for row in after if row not in before)))
            raise _NotKeptError
    except _NotKeptError:
        return found[0]


def _disc_words(row: DiscRow) -> str:
    """Say what a disc was understood to be, so that a slip is seen before it is kept."""
    parts = (
        f"{row.mold}, printed {printed_numbers(row.printed)}", row.plastic, row.colour,
        f"{number(row.weight_g)} g", f"{number(100.0 * row.wear)} % worn" if row.wear else "",
        row.note,
    )  # fmt: skip
    return f"{row.disc_id}: {', '.join(part for part in parts if part)}"


def add_starting(app: FastAPI, data: Path) -> None:
    """Add the pages of a beginning."""
    _add_first_steps(app, data)
    _add_import(app, data)
    _add_disc(app, data)


def _add_first_steps(app: FastAPI, data: Path) -> None:
    @app.get("/start")
    def begin(request: Request) -> Response:
        asked = request.headers.get("accept-language", "")
        return _start_page(data, {"units": units_for(asked)}, "")

    @app.get("/start/who")
    def again() -> Response:
        return RedirectResponse("/start", 303)

    @app.post("/start/who")
    def who(typed: Typed) -> Response:
        from rimwise.app.starting import start, thrower_from
        from rimwise.records.words import check_units

        try:
            units = check_units(typed.get("units", ""))
            such = "90" if units == "m" else "300"

            def far(style: str) -> float | None:
                return length(typed, style, f"How far you throw {style}", units, such=such)

            thrower = thrower_from(
                name=typed.get("name") or "me",
                hand=typed.get("hand", ""),
                backhand_m=far("backhand"),
                forehand_m=far("forehand"),
                level=typed.get("level", ""),
            )
            if thrower is None:
                told = f"Say how far you throw, backhand or forehand, such as {such}."
                raise InputError(told)
            with open_store(data) as store:
                if len(store.throwers) > 0:
                    raise InputError("Who you are is on file already.")
                start(store, thrower, units)
        except RimwiseError as error:
            return _start_page(data, typed, in_page_words(error))
        return RedirectResponse("/start", 303)

    @app.post("/start/example")
    def example() -> Response:
        from rimwise.demo.scenario import bring_demo

        with open_store(data) as store, store.atomic():
            if not is_empty(store):
                raise InputError(
                    "The example is only put where nothing is on file yet, so that yours and the "
                    "invented do not mix; stop `rimwise serve` and start it for another data "
                    "file, named with --data before the command."
                )
            bring_demo(store)
        return RedirectResponse("/start", 303)


def _start_page(data: Path, typed: Mapping[str, str], error: str) -> Response:
    from rimwise.app.reports import plan_names
    from rimwise.app.sheets import INVENTED

    with open_store(data) as store:
        counts = {
            "disc": len(store.discs), "course": len(store.courses),
            "set of days": len(store.conditions), "plan": len(plan_names(store)),
        }  # fmt: skip
        return page(
            "start", title="Start", status=400 if error else 200, typed=typed, error=error,
            empty=is_empty(store), throwers=list(store.throwers.keys()), counts=counts,
            onward=next_step(store), fewest=_FEWEST,
            invented=bool(store.settings.get(INVENTED, False)), levels=[str(one) for one in Level],
        )  # fmt: skip


def _add_import(app: FastAPI, data: Path) -> None:
    waiting: OrderedDict[str, Upload] = OrderedDict()

    @app.get("/import")
    def choose(kind: str = "") -> Response:
        return _import_page({"kind": kind}, "")

    @app.post("/import")
    def look(upload: Uploaded) -> Response:
        bare = upload.pasted and upload.typed.get("pasted") == _DISC_HEADING
        if not upload.name or bare:
            told = "No file was chosen and nothing is pasted; do one of the two."
            return _import_page(upload.typed, told)
        with open_store(data) as store:
            found = preview(store, upload)
        number = secrets.token_hex(8)
        waiting[number] = upload
        while len(waiting) > _WAITING:
            waiting.popitem(last=False)
        called = "this" if upload.pasted else upload.name
        return page(
            "preview", title=f"What {called} would bring", found=found, number=number,
            status=200 if found.words else 400, typed=upload.typed, pasted=upload.pasted,
        )  # fmt: skip

    @app.post("/import/keep")
    def keep(typed: Typed) -> Response:
        upload = waiting.get(typed.get("upload", ""))
        if upload is None:
            raise NotFoundError("That file is not waiting any more; choose it again.")
        with open_store(data) as store:
            brought = bring(store, upload, keep_good=typed.get("good") == "yes")
            onward = next_step(store)
        return page("brought", title="Kept", brought=brought, onward=onward)


def _import_page(typed: Mapping[str, str], error: str) -> Response:
    from rimwise.app.bring import KINDS

    return page(
        "import", title=_KIND_TITLES.get(typed.get("kind", ""), "Bring a file"),
        status=400 if error else 200, typed=typed, error=error,
        kinds=KINDS,
    )  # fmt: skip


#: What the page is called when it was opened for one kind of file.
_KIND_TITLES = {"discs": "Bring your discs", "course": "Bring a course"}


def _add_disc(app: FastAPI, data: Path) -> None:
    @app.get("/discs/new")
    def blank(added: str = "") -> Response:
        with open_store(data) as store:
            known = store.discs.get(added) if added in store.discs else None
            return page(
                "disc_new", title="Add a disc", fields=_DISC_FIELDS, typed={}, errors={},
                added=known, count=len(store.discs), onward=next_step(store),
            )  # fmt: skip

    @app.post("/discs/new")
    def add(typed: Typed) -> Response:
        try:
            with open_store(data) as store:
                name = _add_typed_disc(store, typed)
        except RimwiseError as error:
            return page(
                "disc_new", title="Add a disc", fields=_DISC_FIELDS, typed=typed, status=400,
                errors=told_wrong(error), added=None, count=0, onward=None,
            )  # fmt: skip
        return RedirectResponse(f"/discs/new?added={quote(name)}", 303)


def _add_typed_disc(store: Store, typed: Mapping[str, str]) -> str:
    """Keep a disc that was typed, read as a row of a disc table, and return its name."""
    from rimwise.app.wearing import remember_wear
    from rimwise.store.exchange.discs import read_discs_csv
    from rimwise.store.exchange.save import known_in, save_discs

    called = [one.name for one in _DISC_FIELDS]
    filled = {name: typed[name] for name in called if typed.get(name)}
    for needed in ("mold", "plastic", "weight"):
        if needed not in filled:
            raise FieldError(needed, f"The {needed} is missing; look at the disc and type it.")
    table = io.StringIO()
    csv.writer(table).writerows([filled.keys(), filled.values()])
    read = read_discs_csv(table.getvalue(), "disc", known_in(store))
    if read.problems:
        first = read.problems[0]
        field = first.field if first.field in called else ""
        told = " ".join(f"{one.wrong}; {one.instead}." for one in read.problems)
        raise FieldError(field, told)
    disc = read.discs[0]
    if disc.id in store.discs:
        told = f"{disc.id} is on file already; call this one something else."
        raise FieldError("disc", told)
    with store.atomic():
        save_discs(store, read)
        remember_wear(store, [disc.id], date.today())
    return disc.id
