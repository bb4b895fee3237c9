"""The page served: where it listens, who is let in, and what it says of that."""

from __future__ import annotations

import socket
import webbrowser
from pathlib import Path
from typing import Final

from uvicorn import Config, Server

from cutplan.cli.terminal import UsageError, print_text
from cutplan.errors import reason_of
from cutplan.faults import ScenarioError
from cutplan.page.desk import Desk
from cutplan.page.door import Door, Keys
from cutplan.page.moving import Mover
from cutplan.page.phone_code import code_typed, own_address
from cutplan.page.server import application
from cutplan.page.surveying import EMPTY
from cutplan.parts.read_parts import read_job

USUAL_PORT: Final = 8577
"""Always the same where it is free, so that a page still open finds the server that was started again."""
LOOPBACK: Final = "127.0.0.1"


def serve(path: Path | None, part: str | None, port: int | None, *, phone: bool, opens: bool) -> None:
    """Serve the page of a scenario, or of a part of it, until Ctrl-C; without a path that of a new survey."""
    desk = Desk(path, part, EMPTY)
    desk.survey()  # What cannot be read is said here and not on a page.
    if part is not None:
        _refuse_unknown_part(desk)
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


def _refuse_unknown_part(desk: Desk) -> None:
    """Raise ScenarioError when a file has no such part, which only a file without faults can tell."""
    try:
        read_job(str(desk.path))
    except ScenarioError:
        return
    read_job(desk.address)


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
