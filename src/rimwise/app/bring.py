"""Bringing things in: discs, plastics, courses, weather, the thrower, the cart, evidence."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path

from rimwise.app.guidance import par_notes
from rimwise.app.noting import scope_of
from rimwise.app.phone_log import bring_phone_log, is_phone_log
from rimwise.app.wearing import remember_wear
from rimwise.errors import InputError
from rimwise.records.courses import Course, Hole
from rimwise.records.words import plural
from rimwise.store.course_journal import CourseJournal
from rimwise.store.exchange.evidence_scope import Scope
from rimwise.store.exchange.evidence_tables import evidence_kind, read_evidence_csv
from rimwise.store.exchange.problems import refuse
from rimwise.store.journal import Journal
from rimwise.store.store import Store

__all__ = ["KINDS", "Brought", "bring_file", "bring_many", "read_file"]

#: What can be imported, in the order in which several files are best read.
KINDS = (
    *("plastics", "thrower", "cart", "course", "conditions", "discs"),
    *("throws", "comparisons", "grips", "wear", "knocks", "putts", "rounds", "phone"),
)
#: Kinds of evidence, and what one of each is called.
_EVIDENCE = {
    "throws": "throw",
    "comparisons": "comparison",
    "grips": "grip grade",
    "wear": "condition grade",
    "knocks": "knock",
    "putts": "putting record",
    "rounds": "round",
}

#: Endings that only maps have.
_MAPS = (".osm", ".geojson", ".xml", ".pbf")
#: Bigger than any file of this kind has a reason to be.
LARGEST_BYTES = 64 * 1024 * 1024


@dataclass(frozen=True, slots=True)
class Brought:
    """What one file gave: its kind, the record's name, how many records, and notices."""

    kind: str
    name: str
    count: int
    notices: tuple[str, ...]

    @property
    def words(self) -> str:
        """What was brought, in a sentence."""
        if self.kind in ("discs", "plastics"):
            return f"{plural(self.count, self.kind.removesuffix('s'))} from {self.name}."
        if self.kind == "course":
            return f"Course {self.name} with {plural(self.count, 'hole')}."
        if self.kind == "conditions":
            kinds = plural(self.count, "kind")
            return f"Conditions {self.name} with {kinds} of day."
        if self.kind == "phone":
            return f"{self.name}."
        if self.kind in _EVIDENCE:
            return f"{plural(self.count, f'new {_EVIDENCE[self.kind]}')} from {self.name}."
        return f"{self.kind.capitalize()}: {self.name}."


def bring_many(
    store: Store,
    paths: Sequence[Path],
    *,
    elevation_m: float = 0.0,
    keep_good: bool = False,
    today: date | None = None,
    anyway: bool = False,
) -> tuple[Brought, ...]:
    """Import several files in one transaction, all or none; plastics come before discs."""
    ordered = sorted(paths, key=lambda path: (KINDS.index(kind_of(path)), str(path)))
    with store.atomic():
        return tuple(
            bring_file(
                store,
                path,
                elevation_m=elevation_m,
                keep_good=keep_good,
                today=today,
                anyway=anyway,
            )
            for path in ordered
        )


def bring_file(
    store: Store,
    path: Path,
    *,
    kind: str | None = None,
    name: str | None = None,
    layout: str | None = None,
    elevation_m: float = 0.0,
    keep_good: bool = False,
    today: date | None = None,
    now: datetime | None = None,
    anyway: bool = False,
) -> Brought:
    """Import one file; nothing is saved when it has a problem.

    Parameters
    ----------
    kind
        One of :data:`KINDS`; guessed from the file when not given.
    name
        Name for a course or for conditions; the file's own otherwise.
    layout
        Word for the tees and baskets of a map to take where a hole has several.
    elevation_m
        Height of the course above sea level, for weather reports.
    keep_good
        Save the good rows of a table although others have problems.
    today
        The present day: later evidence is refused. None is when it is ``None``.
    now
        Time of the import, for the journal of courses; the clock's when not given.
    anyway
        Take evidence of retired discs, and throws longer than the arm.

    Raises
    ------
    InputError
        When the file cannot be read or has a problem: where it is and what to type instead.
    """
    data = read_file(path)
    known = kind or kind_of(path, data)
    if known not in KINDS:
        raise InputError(f"{known!r} cannot be imported; choose one of {', '.join(KINDS)}.")
    _refuse_other_kind(path, data, known)
    if known in _EVIDENCE:  # others may write while a long table is read
        scope = scope_of(store, today, anyway=anyway)
        return _evidence(store, path, data, known, keep_good, scope)
    with store.atomic():
        if known == "course":
            return _course(store, path, data, name, layout or "", now)
        if known == "conditions":
            return _conditions(store, path, data, name, elevation_m)
        if known in ("thrower", "cart"):
            return _json(store, path, data, known)
        if known == "phone":
            return _phone(store, path, data, keep_good, scope_of(store, today, anyway=anyway), now)
        return _table(store, path, data, known, keep_good, today)


def _refuse_other_kind(path: Path, data: bytes, kind: str) -> None:
    """Say it in a sentence when a file is plainly something else than was named."""
    if path.suffix.lower() in _MAPS and kind != "course":
        raise InputError(f"{path.name} is a map and holds no {kind}; import it as a course.")
    if kind != "phone" and is_phone_log(data):
        raise InputError(f"{path.name} was logged on the phone; import it with --kind phone.")
    heading = _heading(data)
    if kind != "discs" and re.search(r"\bmold\b", heading) and "," in heading:
        raise InputError(f"{path.name} is a table of discs; import it with --kind discs.")
    logged = evidence_kind(data, path.name) if kind == "discs" else None
    if logged is not None:
        raise InputError(f"{path.name} holds {logged}; import it with --kind {logged}.")


def _heading(data: bytes) -> str:
    return data.split(b"\n", 1)[0].decode("utf-8-sig", "replace").lower()


def read_file(path: Path) -> bytes:
    """Return what a file holds, or say in a sentence why it cannot be read."""
    try:
        size = path.stat().st_size
        if size > LARGEST_BYTES:
            raise InputError(
                f"{path} has {size / 1e6:.0f} MB, more than the 64 MB read here; give a smaller "
                "extract: the course and its surroundings are enough."
            )
        return path.read_bytes()
    except FileNotFoundError:
        raise InputError(f"there is no file {path}; check the name.") from None
    except IsADirectoryError:
        raise InputError(f"{path} is a folder; name a file in it.") from None
    except PermissionError:
        raise InputError(f"{path} may not be read; check its permissions.") from None
    except OSError as error:
        raise InputError(f"{path} cannot be read ({error.strerror or error}).") from None


def kind_of(path: Path, data: bytes | None = None) -> str:
    """Guess what a file holds from its ending, its name and its first line.

    Raises
    ------
    InputError
        When it cannot be told.
    """
    ending, stem = path.suffix.lower(), path.stem.lower()
    if ending in _MAPS:
        return "course"
    if ending == ".json":
        content = data if data is not None else read_file(path)
        if b"FeatureCollection" in content[:4096]:
            return "course"
        return "cart" if b'"pockets"' in content else "thrower"
    content = data if data is not None else read_file(path)
    if is_phone_log(content):
        return "phone"
    logged = evidence_kind(content, path.name)
    if logged is not None:
        return logged
    head = _heading(content)
    if "metar" in content[:4096].decode("utf-8", "replace").lower() or "temperature" in head:
        return "conditions"
    if "hole" in head and ("length" in head or "par" in head or "distance" in head):
        return "course"
    if "plastic" in stem or ("durability" in head and "mold" not in head):
        return "plastics"
    if "mold" in head or "speed" in head or ending in (".txt", ".csv"):
        return "discs"
    raise InputError(
        f"{path} could be anything; say what it is with --kind, one of {', '.join(KINDS)}."
    )


def _course(
    store: Store, path: Path, data: bytes, name: str | None, layout: str, now: datetime | None
) -> Brought:
    from rimwise.course.geojson import course_from_geojson
    from rimwise.course.osm import course_from_osm
    from rimwise.course.pbf import course_from_pbf
    from rimwise.course.table import course_from_table

    ending = path.suffix.lower()
    try:
        if ending in (".osm", ".xml"):
            found = course_from_osm(data, name or "", layout)
        elif ending == ".pbf":
            found = course_from_pbf(data, name or "", layout)
        elif ending in (".geojson", ".json"):
            found = course_from_geojson(data, name or "", layout)
        else:
            found = course_from_table(data, path.stem)
    except InputError as error:  # which of several files was it?
        raise InputError(f"{path.name}: {error}") from None
    course = found.course
    if name is not None or not course.name:
        called = name or path.stem
        course = replace(course, name=f"{called} ({layout})" if layout else called)
    course, kept = _with_drawings(store, course)
    at = now or datetime.now()
    CourseJournal(store).put(course, f"imported {path.name}", at)
    told = (*found.warnings, *found.notes, *kept, *par_notes(store, course))
    return Brought("course", course.name, len(course.holes), told)


def _with_drawings(store: Store, course: Course) -> tuple[Course, tuple[str, ...]]:
    """Keep what the owner had drawn on a course that is read from its map again."""
    from rimwise.course.drawn import kept_drawings, with_features

    if course.name not in store.courses:
        return course, ()
    old = store.courses.get(course.name)
    was = {hole.ref: hole for hole in old.holes}
    holes = tuple(_with_facts(hole, was.get(hole.ref, hole)) for hole in course.holes)
    told = () if holes == course.holes else (_FACTS_KEPT,)
    course = replace(course, holes=holes)
    back = f"`rimwise course --undo` brings {course.name} back as it was."
    marks = [mark.drawn for mark in old.mandatories] + [zone.drawn for zone in old.drop_zones]
    if not any([area.drawn for area in old.areas] + marks):
        return course, (f"{course.name} was on file already and is replaced; {back}", *told)
    drawings = kept_drawings(old, course)
    if drawings is None:
        return course, (f"What you had drawn could not be placed on the new course; {back}", *told)
    try:
        drawn = with_features(course, drawings)
    except InputError as error:
        return course, (f"What you had drawn was left out, because {error} {back}", *told)
    kept = f"{drawings.words} that you had drawn on {course.name} kept; {back}"
    return drawn.course, (kept, *told)


_FACTS_KEPT = "What was on file of its holes and does not stand in the new file was kept."


def _with_facts(hole: Hole, was: Hole) -> Hole:
    """Return a hole read again with what was on file of it and the file does not say."""
    return replace(
        hole,
        par=was.par if hole.par is None else hole.par,
        elevation_change_m=hole.elevation_change_m or was.elevation_change_m,
        played_length_m=was.played_length_m if hole.played_length_m is None
        else hole.played_length_m,
        name=hole.name or was.name,
        shelter=was.shelter if hole.shelter is None else hole.shelter,
    )  # fmt: skip


def _conditions(
    store: Store, path: Path, data: bytes, name: str | None, elevation_m: float
) -> Brought:
    from rimwise.store.exchange.climate import is_climate
    from rimwise.store.exchange.conditions import read_conditions

    if is_climate(data, path.name):
        raise InputError(
            f"{path.name} is a climate by the month; make a season of it with "
            f'`rimwise weather "league nights" --climate {path.name} --months Nov-Feb`.'
        )
    read = read_conditions(data, path.name, title=name or path.stem, elevation_m=elevation_m)
    refuse(read.problems)
    if read.conditions is None:
        raise InputError(f"{path.name} holds no day; add a METAR line or a row of the climate.")
    store.conditions.put(read.conditions)
    notices = tuple(str(notice) for notice in read.notices)
    return Brought("conditions", read.conditions.name, len(read.conditions.days), notices)


def _json(store: Store, path: Path, data: bytes, kind: str) -> Brought:
    from rimwise.store.exchange.json_files import read_cart_json, read_thrower_json

    if kind == "cart":
        cart = read_cart_json(data, path.name)
        store.carts.put(cart)
        return Brought(kind, cart.name, 1, ())
    thrower = read_thrower_json(data, path.name)
    store.throwers.put(thrower)
    return Brought(kind, thrower.name, 1, ())


def _table(
    store: Store, path: Path, data: bytes, kind: str, keep_good: bool, today: date | None
) -> Brought:
    from rimwise.store.exchange.discs import read_discs
    from rimwise.store.exchange.plastics import read_plastics_csv
    from rimwise.store.exchange.save import known_in, save_discs, save_plastics

    if kind == "plastics":
        plastics = read_plastics_csv(data, path.name)
        count = save_plastics(store, plastics, keep_good=keep_good)
        told = (*plastics.notices, *(plastics.problems if keep_good else ()))
    else:
        discs = read_discs(data, path.name, known_in(store))
        before = {disc.id: disc.wear for disc in store.discs.all()}
        count = save_discs(store, discs, keep_good=keep_good)
        if today is not None:
            worn = [disc.id for disc in store.discs.all() if before.get(disc.id) != disc.wear]
            remember_wear(store, worn, today)
        told = (*discs.notices, *(discs.problems if keep_good else ()))
    return Brought(kind, path.name, count, tuple(str(notice) for notice in told))


def _evidence(
    store: Store, path: Path, data: bytes, kind: str, keep_good: bool, scope: Scope
) -> Brought:
    """Add what is not on file yet; the same file again adds nothing."""
    read = read_evidence_csv(data, path.name, kind, scope)
    if not keep_good:
        refuse(read.problems)
    added = Journal(store).add_once(read.records)
    told = [str(notice) for notice in (*read.notices, *(read.problems if keep_good else ()))]
    one = _EVIDENCE[kind]
    if added.known:
        told.append(f"{plural(added.known, one)} on file already.")
    if added.deleted:
        told.append(f"{plural(added.deleted, one)} that you deleted earlier left out.")
    return Brought(kind, path.name, len(added.numbers), tuple(told))


def _phone(
    store: Store, path: Path, data: bytes, keep_good: bool, scope: Scope, now: datetime | None
) -> Brought:
    """Add what was logged on the phone and is not on file yet."""
    logged = bring_phone_log(
        store, data, path.name, scope, now or datetime.now(), keep_good=keep_good
    )  # fmt: skip
    name = f"{logged.words} from {path.name}"
    return Brought("phone", name, logged.count, logged.notices)
