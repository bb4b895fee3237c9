"""What goes to the screen and comes from it, and how errors become exit statuses."""

from __future__ import annotations

import os
import sys
import time
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Final

import typer

from cutplan.errors import CutplanError, ScenarioError

if TYPE_CHECKING:
    from collections.abc import Iterator

STANDARD: Final = "-"
"""Stands for standard input, or standard output."""

INTERNAL_FAULT: Final = 1
WRONG_USAGE: Final = 2
NO_PLAN: Final = 3
INTERRUPTED: Final = 130

_PLAINER: Final = str.maketrans({"↑": "^", "×": "x", "–": "-", "«": '"', "»": '"', "’": "'"})
"""For a screen or a pipe that cannot show all of Unicode."""


def tell(*lines: str) -> None:
    """Print lines to standard error, each with the program's name."""
    for line in lines:
        typer.echo(f"cutplan: {line}", err=True)


def tell_what_is_awaited(source: str, what: str) -> None:
    """Say what is awaited when it is to be typed at the keyboard."""
    if source == STANDARD and sys.stdin.isatty():
        tell(f"reading {what} from the keyboard; end it with Ctrl-D (Ctrl-Z and Return on Windows)")


def print_text(text: str) -> None:
    """Print to standard output, in plainer signs where it cannot take them all."""
    try:
        text.encode(sys.stdout.encoding or "utf-8")
    except UnicodeEncodeError:
        text = text.translate(_PLAINER)
    sys.stdout.write(text)
    sys.stdout.flush()


@contextmanager
def faults_told(*, debug: bool) -> Iterator[None]:
    """Turn every error into lines on standard error and an exit status; a traceback only with --debug."""
    try:
        yield
    except typer.Exit:
        raise
    except ScenarioError as error:
        typer.echo("\n".join(error.lines()), err=True)
        raise typer.Exit(error.exit_status) from error
    except CutplanError as error:
        tell(*str(error).splitlines())
        raise typer.Exit(error.exit_status) from error
    except BrokenPipeError:
        # Whoever read the output has seen enough. Python would complain once more when it closes the pipe.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise typer.Exit(0) from None
    except KeyboardInterrupt:
        tell("interrupted")
        raise typer.Exit(INTERRUPTED) from None
    except Exception as error:
        if debug:
            raise
        fault = f"internal fault ({type(error).__name__}: {error})"
        tell(f"{fault}; run the same with --debug to see where, and please report it")
        raise typer.Exit(INTERNAL_FAULT) from error


class ProgressLine:
    """One line on the screen, rewritten; nothing in the first half second, so that quick plans stay quiet."""

    quiet_seconds = 0.5
    width = 78

    def __init__(self, interrupting: str) -> None:
        self.interrupting = interrupting
        self.started = time.monotonic()
        self.is_shown = False

    def __call__(self, message: str) -> None:
        """Show how far the work is."""
        passed = time.monotonic() - self.started
        if passed >= self.quiet_seconds:
            self._rewrite(f"{passed:.0f} s  {message}  (Ctrl-C: {self.interrupting})")

    def _rewrite(self, line: str) -> None:
        typer.echo(f"\r{line[: self.width]:<{self.width}}", nl=False, err=True)
        self.is_shown = True

    def clear(self) -> None:
        """Take the line off the screen."""
        if self.is_shown:
            typer.echo(f"\r{'':<{self.width}}\r", nl=False, err=True)


@contextmanager
def progress_line(interrupting: str = "keep the best so far") -> Iterator[ProgressLine | None]:
    """Give a line to show progress on, or None when nobody watches; it is cleared in the end.

    ``interrupting`` says what Ctrl-C does.
    """
    if not sys.stderr.isatty():
        yield None
        return
    line = ProgressLine(interrupting)
    try:
        yield line
    finally:
        line.clear()


MOST_BYTES: Final = 100_000_000
"""A plan of a million pieces is smaller: what is larger, or never ends, is no plan."""


def read_text(source: str) -> str:
    """Return the text of a file, or of standard input; raise UnreadableError when it is none."""
    try:
        if source == STANDARD:
            data = sys.stdin.buffer.read(MOST_BYTES + 1)
        else:
            with Path(source).open("rb") as file:
                data = file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = (error.strerror if isinstance(error, OSError) else None) or str(error)
        raise UnreadableError(f"{source}: cannot be read: {reason.lower()}") from error
    if len(data) > MOST_BYTES:
        raise UnreadableError(f"{source}: is larger than {MOST_BYTES // 1_000_000} MB, so it is no plan")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        where = f"byte 0x{data[error.start]:02x} at offset {error.start}"
        raise UnreadableError(f"{source}: {where} is not UTF-8, so this is no plan") from error


class UnreadableError(CutplanError):
    """A file that cannot be read as text."""

    exit_status = WRONG_USAGE


class UsageError(CutplanError):
    """Something asked for that cannot be done so: the message says what to ask for instead."""

    exit_status = WRONG_USAGE
