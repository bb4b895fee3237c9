"""A record's lines: each with its number, and a sum over itself and the line before it."""

from __future__ import annotations

import json
from dataclasses import dataclass
from hashlib import sha256
from typing import TYPE_CHECKING, Final

from cutplan.check.report import PlanUnreadable
from cutplan.check.stated.fields import Table

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

FORMAT: Final = "cutplan-record/1"
BEGINNING: Final = f'{{"format":"{FORMAT}",'
_SUM: Final = ',"sum":"'
_SUM_DIGITS: Final = 16


@dataclass(frozen=True, slots=True)
class RecordedLine:
    """One entry of a record: its number from 1, what kind it is, and its facts with where they stand."""

    number: int
    kind: str
    facts: Table


def is_record(text: str) -> bool:
    """Return True for a record of work, which is told from a plan by how it begins."""
    return text.startswith(BEGINNING)


def read_lines(text: str, parsed: Callable[[str], object]) -> Iterator[RecordedLine]:
    """Yield the entries of a record; a last line that was never finished is none.

    Raises
    ------
    PlanUnreadable
        When a line was changed since it was written, or one before it was lost, or it is no entry.

    """
    sum_before = ""
    for number, line in enumerate(text.split("\n")[:-1], start=1):
        body, found, end = line.rpartition(_SUM)
        written = sha256((sum_before + body).encode()).hexdigest()[:_SUM_DIGITS]
        if not found or end != f'{written}"}}':
            raise PlanUnreadable([f"line {number}: was changed, or a line before it lost, since it was recorded"])
        sum_before = written
        yield _line(body, number, parsed)


def _line(body: str, number: int, parsed: Callable[[str], object]) -> RecordedLine:
    try:
        document = parsed(body + "}")
    except (json.JSONDecodeError, ValueError, RecursionError) as error:
        raise PlanUnreadable([f"line {number}: is no entry of a record: {error}"]) from error
    if not isinstance(document, dict):
        raise PlanUnreadable([f"line {number}: is no entry of a record"])
    table = Table(f"line {number}", document, [])
    kind, entry = table.text("kind"), table.whole("entry", 1)
    if entry not in (None, number):
        table.fault("entry", f"says {entry}")
    if kind is None or table.faults:
        raise PlanUnreadable(table.faults)
    return RecordedLine(number, kind, table)
