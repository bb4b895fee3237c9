"""What can go wrong, as values that say where, what and how to mend it."""

from __future__ import annotations

import errno


class CutplanError(Exception):
    """Base of every error that cutplan raises on purpose.

    ``exit_status`` is what the command line returns for it.
    """

    exit_status = 1

    def lines(self) -> list[str]:
        """Return what is said of it where it ends a command."""
        return [f"cutplan: {line}" for line in str(self).split("\n")]


def reason_of(error: Exception) -> str:
    """Return why the system could not read or write, as the end of a sentence."""
    if isinstance(error, OSError):
        if error.errno == errno.EBADF:
            return "it is closed"
        return (error.strerror or str(error)).lower()
    return str(error).lower()


class RefusedError(CutplanError):
    """What was asked for, or stands in a file, cannot be so; or a file cannot be read or written."""

    exit_status = 2


class LengthError(RefusedError, ValueError):
    """A length that cannot be read, with what was written and what could be written instead."""


class PatternError(RefusedError, ValueError):
    """A pattern match that cannot be read or cannot be printed on paper."""


class NoPlanError(CutplanError):
    """No plan can exist for this job: the message says what is short, and by how much."""

    exit_status = 3


class MissingPartError(CutplanError):
    """An optional part of the program is not installed: the message says how to add it."""

    exit_status = 4
