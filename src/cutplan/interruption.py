"""Ctrl-C, heard in one place from the program's first line to its last.

The program listens before it loads anything else. Until a search has begun there is nothing to keep, and Ctrl-C ends
it on the spot. From then on the first one is only noted: whoever works looks at :func:`is_asked`, the best answer so
far is printed, and the program ends with status 130; a second one ends it on the spot. While a file is written no
signal that a program can hear ends it. Used as a library, nothing here takes any signal.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from types import FrameType
from typing import Final

STATUS: Final = 130
"""What the program returns when it was interrupted."""

_UNHEARD: Final = (
    *("SIGKILL", "SIGSTOP", "SIGTSTP", "SIGTTIN", "SIGTTOU", "SIGCONT", "SIGCHLD", "SIGURG", "SIGWINCH", "SIGINFO"),
    *("SIGSEGV", "SIGBUS", "SIGFPE", "SIGILL", "SIGABRT", "SIGEMT"),
)
"""What no program hears, what ends none, and faults of the program itself; some systems know fewer."""

_PLAIN: Final = (signal.SIG_DFL, signal.default_int_handler)


class _Ear:
    """What has been heard, and what it may do."""

    def __init__(self) -> None:
        self.keeps = False
        self.is_asked = False
        self.writing = 0
        self.waiting: int | None = None

    def hear(self, number: int, _frame: FrameType | None) -> None:
        """Take a signal: it waits, is noted, or ends the program."""
        if self.writing:
            self.waiting = number
        elif number == signal.SIGINT and self.keeps and not self.is_asked:
            self.is_asked = True
        else:
            _end(number)


_ear: Final = _Ear()


def listen(*plain: object) -> None:
    """Hear Ctrl-C from now on, and with it what else would end the program, unless whoever started it hears them.

    ``plain`` are handlers that give way, besides those that Python begins with.
    """
    for number in signal.valid_signals() - {getattr(signal, name, None) for name in _UNHEARD}:
        if signal.getsignal(number) in (*_PLAIN, *plain):
            signal.signal(number, _ear.hear)


def keep_what_is_found() -> None:
    """Let the first Ctrl-C from now on only be noted: there is, or will be, an answer worth having."""
    _ear.keeps = True


def is_asked() -> bool:
    """Return True when the user has asked for the best answer so far."""
    return _ear.is_asked


def stop_if_asked() -> None:
    """Raise KeyboardInterrupt when the user has asked for the best answer so far, where whoever works can stop."""
    if _ear.is_asked:
        raise KeyboardInterrupt


@contextmanager
def undisturbed() -> Iterator[None]:
    """Let signals wait while a file is written."""
    _ear.writing += 1
    try:
        yield
    finally:
        _ear.writing -= 1
        if not _ear.writing and _ear.waiting is not None:
            number, _ear.waiting = _ear.waiting, None
            _ear.hear(number, None)


@contextmanager
def unheard_by_children() -> Iterator[None]:
    """Start processes that never hear Ctrl-C, not even while they start: it is for the one that started them."""
    mask = getattr(signal, "pthread_sigmask", None)
    if mask is None:  # Windows
        yield
        return
    before = mask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        mask(signal.SIG_SETMASK, before)


def end_children() -> None:
    """End the processes that work for this one, if there are any: a library that is still loading has started none."""
    for child in getattr(sys.modules.get("multiprocessing"), "active_children", tuple)():
        child.kill()


def _end(number: int) -> None:
    """End the program on the spot, as this signal does."""
    end_children()
    if number == signal.SIGINT:
        with suppress(OSError):
            os.write(2, b"cutplan: interrupted\n")
        os._exit(STATUS)
    signal.signal(number, signal.SIG_DFL)
    os.kill(os.getpid(), number)
