"""The small file beside a record: how many entries it has, the sum of the last, and how many were answered.

It is written after the entry that it counts, so it is never ahead of a sound record: one that is behind it lost
entries. Records of earlier versions have none; they get one with their next entry.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import Final

from msgspec import Struct

from cutplan.errors import CutplanError, reason_of
from cutplan.progress.record_beside import end_path
from cutplan.whole_file import WriteError, write_whole

FORMAT: Final = "cutplan-record-end/1"


class RecordError(CutplanError):
    """A record that cannot be read, or an entry that cannot be added: the message says which and why."""

    exit_status = 2


class RecordEnd(Struct, frozen=True):
    """Where a record ends."""

    entries: int
    """How many entries it has."""
    sum: str
    """What the last of them ends in."""
    answered: int
    """How many of them the user was told of."""


def write_end(record: Path, end: RecordEnd) -> None:
    """Keep where a record ends. A full disk is no fault: with an older end, or none, the record is still sound."""
    document = {"format": FORMAT, "entries": end.entries, "sum": end.sum, "answered": end.answered}
    with suppress(WriteError):
        write_whole(str(end_path(record)), json.dumps(document) + "\n")


def end_of(record: Path) -> RecordEnd | None:
    """Return where a record should end; None when it is not known, as with a record of an earlier version.

    Raises
    ------
    RecordError
        When the file that tells it cannot be read, or is not as it was left.

    """
    path = end_path(record)
    try:
        document = json.loads(path.read_bytes())
        return RecordEnd(int(document["entries"]), str(document["sum"]), int(document["answered"]))
    except FileNotFoundError:
        return None
    except OSError as error:
        raise RecordError(f"{path}: cannot be read: {reason_of(error)}") from error
    except (ValueError, KeyError, TypeError) as error:
        what = "does not tell any more where the record beside it ends"
        raise RecordError(f"{path}: {what}; put it back, from a copy, or move it away to go on without it") from error


def check_end(end: RecordEnd, record: Path, sums: Sequence[str]) -> None:
    """Raise RecordError when a record, whose entries have these sums, does not reach its end."""
    remedy = f"put back the record as it was, from a copy; to go on without them, move {end_path(record)} away"
    if len(sums) < end.entries:
        what = f"it ends after entry {len(sums)}, and {end.entries} were recorded"
        raise RecordError(f"{record}: the record was cut off: {what}; {remedy}")
    if end.entries and sums[end.entries - 1] != end.sum:
        what = f"entry {end.entries} is not the one that was recorded"
        raise RecordError(f"{record}:{end.entries}: {what}; {remedy}")


def refuse_lost(record: Path) -> None:
    """Raise RecordError for a record that is not there, though it once was."""
    end = end_of(record)
    if end is not None and end.entries:
        remedy = f"put it back, from a copy; or, to begin afresh, move {end_path(record)} away too"
        raise RecordError(f"{record}: is gone, with {end.entries} entries that were recorded in it; {remedy}")
