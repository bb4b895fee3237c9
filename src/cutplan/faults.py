"""What is wrong in a file, as records: apart from the other errors, so that showing help loads no records."""

from __future__ import annotations

from msgspec import Struct

from cutplan.errors import RefusedError
from cutplan.plain_text import one_line


class Fault(Struct, frozen=True):
    """One thing wrong in a scenario."""

    where: str
    """Key path in the file, such as ``roll["A"].first_motif``; empty for the file as a whole."""
    what: str
    """One sentence: the rule broken, the value found, and how to mend it."""
    line: int | None = None
    column: int | None = None
    """Place in the file, counted from 1; None where it is not known."""


class ScenarioError(RefusedError):
    """A scenario that cannot be planned as written. Holds every fault found, not the first only."""

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
