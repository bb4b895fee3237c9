"""Findings: what is wrong with a room or with its setting out, as values that say where."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeAlias

from msgspec import Struct

from cutplan.errors import CutplanError
from cutplan.wording import Value, Wording

Path: TypeAlias = tuple[str | int, ...]


class Finding(Struct, frozen=True):
    """One thing wrong with a room or with its setting out."""

    path: Path
    """What is wrong, from the record that was checked: ``("opening", 1, "left")``, counted from 0."""
    what: Wording
    """The rule, the value and the remedy, as a sentence about it."""

    def below(self, *path: str | int) -> Finding:
        """Return this finding as seen from a record that holds the one checked."""
        return Finding((*path, *self.path), self.what)


def finding(path: Path, text: str, *values: Value) -> Finding:
    """Return a finding whose sentence is ``text`` with ``values`` in it."""
    return Finding(path, Wording(text, values))


class RoomError(CutplanError):
    """A room, or a way to set it out, that cannot be. Holds every finding, not the first only."""

    exit_status = 2

    def __init__(self, findings: tuple[Finding, ...]) -> None:
        self.findings = findings
        super().__init__("; ".join(f"{_name(found.path)}: {found.what.read()}" for found in findings))


def _name(path: Path) -> str:
    return "".join(f"[{part + 1}]" if isinstance(part, int) else f".{part}" for part in path).lstrip(".")


def raise_any(findings: Iterable[Finding]) -> None:
    """Raise a :class:`RoomError` that holds every one of ``findings``; return when there are none."""
    found = tuple(findings)
    if found:
        raise RoomError(found)
