"""The record of work done: a file of JSON lines beside the scenario, to which lines are only ever added.

An entry is on the disk before the call that adds it returns. Each line ends in a sum over itself and the line
before it, so that a line changed, lost or put elsewhere is found and named. A small file beside the record holds how
many entries there are and the last sum: a record that is behind it was cut off. A last line without its end was
being written when the machine or the program stopped: nobody was told that it is recorded, so it is
left out of the reading, and the next entry takes its place. Nothing else is ever removed: what was recorded by
mistake is undone by a further entry.

The small file also holds how many entries were answered, so that a command that was killed between the two can be
told, when it is given again, that it was recorded already.
"""

from __future__ import annotations

import json
import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path
from typing import Final, TypeAlias

from msgspec import Struct
from msgspec.structs import replace

from cutplan.errors import reason_of
from cutplan.interruption import undisturbed
from cutplan.progress.record_beside import end_path
from cutplan.progress.record_end import RecordEnd, RecordError, check_end, end_of, refuse_lost, write_end
from cutplan.whole_file import settle

__all__ = ["Entry", "OpenRecord", "RecordError", "RecordRead", "fingerprint", "open_record", "read_record"]

FORMAT: Final = "cutplan-record/1"

PATIENCE: Final = 10.0
"""Seconds to wait for another process that is writing to the same record."""

_BEGINNING: Final = f'{{"format":"{FORMAT}",'.encode()
_SUM: Final = b',"sum":"'
_SUM_DIGITS: Final = 16
_FINGERPRINT_DIGITS: Final = 32
_OWN_KEYS: Final = frozenset({"format", "entry", "at", "kind", "asked", "sum"})

Json: TypeAlias = "dict[str, object]"


class Entry(Struct, frozen=True):
    """One line of the record."""

    number: int
    """From 1; also the number of its line in the file."""
    at: str
    """When it was recorded, UTC, as ``2031-05-04T16:02:11Z``."""
    kind: str
    """What sort of entry it is."""
    facts: Json
    """What it records, as plain JSON."""
    asked: str = ""
    """The command that recorded it, in its own words; empty where it was none."""


class RecordRead(Struct, frozen=True):
    """A record as read."""

    entries: tuple[Entry, ...]
    """In order, from the first."""
    torn: int = 0
    """Bytes of an unfinished last line that were left out; 0 when the record ends as it should."""
    answered: int = 0
    """How many entries the user was told of."""
    is_counted: bool = True
    """True when the file beside it told how many entries there are."""

    def notes(self, path: Path) -> list[str]:
        """Return the words that an unfinished last line and a missing count of the entries deserve."""
        notes = []
        if self.torn:
            notes.append(f"{path}: the last line was never finished, so it was not recorded and is ignored")
        if not self.is_counted and len(self.entries) > 1:
            lost = "so nobody can tell whether entries after the last were lost"
            notes.append(f"{path}: {end_path(path).name}, which counts its entries, is not beside it, {lost}")
        return notes


def fingerprint(document: object) -> str:
    """Return a short digest of plain JSON, the same whatever the order of its keys."""
    text = json.dumps(document, sort_keys=True, allow_nan=False, separators=(",", ":"))
    return sha256(text.encode()).hexdigest()[:_FINGERPRINT_DIGITS]


def read_record(path: Path) -> RecordRead:
    """Return the record at ``path``; an empty one when there is no such file.

    Raises
    ------
    RecordError
        When it cannot be read, or a line in it is broken: which line, and how.

    """
    try:
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_BINARY", 0))
    except FileNotFoundError:
        refuse_lost(path)
        return RecordRead(())
    except OSError as error:
        raise _trouble(path, "cannot be read", error) from error
    try:
        with _locked(handle, path, shared=True):
            return _read(_whole(handle, path), path)
    finally:
        os.close(handle)


class OpenRecord:
    """A record that this process alone may add to, until its ``with`` block ends."""

    def __init__(self, handle: int, path: Path) -> None:
        data = _whole(handle, path)
        self._handle = handle
        self._path = path
        self._kept = len(data)
        self.reading = _read(data, path)
        """The record as it stands, entries just added included."""
        self._kept -= self.reading.torn
        self._last_sum = _sum_of_last(data[: self._kept])

    def append(self, kind: str, facts: Json, asked: str = "") -> Entry:
        """Add an entry and return it once it is on the disk.

        ``asked`` is the command that records it; what no command records is answered as soon as it is kept.

        Raises
        ------
        RecordError
            When it cannot be written; the record is then as it was.

        """
        taken = _OWN_KEYS & facts.keys()
        if taken:
            raise ValueError(f"an entry's own keys cannot be facts: {', '.join(sorted(taken))}")
        number = len(self.reading.entries) + 1
        entry = Entry(number, datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ"), kind, facts, asked)
        line = _line(entry, self._last_sum)
        with undisturbed():
            self._write(line)
            if number == 1:
                settle(self._path.parent)
            self._last_sum = _sum_of_last(line)
            answered = self.reading.answered if asked else number
            self.reading = RecordRead((*self.reading.entries, entry), answered=answered)
            self._write_end()
        return entry

    def answer(self) -> None:
        """Note that the user was told of every entry."""
        self.reading = replace(self.reading, answered=len(self.reading.entries))
        self._write_end()

    def _write_end(self) -> None:
        """Write the file beside the record; without it, or with an older one, the record is still sound."""
        write_end(self._path, RecordEnd(len(self.reading.entries), self._last_sum.decode(), self.reading.answered))

    def _write(self, line: bytes) -> None:
        try:
            if os.fstat(self._handle).st_size > self._kept:  # an unfinished line, which nobody was told is kept
                os.ftruncate(self._handle, self._kept)
            _write_whole(self._handle, line)
        except OSError as error:
            with suppress(OSError):
                os.ftruncate(self._handle, self._kept)
            raise _trouble(self._path, "cannot be written, so nothing was recorded", error) from error
        self._kept += len(line)


@contextmanager
def open_record(path: Path) -> Iterator[OpenRecord]:
    """Hold the record at ``path``, made if need be, so that no other process adds to it meanwhile.

    Raises
    ------
    RecordError
        When it cannot be opened or read, or another process holds it for longer than :data:`PATIENCE`.

    """
    if not path.exists():
        refuse_lost(path)
    flags = os.O_RDWR | os.O_CREAT | os.O_APPEND | getattr(os, "O_BINARY", 0)
    try:
        handle = os.open(path, flags, 0o666)
    except OSError as error:
        raise _trouble(path, "cannot be opened to write in it", error) from error
    try:
        with _locked(handle, path, shared=False):
            yield OpenRecord(handle, path)
    finally:
        os.close(handle)


# Lines


def _line(entry: Entry, last_sum: bytes) -> bytes:
    head: Json = {"format": FORMAT} if entry.number == 1 else {}
    asked = {"asked": entry.asked} if entry.asked else {}
    document = {**head, "entry": entry.number, "at": entry.at, "kind": entry.kind, **entry.facts, **asked}
    body = json.dumps(document, allow_nan=False, separators=(",", ":")).encode()[:-1]
    return body + _SUM + _sum(last_sum, body) + b'"}\n'


def _sum(last_sum: bytes, body: bytes) -> bytes:
    return sha256(last_sum + body).hexdigest()[:_SUM_DIGITS].encode()


def _sum_of_last(data: bytes) -> bytes:
    """Return the sum in the last line of sound data; empty when there is no line."""
    return data.rstrip(b"\n")[-_SUM_DIGITS - 2 : -2]


def _reading(data: bytes, path: Path) -> RecordRead:
    lines, tail = data.split(b"\n")[:-1], data.rpartition(b"\n")[2]
    if lines and not tail and b"\0" in lines[-1]:  # what a power cut leaves of blocks that never reached the disk
        tail = lines.pop() + b"\n"
    if not lines and tail and not (tail.startswith(_BEGINNING) or _BEGINNING.startswith(tail)) and b"\0" not in tail:
        raise RecordError(f"{path}: is no record of work done; move it away, so that one can be kept here")
    entries = []
    last_sum = b""
    for number, line in enumerate(lines, start=1):
        entries.append(_entry(line, number, last_sum, path))
        last_sum = _sum_of_last(line)
    return RecordRead(tuple(entries), len(tail))


def _entry(line: bytes, number: int, last_sum: bytes, path: Path) -> Entry:
    body, found, end = line.rpartition(_SUM)
    if not found or end != _sum(last_sum, body) + b'"}':
        what = "was changed, or a line before it was lost, since it was recorded"
        raise RecordError(f"{path}:{number}: this line {what}; put back the record as it was, from a copy")
    try:
        document = json.loads(body + b"}")
        facts = {key: value for key, value in document.items() if key not in _OWN_KEYS}
        entry = Entry(document["entry"], document["at"], document["kind"], facts, str(document.get("asked", "")))
    except (ValueError, KeyError) as error:
        raise RecordError(f"{path}:{number}: this line is no entry of a record: {error}") from error
    if number == 1 and document.get("format") != FORMAT:
        raise RecordError(f"{path}:1: its format is {document.get('format')!r}; this program knows {FORMAT!r} only")
    if entry.number != number:
        raise RecordError(f"{path}:{number}: this line says that it is entry {entry.number}")
    return entry


# The file


def _read(data: bytes, path: Path) -> RecordRead:
    """Return what a record holds, held against the file beside it; raise RecordError when it is behind that file."""
    reading = _reading(data, path)
    end = end_of(path)
    if end is None:
        was_killed = len(reading.entries) == 1 and reading.entries[0].asked  # before it could make the file beside it
        return replace(reading, answered=0 if was_killed else len(reading.entries), is_counted=False)
    lines = data.split(b"\n")[: len(reading.entries)]
    check_end(end, path, [_sum_of_last(line).decode() for line in lines])
    return replace(reading, answered=min(end.answered, len(reading.entries)))


def _whole(handle: int, path: Path) -> bytes:
    try:
        os.lseek(handle, 0, os.SEEK_SET)
        chunks = []
        while chunk := os.read(handle, 1 << 20):
            chunks.append(chunk)
    except OSError as error:
        raise _trouble(path, "cannot be read", error) from error
    return b"".join(chunks)


def _write_whole(handle: int, line: bytes) -> None:
    """Write a line in one go, and see it on the disk."""
    if os.write(handle, line) < len(line):
        raise OSError(None, "the disk took only a part of the line")
    os.fsync(handle)


def _trouble(path: Path, what: str, error: OSError) -> RecordError:
    return RecordError(f"{path}: {what}: {reason_of(error)}")


@contextmanager
def _locked(handle: int, path: Path, *, shared: bool) -> Iterator[None]:
    """Hold the file's lock, waiting for whoever has it; the system lets go of it when a process dies."""
    until = time.monotonic() + PATIENCE
    while not _try_lock(handle, shared=shared):
        if time.monotonic() > until:
            raise RecordError(f"{path}: another cutplan has been writing to it for {PATIENCE:.0f} s; try again")
        time.sleep(0.01)
    try:
        yield
    finally:
        _unlock(handle)


if sys.platform == "win32":
    import msvcrt

    _BEYOND_END: Final = 0x7FFF0000
    """Windows keeps others from reading what is locked, so a byte is locked that no record ever reaches."""

    def _try_lock(handle: int, *, shared: bool) -> bool:
        del shared  # Windows locks for one alone
        os.lseek(handle, _BEYOND_END, os.SEEK_SET)
        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

    def _unlock(handle: int) -> None:
        os.lseek(handle, _BEYOND_END, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_UNLCK, 1)

else:
    import fcntl

    def _try_lock(handle: int, *, shared: bool) -> bool:
        try:
            fcntl.flock(handle, (fcntl.LOCK_SH if shared else fcntl.LOCK_EX) | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True

    def _unlock(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_UN)
