"""``cutplan page``: the whole job on one page, in the browser."""

from __future__ import annotations

import socket
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final

import typer

from cutplan.cli.app import command
from cutplan.cli.terminal import UsageError, print_text
from cutplan.errors import reason_of
from cutplan.parts.address import address_of

if TYPE_CHECKING:
    from cutplan.page.desk import Desk

USUAL_PORT: Final = 8577
"""Always the same where it is free, so that a page still open finds the server that was started again."""
LOOPBACK: Final = "127.0.0.1"


@command
def page(
    scenario: Annotated[
        str | None, typer.Argument(metavar="[FILE]", help="A TOML file; without, a new survey.")
    ] = None,
    *,
    port: Annotated[int | None, typer.Option(min=1, max=65535, metavar="N", help="Where to serve the page.")] = None,
    phone: Annotated[
        bool, typer.Option("--phone", help="Let phones of the local network in too, each by a code to scan.")
    ] = False,
    opens: Annotated[bool, typer.Option("--open/--no-open", help="Open the page in the browser.")] = True,
) -> None:
    """Show the whole job on one page: survey, start, rolls, table, in the browser.

    The page is served by this program, to this machine alone unless --phone is given. Everything stays in the
    scenario and its record, so other commands may be used in turns. Ctrl-C ends it.
    """
    from cutplan.page.desk import Desk  # noqa: PLC0415 - with the server, which help does without
    from cutplan.page.surveying import EMPTY  # noqa: PLC0415 - likewise

    file, part = (None, None) if scenario is None else address_of(scenario)
    desk = Desk(None if file is None else Path(file), part, EMPTY)
    desk.survey()  # What cannot be read is said here and not on a page.
    _serve(desk, port, phone=phone, opens=opens)


def _serve(desk: Desk, port: int | None, *, phone: bool, opens: bool) -> None:
    import webbrowser  # noqa: PLC0415 - for this command alone

    from uvicorn import Config, Server  # noqa: PLC0415 - likewise

    from cutplan.page.door import Door, Keys  # noqa: PLC0415 - likewise
    from cutplan.page.moving import Mover  # noqa: PLC0415 - likewise
    from cutplan.page.phone_code import code_typed, own_address  # noqa: PLC0415 - likewise
    from cutplan.page.server import application  # noqa: PLC0415 - likewise

    own = own_address() if phone else None
    if phone and own is None:
        raise UsageError("--phone: this machine is in no local network that a phone could reach it by")
    listening = [listening_at(LOOPBACK, port)]
    number = listening[0].getsockname()[1]
    hosts = {f"{LOOPBACK}:{number}", f"localhost:{number}"}
    keys = Keys()
    invites = None
    if own is not None:
        listening.append(listening_at(own, number))
        hosts.add(f"{own}:{number}")

        def invites() -> str:
            return f"http://{own}:{number}/?key={keys.new(for_once=True)}"

    mover = Mover(desk)
    door = Door(application(desk, mover, invites), keys, frozenset(hosts))
    address = f"http://{LOOPBACK}:{number}/?key={keys.new(for_once=False)}"
    print_text(f"The page is at {address}\nCtrl-C ends it.\n")
    if invites is not None:
        print_text(f"For one phone of this network:\n{code_typed(invites())}A further phone: see the page's head.\n")
    if opens:
        webbrowser.open(address)
    config = Config(door, log_config=None, access_log=False, server_header=False, timeout_graceful_shutdown=1)
    try:
        Server(config).run(listening)
    finally:
        mover.band.stop()


def listening_at(host: str, port: int | None) -> socket.socket:
    """Return a socket that listens: at the usual port, or any other where that is taken."""
    for wanted in (port,) if port is not None else (USUAL_PORT, 0):
        # Told to be TCP, else asyncio lets an answer's body wait for the browser's word that its head has come: 40 ms.
        found = socket.socket(proto=socket.IPPROTO_TCP)
        found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            found.bind((host, wanted))
        except OSError as error:
            found.close()
            reason = reason_of(error)
            continue
        return found
    raise UsageError(f"--port {port}: cannot be listened at: {reason}; leave it out, or choose another")
