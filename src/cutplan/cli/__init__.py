"""The command line. It reads, asks the layers below, prints, and turns errors into exit statuses.

One module per command, and only that of the command asked for is loaded: so ``--help`` is there at once, and no plan
waits for the rest.
"""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Iterable
from importlib import import_module
from typing import Final

from cutplan.cli.app import app
from cutplan.cli.command_table import COMMANDS
from cutplan.cli.terminal import INTERRUPTED, open_streams, output_error, refuse_steering, status_told
from cutplan.errors import CutplanError

__all__ = ["load", "main"]

COMPLETING: Final = "_CUTPLAN_COMPLETE"
"""Set in the environment by a shell that asks how a command goes on."""


def main() -> int:
    """Run the program and return its exit status, with nothing left to be written."""
    # Nothing here multiplies matrices: starting the threads that would costs a tenth of an ordinary plan's time.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    open_streams()
    # Loading makes many objects and no garbage; looking for some as often as usual costs a twentieth of a plan's time.
    gc.set_threshold(20_000, 50, 100)
    try:
        status = _run(sys.argv[1:])
        sys.stdout.flush()
    except CutplanError as error:
        status = status_told(error)
    except OSError as error:  # The help, which is not ours to print, found its stream closed or full.
        status = status_told(output_error(error))
    return status


def _run(words: list[str]) -> int:
    refuse_steering(words)
    try:
        load(words)
        app()
    except SystemExit as end:
        return end.code if isinstance(end.code, int) else 0
    except KeyboardInterrupt:
        return INTERRUPTED
    return 0


def load(words: Iterable[str]) -> None:
    """Load the command that the first word names; where it names none, list them all for help to show."""
    first = next((word for word in words if not word.startswith("-")), "")
    if first in COMMANDS:
        import_module(f"cutplan.cli.{COMMANDS[first].module}")
    elif COMPLETING in os.environ:
        import_module("cutplan.cli.all_commands")
    else:
        for name, command in COMMANDS.items():
            app.command(name, help=command.purpose)(_only_listed)


def _only_listed() -> None:
    """Stand in for a command that nobody has asked for."""
