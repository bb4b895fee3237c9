"""What goes to the screen and comes from it, and how errors become exit statuses.

Nothing else of the program prints: what could steer a screen is taken out here, and here it is known what to do when
a stream is closed, or its disk full.
"""

from __future__ import annotations

import os
import re
import sys
import time
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from fractions import Fraction
from pathlib import Path
from typing import Final, TextIO

import typer

from cutplan import interruption
from cutplan.errors import CutplanError, LengthError, RefusedError, reason_of
from cutplan.lengths import Length, read_length
from cutplan.plain_text import many_lines, one_line, steers

STANDARD: Final = "-"
"""Stands for standard input, or standard output."""

INTERNAL_FAULT: Final = 1
WRONG_USAGE: Final = 2
NO_PLAN: Final = 3
INTERRUPTED: Final = interruption.STATUS

_NUMBER: Final = re.compile(r"[0-9]{1,9}(\.[0-9]{1,4})?")
_PLAINER: Final = str.maketrans({"↑": "^", "×": "x", "–": "-", "«": '"', "»": '"', "’": "'"})
"""For a screen or a pipe that cannot show all of Unicode."""


class UsageError(RefusedError):
    """Something asked for that cannot be done so: the message says what to ask for instead."""


def open_streams() -> None:
    """Let the three streams be there, and take any text.

    For one that was closed another is opened that fails when it is used, so that no file takes its number.
    """
    for number, name in enumerate(("stdin", "stdout", "stderr")):
        if getattr(sys, name) is None:
            is_input = name == "stdin"
            handle = os.open(os.devnull, os.O_WRONLY if is_input else os.O_RDONLY)
            if handle != number:
                os.dup2(handle, number)
                os.close(handle)
            stream = open(number, "r" if is_input else "w", encoding="utf-8", closefd=False)  # noqa: SIM115
            setattr(sys, name, stream)
        elif name != "stdin" and hasattr(getattr(sys, name), "reconfigure"):
            getattr(sys, name).reconfigure(errors="replace")


def refuse_steering(words: Sequence[str]) -> None:
    """Raise UsageError when a word of the command line holds a sign that could steer a screen."""
    for number, word in enumerate(words, start=1):
        if steers(word):
            raise UsageError(f'word {number} of the command, "{one_line(word)}", holds control signs; write it plainly')


def print_text(text: str) -> None:
    """Print lines of our own to standard output, in plainer signs where it cannot take them all.

    RefusedError when it takes nothing.
    """
    text = many_lines(text)
    try:
        text.encode(sys.stdout.encoding or "utf-8")
    except UnicodeEncodeError:
        text = text.translate(_PLAINER)
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except BrokenPipeError:
        raise
    except OSError as error:
        raise output_error(error) from error


def print_lines(lines: Iterable[str]) -> None:
    """Print lines that hold what others wrote, so that each of them stays one line."""
    print_text("".join(f"{one_line(line)}\n" for line in lines))


def output_error(error: OSError) -> RefusedError:
    """Return what to say of standard output when it takes nothing."""
    _give_up(sys.stdout)
    return RefusedError(f"standard output cannot be written: {reason_of(error)}")


def tell(*lines: str) -> None:
    """Print lines to standard error, each with the program's name; silently not where it takes none."""
    show_lines(*(f"cutplan: {line}" for line in lines))


def show_lines(*lines: str) -> None:
    """Print lines to standard error as they are; silently not where it takes none."""
    _written(sys.stderr, "".join(f"{one_line(line)}\n" for line in lines))


def ask(prompt: str) -> str | None:
    """Return a line from the keyboard; None at its end."""
    _written(sys.stderr, prompt)
    line = sys.stdin.readline()
    return line.rstrip("\n") if line else None


def say_why(lines: Sequence[str]) -> None:
    """Print why the program ends: to standard error or, where that takes nothing, the first line to standard output."""
    if not _written(sys.stderr, "".join(f"{one_line(line)}\n" for line in lines)):
        _written(sys.stdout, f"{one_line(lines[0])}\n")


def _written(stream: TextIO, text: str) -> bool:
    """Write to a stream; return False when it takes nothing."""
    try:
        stream.write(text)
        stream.flush()
    except (OSError, ValueError):
        _give_up(stream)
        return False
    return True


def _give_up(stream: TextIO) -> None:
    """Let what a stream still holds go nowhere, or Python would complain once more when it closes it."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def tell_what_is_awaited(source: str, what: str) -> None:
    """Say what is awaited when it is to be typed at the keyboard."""
    if source == STANDARD and sys.stdin.isatty():
        tell(f"reading {what} from the keyboard; end it with Ctrl-D (Ctrl-Z and Return on Windows)")


@contextmanager
def faults_told(*, debug: bool) -> Iterator[None]:
    """Turn every error into lines on standard error and an exit status; a traceback only with --debug."""
    try:
        yield
    except typer.Exit:
        raise
    except BrokenPipeError:  # Whoever read the output has seen enough.
        _give_up(sys.stdout)
        raise typer.Exit(0) from None
    except KeyboardInterrupt:
        tell("interrupted")
        raise typer.Exit(INTERRUPTED) from None
    except Exception as error:
        if debug and not isinstance(error, CutplanError):
            raise
        raise typer.Exit(status_told(error)) from error
    if interruption.is_asked():
        raise typer.Exit(INTERRUPTED)


def status_told(error: Exception) -> int:
    """Say what is wrong, and return the exit status that goes with it."""
    if isinstance(error, CutplanError):
        say_why(error.lines())
        return error.exit_status
    if isinstance(error, OSError):
        where = f"{error.filename}: " if isinstance(error.filename, str) else ""
        say_why([f"cutplan: {where}cannot be read or written: {reason_of(error)}"])
        return WRONG_USAGE
    fault = f"internal fault ({type(error).__name__}: {error})"
    say_why([f"cutplan: {fault}; run the same with --debug to see where, and please report it"])
    return INTERNAL_FAULT


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
            line = one_line(f"{passed:.0f} s  {message}  (Ctrl-C: {self.interrupting})")
            _written(sys.stderr, f"\r{line[: self.width]:<{self.width}}")
            self.is_shown = True

    def places(self, done: int, total: int) -> None:
        """Show how many places of a comparison are worked out."""
        self(f"{done} of {total} places compared")

    def clear(self) -> None:
        """Take the line off the screen."""
        if self.is_shown:
            _written(sys.stderr, f"\r{'':<{self.width}}\r")


@contextmanager
def progress_line(interrupting: str = "keep the best so far") -> Iterator[ProgressLine | None]:
    """Give a line to show the progress of a search on, or None when nobody watches; it is cleared in the end.

    ``interrupting`` says what Ctrl-C does: from here on it keeps what is found.
    """
    interruption.keep_what_is_found()
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


def text_given(source: str) -> str:
    """Return the text of a file, or of standard input; raise RefusedError when it is none."""
    called = "standard input" if source == STANDARD else source
    try:
        if source == STANDARD:
            data = sys.stdin.buffer.read(MOST_BYTES + 1)
        else:
            with Path(source).open("rb") as file:
                data = file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        raise RefusedError(f"{called}: cannot be read: {reason_of(error)}") from error
    if len(data) > MOST_BYTES:
        raise RefusedError(f"{called}: is larger than {MOST_BYTES // 1_000_000} MB, so it is no plan")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        where = f"byte 0x{data[error.start]:02x} at offset {error.start}"
        raise RefusedError(f"{called}: {where} is not UTF-8, so this is no plan") from error


def number_in(text: str) -> Fraction | None:
    """Return a plain decimal number; None for anything else."""
    return Fraction(text) if _NUMBER.fullmatch(text) else None


def length_typed(option: str, text: str, units: str) -> Length:
    """Return a length as typed after an option, a bare number in ``units``; UsageError for anything else."""
    try:
        return read_length(text, units)
    except LengthError as error:
        raise UsageError(f"{option}: {error}") from error
