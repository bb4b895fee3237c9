"""The command line. It reads, asks the layers below, prints, and turns errors into exit statuses.

One module per command; each imports what it uses only when it runs, and only that of the command asked for is loaded:
so ``--help`` is there at once, and no plan waits for the rest.
"""

from __future__ import annotations

import gc
import os
import sys
from importlib import import_module
from typing import TYPE_CHECKING, Final

from cutplan.cli.app import app
from cutplan.cli.terminal import INTERRUPTED

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = ["MODULES", "load", "main"]

MODULES: Final = {
    "buy": "buy_command",
    "check": "check_command",
    "compare": "compare_command",
    "draw": "draw_command",
    "fit": "fit_command",
    "new": "new_command",
    "plan": "plan_command",
    **dict.fromkeys(("begin", "done", "hung", "spoiled", "measured", "bought", "undo"), "record_commands"),
    "replan": "replan_command",
    "sheet": "sheet_command",
    "status": "status_command",
}
"""The module of each command."""


def main() -> None:
    """Run the program: the entry point of ``cutplan`` and of ``python -m cutplan``."""
    # Nothing here multiplies matrices: starting the threads that would costs a tenth of an ordinary plan's time.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")
    try:
        load(sys.argv[1:])
        app()
    except KeyboardInterrupt:
        sys.exit(INTERRUPTED)
    finally:
        # What is left is the system's to take back: visiting each object once more costs a tenth of a plan's time.
        gc.freeze()


def load(words: Iterable[str]) -> None:
    """Load the command that the first word names; all of them where it names none, so that help can list them."""
    first = next((word for word in words if not word.startswith("-")), "")
    import_module(f"cutplan.cli.{MODULES.get(first, 'all_commands')}")
