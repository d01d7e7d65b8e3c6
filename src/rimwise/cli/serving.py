"""Commands about the pages: serve, devices."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Annotated

import typer

from rimwise.cli.common import JSON_HELP, emit, say, session_of
from rimwise.errors import InputError

if TYPE_CHECKING:
    from rimwise.web.sharing import Sharing

__all__ = ["add_to"]

_Json = Annotated[bool, typer.Option("--json", help=JSON_HELP)]


def add_to(app: typer.Typer) -> None:
    """Add these commands to the command line."""
    app.command("serve")(serve)
    app.command("devices")(devices)


def serve(
    context: typer.Context,
    port: Annotated[int, typer.Option(min=1, max=65535, help="Port on this computer.")] = 8765,
    share: Annotated[
        bool, typer.Option("--share", help="Let your phone on the home network in, by a code.")
    ] = False,
    on: Annotated[
        str | None,
        typer.Option(
            "--on",
            metavar="ADDRESS",
            help="This computer's address to share on, when it has several.",
        ),
    ] = None,
    as_json: _Json = False,
) -> None:
    """Open the pages in the browser of this computer; they start from nothing too."""
    try:
        from rimwise.web.server import serve_on
        from rimwise.web.sharing import Sharing, home_address
    except ModuleNotFoundError as error:
        raise InputError(
            f"the page needs {error.name}; install Rimwise with its web part, "
            "as in pip install 'rimwise[web]'."
        ) from None
    if on is not None and not share:
        raise InputError("--on says where to share; give --share with it.")
    session = session_of(context)
    sharing = Sharing.of(session.data, on or home_address(), port) if share else None
    with session.store(create=True):
        pass  # say now, not in the browser, when the data file cannot be opened
    serve_on(session.data, port, sharing, ready=lambda: _tell(port, sharing, as_json))


def _tell(port: int, sharing: Sharing | None, as_json: bool) -> None:
    address = f"http://127.0.0.1:{port}/"
    told: dict[str, object] = {"address": address}
    code, until = (sharing.codes.open_code() if sharing is not None else None) or ("", None)
    if sharing is not None and until is not None:
        told |= {
            "shared": sharing.pairing_page, "code": code, "until": until.isoformat(" ", "seconds"),
        }  # fmt: skip

    def show() -> None:
        say(f"Open {address} (Ctrl-C stops).")
        if sharing is not None and until is not None:
            _show_code(sharing, code, f"{until:%H:%M}", address)

    emit(told, as_json, show)


def _show_code(sharing: Sharing, code: str, until: str, address: str) -> None:
    from rimwise.web.sharing import PLAIN_HTTP, in_two

    if sys.stdout.isatty():
        import segno

        segno.make(sharing.link(code), error="m").terminal(sys.stdout, border=2, compact=True)
    say(
        f"Your phone, on the same home network: scan the code, or open {sharing.pairing_page} and "
        f"type {in_two(code)}. That works once, until {until}; {address}devices makes another and "
        "lists what is paired."
    )
    say(PLAIN_HTTP)


def devices(
    context: typer.Context,
    revoke: Annotated[
        list[str] | None,
        typer.Option(metavar="NUMBER", help="A device to let in no more (repeatable), or all."),
    ] = None,
    as_json: _Json = False,
) -> None:
    """List the devices that may use the shared pages, or revoke one."""
    from rimwise.app.devices import Devices
    from rimwise.records.words import date_words

    paired = Devices(session_of(context).data)
    named = [one.id for one in paired.all()] if revoke == ["all"] else revoke or []
    revoked = [paired.revoke(number) for number in dict.fromkeys(named)]
    left = paired.all()

    def show() -> None:
        for one in revoked:
            say(f"{one.name} ({one.id}) is revoked: what it asks from now on is refused.")
        if not left:
            say("No device is paired; `rimwise serve --share` lets one in.")
        for one in left:
            say(f"{one.name}, number {one.id}, paired {date_words(one.paired_on.isoformat())}.")
        if left and not revoked:
            say("`rimwise devices --revoke NUMBER` lets one in no more.")

    emit({"devices": left, "revoked": revoked}, as_json, show)
