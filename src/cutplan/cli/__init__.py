"""The command line. It reads, asks the layers below, prints, and turns errors into exit statuses.

One module per command; each imports what it uses only when it runs, so that ``--help`` is there at once.
"""

from __future__ import annotations

import gc
import os
import sys

from cutplan.cli import buy, check, compare, draw, fit, new, plan, recording, replan, sheet, status
from cutplan.cli.app import app
from cutplan.cli.terminal import INTERRUPTED

__all__ = [
    "app",
    "buy",
    "check",
    "compare",
    "draw",
    "fit",
    "main",
    "new",
    "plan",
    "recording",
    "replan",
    "sheet",
    "status",
]


def main() -> None:
    """Run the program: the entry point of ``cutplan`` and of ``python -m cutplan``."""
    # Nothing here multiplies matrices: starting the threads that would costs a tenth of an ordinary plan's time.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")
    try:
        app()
    except KeyboardInterrupt:
        sys.exit(INTERRUPTED)
    finally:
        # What is left is the system's to take back: visiting each object once more costs a tenth of a plan's time.
        gc.freeze()
