"""What can go wrong, as values that say where, what and how to mend it."""

from __future__ import annotations

import errno
from dataclasses import dataclass

from cutplan.plain_text import one_line


class CutplanError(Exception):
    """Base of every error that cutplan raises on purpose.

    ``exit_status`` is what the command line returns for it.
    """

    exit_status = 1


def reason_of(error: Exception) -> str:
    """Return why the system could not read or write, as the end of a sentence."""
    if isinstance(error, OSError):
        if error.errno == errno.EBADF:
            return "it is closed"
        return (error.strerror or str(error)).lower()
    return str(error).lower()


class LengthError(CutplanError, ValueError):
    """A length that cannot be read, with what was written and what could be written instead."""

    exit_status = 2


class PatternError(CutplanError, ValueError):
    """A pattern match that cannot be read or cannot be printed on paper."""

    exit_status = 2


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong in a scenario.

    Attributes
    ----------
    where
        Key path in the file, such as ``roll["A"].first_motif``; empty for the file as a whole.
    what
        One sentence: the rule broken, the value found, and how to mend it.
    line, column
        Place in the file, counted from 1; None where it is not known.

    """

    where: str
    what: str
    line: int | None = None
    column: int | None = None


class ScenarioError(CutplanError):
    """A scenario that cannot be planned as written. Holds every fault found, not the first only."""

    exit_status = 2

    def __init__(self, source: str, faults: tuple[Fault, ...]) -> None:
        self.source = source
        self.faults = faults
        super().__init__("\n".join(self.lines()))

    def lines(self) -> list[str]:
        """Return one line per fault, ``source:line:column: where: what``, then a closing count."""
        ordered = sorted(self.faults, key=lambda fault: (fault.line or 0, fault.column or 0))
        lines = [self._line(fault) for fault in ordered]
        count = "1 fault" if len(lines) == 1 else f"{len(lines)} faults"
        return [*lines, f"{count} in {self.source}; nothing was planned"]

    def _line(self, fault: Fault) -> str:
        place = self.source
        if fault.line is not None:
            place += f":{fault.line}"
            if fault.column is not None:
                place += f":{fault.column}"
        subject = f"{fault.where}: " if fault.where else ""
        return one_line(f"{place}: {subject}{fault.what}")


class NoPlanError(CutplanError):
    """No plan can exist for this job: the message says what is short, and by how much."""

    exit_status = 3


class MissingPartError(CutplanError):
    """An optional part of the program is not installed: the message says how to add it."""

    exit_status = 4
