"""The program: ``cutplan``, and ``python -m cutplan``."""

from __future__ import annotations

import os

from cutplan.interruption import listen

# Nothing here is worth numpy's threads, which keep every other processor busy for as long as numpy takes to load.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
listen()  # where the program was not told from a library when the package was loaded, by its name

from cutplan.cli import main as run  # noqa: E402 - which takes a tenth of a second


def main() -> None:
    """Run the program, and leave it as it stands.

    What is left is the system's to take back: visiting each object once more costs a tenth of a plan's time, and a
    solver that was left to itself would be disturbed.
    """
    os._exit(run())


if __name__ == "__main__":
    main()
