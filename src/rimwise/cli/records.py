"""Commands that keep the records safe: backup, restore, history, undo, purge, records."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rimwise.cli.common import JSON_HELP, emit, say, session_of
from rimwise.errors import InputError

if TYPE_CHECKING:
    from rimwise.app.backing import BackupLine, Checked
    from rimwise.app.history import HistoryStep

__all__ = ["add_to"]

_Json = Annotated[bool, typer.Option("--json", help=JSON_HELP)]


def add_to(app: typer.Typer) -> None:
    """Add these commands to the command line."""
    app.command("backup")(backup)
    app.command("restore")(restore)
    app.command("history")(show_history)
    app.command("undo")(take_back)
    app.command("purge")(forget)
    records = typer.Typer(
        no_args_is_help=True,
        rich_markup_mode=None,
        help="Check all records and mend them, or export them to open formats.",
    )
    records.command("check")(check)
    records.command("export")(export)
    app.add_typer(records, name="records")


def backup(
    context: typer.Context,
    to: Annotated[
        Path | None, typer.Option(help="Another folder, such as a stick; nothing there is removed.")
    ] = None,
    listed: Annotated[bool, typer.Option("--list", help="List the backups there are.")] = False,
    as_json: _Json = False,
) -> None:
    """Write a backup of all records beside the data file, and read it back.

    Backups are also made of their own accord, at most one an hour, when something changed. Kept are
    the latest ten, one for each of the last 14 days, and one for each of the last 12 months.
    """
    from rimwise.app.backing import back_up, backup_lines

    session = session_of(context)
    if listed:
        lines = backup_lines(session.data.expanduser())
        emit(lines, as_json, lambda: _say_backups(lines))
        return
    with session.store() as store:
        made = back_up(store, datetime.now(), to)

    def show() -> None:
        say(f"Backed up to {made.path}, and read back.")
        if made.removed:
            say(f"{made.removed} older ones were rotated out.")

    emit(made, as_json, show)


def _say_backups(lines: tuple[BackupLine, ...]) -> None:
    if not lines:
        say("There is no backup yet; `rimwise backup` makes one.")
    for line in lines:
        before = f", before a {line.before}" if line.before else ""
        when = line.at.replace("T", " ")
        say(f"{when}  {line.size_bytes / 1e6:.1f} MB{before}  {line.name}")


def restore(
    context: typer.Context,
    source: Annotated[
        str,
        typer.Argument(
            help="A backup or an export, a day such as 2026-05-03 or yesterday, or latest."
        ),
    ],
    as_json: _Json = False,
) -> None:
    """Put a backup or an export in the place of all records; what is there is backed up first.

    Nothing is changed unless the whole of it can be read.
    """
    from rimwise.app.backing import restore_records

    done = restore_records(session_of(context).data, source, datetime.now())

    def show() -> None:
        say(done.words)
        for notice in done.notices:
            say(f"note: {notice}", indent=2)

    emit(done, as_json, show)


def show_history(
    context: typer.Context,
    thing: Annotated[
        str | None,
        typer.Argument(help="Only of this: a disc, or evidence by letter and number, as in t12."),
    ] = None,
    most: Annotated[int, typer.Option(min=1, help="Steps to list.")] = 20,
    as_json: _Json = False,
) -> None:
    """List what was changed in your records and when, the newest first."""
    from rimwise.app.history import history

    with session_of(context).store() as store:
        steps = history(store, thing, most=most)
    emit(steps, as_json, lambda: _say_history(steps))


def _say_history(steps: tuple[HistoryStep, ...]) -> None:
    if not steps:
        say("Nothing is in the history yet.")
    for step in steps:
        undone = " (taken back)" if step.undone else ""
        say(f"{step.number}  {step.at}{undone}")
        for line in step.words:
            say(line, indent=4)


def take_back(
    context: typer.Context,
    number: Annotated[
        int | None, typer.Argument(help="The step, as in the history; else the latest one.")
    ] = None,
    as_json: _Json = False,
) -> None:
    """Take back what was changed last, or one step of the history.

    Taking back is a step of its own, so it can be taken back too.
    """
    from rimwise.app.history import undo

    with session_of(context).store() as store:
        done = undo(store, number)

    def show() -> None:
        say(f"Taken back, step {done.number} of {done.at.replace('T', ' ')}:")
        for line in done.words:
            say(line, indent=4)
        say(f"`rimwise undo {done.step}` makes it so again.")

    emit(done, as_json, show)


def forget(
    context: typer.Context,
    before: Annotated[
        str | None,
        typer.Option(help="Only what was changed before this day, as in 2025-01-01; else all."),
    ] = None,
    yes: Annotated[bool, typer.Option("--yes", help="Do it; it cannot be taken back.")] = False,
    as_json: _Json = False,
) -> None:
    """Forget the history and all that you deleted, for good; your records stay.

    A backup is made first and still has everything; delete the backups too if nobody may read it.
    """
    from rimwise.app.history import purge
    from rimwise.records.evidence_words import date_in

    day = None if before is None else date_in(before, date.today())
    if not yes:
        what = "all of the history" if day is None else f"the history before {day}"
        raise InputError(
            f"this forgets {what} and what was deleted, for good: undo and undelete will not bring "
            "it back. Add --yes if that is what you want; a backup is made first."
        )
    with session_of(context).store() as store:
        done = purge(store, datetime.now(), day)

    def show() -> None:
        say(
            f"Forgotten: {done.changes} changes, and {done.deleted} deleted entries. The backup "
            f"{done.backup} was made first and still has them, as older backups do."
        )

    emit(done, as_json, show)


def check(
    context: typer.Context,
    mend: Annotated[
        bool, typer.Option("--mend", help="Mend what can be mended, after a backup.")
    ] = False,
    as_json: _Json = False,
) -> None:
    """Look through all records and backups for faults, and say what can be done.

    Ends with 1 when something is wrong.
    """
    from rimwise.app.backing import check_records

    session = session_of(context)
    with session.store():
        pass  # says it in a sentence when there is no data file
    found = check_records(session.data, datetime.now(), mend=mend)
    emit(found, as_json, lambda: _say_checked(found))
    if found.faults or found.bad_backups:
        raise typer.Exit(1)


def _say_checked(found: Checked) -> None:
    for fault in found.mended:
        say(f"Mended: {fault.words} Done: {fault.remedy}.")
    if found.backup:
        say(f"The backup {found.backup} was made before.")
    for fault in found.faults:
        say(f"Wrong: {fault.words} To do: {fault.remedy}.")
    for bad in found.bad_backups:
        say(f"A backup cannot be used: {bad}")
    if any(fault.mendable for fault in found.faults):
        say("`rimwise records check --mend` mends what can be mended, after a backup.")
    if not found.faults:
        say("All records are sound: every row was read, and every reference holds.")
    say(found.backups_told)


def export(
    context: typer.Context,
    to: Annotated[Path, typer.Argument(help="A new folder, or a file that ends in .zip.")],
    as_json: _Json = False,
) -> None:
    """Write all records as CSV, GeoJSON and JSON, for other programs and for good.

    `rimwise restore` reads such an export back, equal row for row.
    """
    from rimwise.app.backing import export_records

    with session_of(context).store() as store:
        written = export_records(store, to)
    emit(
        written,
        as_json,
        lambda: say(f"All records written to {written.path} ({written.size_bytes / 1e6:.1f} MB)."),
    )
