"""Commands that note evidence: log throw, compare, grip, wear, knock, putts, round, and so on."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING, Annotated

import typer

from rimwise.cli.common import JSON_HELP, emit, say, session_of
from rimwise.errors import InputError

if TYPE_CHECKING:
    from rimwise.app.noted import Changed, Kept
    from rimwise.app.noting import Noted, When
    from rimwise.store.exchange.evidence_scope import Place

__all__ = ["add_to"]

_Json = Annotated[bool, typer.Option("--json", help=JSON_HELP)]
_On = Annotated[
    str | None, typer.Option("--on", help="Day: 2026-05-03, 3 May or yesterday; else today.")
]
_Note = Annotated[str, typer.Option(help="A note to keep with it.")]
_Anyway = Annotated[
    bool, typer.Option("--anyway", help="Take it although a disc is retired or the throw is long.")
]
_Conditions = Annotated[
    str | None,
    typer.Option(help="Name of a day on file, or words: '4C wet wind 5m/s from the left'."),
]
_Ground = Annotated[str | None, typer.Option(help="soft, firm, hard, wet or frozen.")]
_Disc = Annotated[str, typer.Argument(help="The disc, or a part of its name that fits only one.")]
_Length = Annotated[
    str | None, typer.Option(help="From tee to basket, for a rest told from the basket: 95m.")
]
_Hole = Annotated[str | None, typer.Option(help="Hole on file that it was thrown on.")]
_Course = Annotated[str | None, typer.Option(help="Its course, when there are several.")]
_Tee = Annotated[
    str | None, typer.Option(metavar="LAT,LON", help="Map point of the tee, in degrees.")
]
_Rest = Annotated[
    str | None, typer.Option(metavar="LAT,LON", help="Map point where it came to rest.")
]
_Aim = Annotated[str | None, typer.Option(metavar="LAT,LON", help="Map point aimed at.")]
_Bearing = Annotated[
    float | None, typer.Option(help="Direction aimed along, degrees clockwise from north.")
]
_Ids = Annotated[list[str], typer.Argument(help="Letter and number, as in t12 (see log list).")]

#: Entries that are listed when nobody asks for more: they fill a few screens.
MOST_LISTED = 100

_HELP = (
    "Note what you saw: throws, comparisons, grip, wear, knocks, putts and rounds. "
    "Every command takes --json. Never throw while anyone may be in range."
)


def add_to(app: typer.Typer) -> None:
    """Add these commands to the command line."""
    log = typer.Typer(help=_HELP, no_args_is_help=True, rich_markup_mode=None)
    log.command("throw")(throw)
    log.command("compare")(compare)
    log.command("grip")(grip)
    log.command("wear")(wear)
    log.command("knock")(knock)
    log.command("putts")(putts)
    log.command("round")(play)
    log.command("list")(list_kept)
    log.command("edit")(edit)
    log.command("delete")(delete)
    log.command("undelete")(undelete)
    app.add_typer(log, name="log")


def throw(
    context: typer.Context,
    disc: _Disc,
    words: Annotated[
        list[str] | None,
        typer.Argument(
            help="As in: 64m 5L bh flat 80%. Or: 12m left of the basket, 25m to go. Parts: L or "
            "R, straight; bh, fh; hyzer 20; low, high; touch 58m; 22m/s; 1100rpm; in 4C wet."
        ),
    ] = None,
    length: _Length = None,
    hole: _Hole = None,
    course: _Course = None,
    tee: _Tee = None,
    rest: _Rest = None,
    aim: _Aim = None,
    bearing: _Bearing = None,
    conditions: _Conditions = None,
    ground: _Ground = None,
    on: _On = None,
    note: _Note = "",
    anyway: _Anyway = False,
    as_json: _Json = False,
) -> None:
    """Note a throw and where it came to rest.

    What is not said of the line comes from your stock throw. Distance is along the line you
    aimed, and left or right is from it, as you face the target.
    """
    from rimwise.app.noting import note_throw

    place = _place(length, hole, course, tee, rest, aim, bearing)
    with session_of(context).store() as store:
        noted = note_throw(
            store, disc, " ".join(words or ()), _when(on), place,
            conditions=conditions, ground=ground, note=note, anyway=anyway,
        )  # fmt: skip
    _emit_noted([noted], as_json)


def compare(
    context: typer.Context,
    words: Annotated[
        list[str],
        typer.Argument(
            help='A ">" B: slightly more; ">>" plainly; "=" about the same. Or in words: A '
            "plainly farther than B."
        ),
    ],
    quality: Annotated[
        str | None, typer.Option(help="stability, reach or grip; else stability.")
    ] = None,
    on: _On = None,
    note: _Note = "",
    anyway: _Anyway = False,
    as_json: _Json = False,
) -> None:
    """Note how two discs compare: in stability, reach or grip."""
    from rimwise.app.noting import note_comparison

    with session_of(context).store() as store:
        noted = note_comparison(
            store, " ".join(words), _when(on), quality=quality, note=note, anyway=anyway
        )
    _emit_noted([noted], as_json)


def grip(
    context: typer.Context,
    disc: _Disc,
    air: Annotated[str, typer.Argument(help="cold-dry, cold-wet, warm-dry or hot-sweaty.")],
    grade: Annotated[str, typer.Argument(help="1 (slips) to 5 (sure), or the word.")],
    on: _On = None,
    anyway: _Anyway = False,
    as_json: _Json = False,
) -> None:
    """Note how surely a disc is held in one kind of air."""
    from rimwise.app.noting import note_grip

    with session_of(context).store() as store:
        noted = note_grip(store, disc, air, grade, _when(on), anyway=anyway)
    _emit_noted([noted], as_json)


def wear(
    context: typer.Context,
    disc: _Disc,
    worn: Annotated[str, typer.Argument(help="0.4, 40% or new, good, worn, beaten.")],
    on: _On = None,
    note: _Note = "",
    anyway: _Anyway = False,
    as_json: _Json = False,
) -> None:
    """Note how worn a disc is."""
    from rimwise.app.noting import note_wear

    with session_of(context).store() as store:
        noted = note_wear(store, disc, worn, _when(on), note=note, anyway=anyway)
    _emit_noted([noted], as_json)


def knock(
    context: typer.Context,
    disc: _Disc,
    what: Annotated[list[str] | None, typer.Argument(help="What it hit; else a tree.")] = None,
    light: Annotated[bool, typer.Option("--light", help="Not hard.")] = False,
    on: _On = None,
    note: _Note = "",
    anyway: _Anyway = False,
    as_json: _Json = False,
) -> None:
    """Note that a disc hit something hard: it may fly otherwise since that day."""
    from rimwise.app.noting import note_knock

    with session_of(context).store() as store:
        noted = note_knock(
            store, disc, " ".join(what or ()), _when(on), hard=not light, note=note, anyway=anyway
        )
    _emit_noted([noted], as_json)


def putts(
    context: typer.Context,
    words: Annotated[
        list[str], typer.Argument(help="Distance and made/tried in turn: 6m 13/20 8m 9/20.")
    ],
    conditions: _Conditions = None,
    on: _On = None,
    as_json: _Json = False,
) -> None:
    """Note putts: from how far, how many went in, and how many were tried."""
    from rimwise.app.noting import note_putts

    with session_of(context).store() as store:
        noted = note_putts(store, words, _when(on), conditions=conditions)
    _emit_noted(noted, as_json)


def play(
    context: typer.Context,
    course: Annotated[str, typer.Argument(help="The course, or a part of its name.")],
    scores: Annotated[
        list[str],
        typer.Argument(help="Strokes in the order of the holes, - for none; or by hole: 7:4."),
    ],
    conditions: _Conditions = None,
    on: _On = None,
    note: _Note = "",
    carry: Annotated[
        str | None, typer.Option(help="The carry you took: its discs share the round's wear.")
    ] = None,
    as_json: _Json = False,
) -> None:
    """Note a round with its scores."""
    from rimwise.app.noting import note_round

    with session_of(context).store() as store:
        noted = note_round(
            store, course, scores, _when(on), conditions=conditions, carry=carry, note=note
        )
    _emit_noted([noted], as_json)


def list_kept(
    context: typer.Context,
    kind: Annotated[
        str | None,
        typer.Argument(help="throw, comparison, grip, wear, knock, putts or round; else all."),
    ] = None,
    disc: Annotated[str | None, typer.Option(help="Only what names this disc.")] = None,
    since: Annotated[str | None, typer.Option(help="Only since this day.")] = None,
    deleted: Annotated[bool, typer.Option("--deleted", help="What was deleted instead.")] = False,
    history: Annotated[
        bool, typer.Option("--history", help="Also what it said before each change.")
    ] = False,
    everything: Annotated[
        bool, typer.Option("--all", help=f"Everything, not the latest {MOST_LISTED} alone.")
    ] = False,
    as_json: _Json = False,
) -> None:
    """List what was noted, the latest day first, each with its letter and number.

    With --json always everything.
    """
    from rimwise.app.noted import evidence_page, list_evidence
    from rimwise.records.evidence_words import date_in

    first = None if since is None else date_in(since, date.today())
    with session_of(context).store() as store:
        if as_json or everything or deleted:
            kept = list_evidence(store, kind=kind, disc=disc, since=first, deleted=deleted)
            count = len(kept)
        else:
            kept, count = evidence_page(store, size=MOST_LISTED, kind=kind, disc=disc, since=first)
    emit(kept, as_json, lambda: _show_kept(kept, count, history=history, deleted=deleted))


def edit(
    context: typer.Context,
    called: Annotated[str, typer.Argument(metavar="ID", help="Letter and number, as in t12.")],
    words: Annotated[
        list[str] | None,
        typer.Argument(
            help="For a throw the parts that change: 66m 80%. For all else what it should say: "
            '14/20 with its distance, A ">>" B, the scores.'
        ),
    ] = None,
    disc: Annotated[str | None, typer.Option(help="Another disc.")] = None,
    quality: Annotated[
        str | None, typer.Option(help="Of a comparison: stability, reach or grip.")
    ] = None,
    length: _Length = None,
    hole: _Hole = None,
    course: _Course = None,
    tee: _Tee = None,
    rest: _Rest = None,
    aim: _Aim = None,
    bearing: _Bearing = None,
    conditions: _Conditions = None,
    ground: _Ground = None,
    on: _On = None,
    note: Annotated[str | None, typer.Option(help="Another note.")] = None,
    anyway: _Anyway = False,
    as_json: _Json = False,
) -> None:
    """Correct what was noted; what it said before is kept, with the time."""
    from rimwise.app.noted import Change, edit_evidence

    change = Change(
        text=" ".join(words) if words else None,
        on=on,
        disc=disc,
        conditions=conditions,
        ground=ground,
        note=note,
        quality=quality,
        place=_place(length, hole, course, tee, rest, aim, bearing),
    )
    with session_of(context).store() as store:
        changed = edit_evidence(store, called, change, _when(None), datetime.now(), anyway=anyway)
    emit(changed, as_json, lambda: _show_changed([changed]))


def delete(context: typer.Context, called: _Ids, as_json: _Json = False) -> None:
    """Take out what was noted; log undelete brings it back."""
    from rimwise.app.noted import delete_evidence

    with session_of(context).store() as store:
        changed = delete_evidence(store, called, datetime.now())
    emit(changed, as_json, lambda: _show_changed(changed))


def undelete(context: typer.Context, called: _Ids, as_json: _Json = False) -> None:
    """Bring back what was deleted, under its number."""
    from rimwise.app.noted import undelete_evidence

    with session_of(context).store() as store:
        changed = undelete_evidence(store, called, datetime.now())
    emit(changed, as_json, lambda: _show_changed(changed))


def _when(on: str | None) -> When:
    from rimwise.app.noting import When

    return When(date.today(), on)


def _place(
    length: str | None,
    hole: str | None,
    course: str | None,
    tee: str | None,
    rest: str | None,
    aim: str | None,
    bearing_deg: float | None,
) -> Place:
    from rimwise.records.evidence_words import length_in
    from rimwise.store.exchange.evidence_scope import Place

    return Place(
        length_m=None if length is None else length_in(length, "--length"),
        hole=hole,
        course=course,
        tee=_map_point(tee, "--tee"),
        rest=_map_point(rest, "--rest"),
        aim=_map_point(aim, "--aim"),
        bearing_deg=bearing_deg,
    )


def _map_point(text: str | None, name: str) -> tuple[float, float] | None:
    if text is None:
        return None
    try:
        lat, lon = (float(part) for part in text.replace(";", ",").split(","))
    except ValueError:
        raise InputError(
            f"{name} must be latitude and longitude in degrees, as in 54.1234,8.5678, "
            f"but is {text!r}."
        ) from None
    return lat, lon


def _emit_noted(noted: Sequence[Noted], as_json: bool) -> None:
    def show() -> None:
        for one in noted:
            say(f"{one.id} kept, {one.on}: {one.words}.")
            for notice in one.notices:
                say(f"note: {notice}", indent=2)

    emit(noted, as_json, show)


def _show_changed(changed: Sequence[Changed]) -> None:
    for one in changed:
        say(f"{one.id} {one.action}. {one.words}.")
        if one.before is not None:
            say(f"before: {one.before}.", indent=2)
        if one.action == "deleted":
            say(f"`rimwise log undelete {one.id}` brings it back.", indent=2)


def _show_kept(kept: Sequence[Kept], count: int, *, history: bool, deleted: bool) -> None:
    if not kept:
        say("Nothing was deleted." if deleted else "Nothing noted yet that fits.")
    for one in kept:
        mark = " (changed)" if one.earlier and not history and not deleted else ""
        say(f"{one.id}  {one.on}  {one.words}{mark}")
        for before in one.earlier if history else ():
            say(f"{before.action} {before.at}: {before.words}", indent=4)
    if count > len(kept):
        say()
        say(
            f"These are the latest {len(kept)} of {count:,}. --since, --disc or a kind asks for "
            "fewer, --all for everything."
        )
