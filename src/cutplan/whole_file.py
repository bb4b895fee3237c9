"""Writing files so that each holds either all that is written, or what it held before.

What cutplan writes it knows again, by its kind's mark: only that is replaced unasked, never what somebody else wrote.
"""

from __future__ import annotations

import json
import os
import re
import tempfile
import time
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from typing import Final

from msgspec import Struct

from cutplan.errors import RefusedError, reason_of
from cutplan.interruption import undisturbed
from cutplan.plain_text import many_lines

_MOST_OF_A_NAME: Final = 240
"""Bytes of a file's name that every system takes, with some to spare for what is put beside it."""

_LONGEST_TO_KNOW: Final = 100_000_000
"""A file of more bytes than this is none of ours."""


_PART: Final = (".cutplan.", ".part")
"""How the name begins and ends under which a file is written, before it gets its own."""

_LEFT_AFTER: Final = 600
"""Seconds after which such a file is one that a killed program left behind."""


class WriteError(RefusedError):
    """A file that cannot be written: the message says which, why, and that nothing was changed."""


class FileKind(Struct, frozen=True):
    """One kind of file that cutplan writes."""

    name: str
    """How messages call it: ``a plan as text``."""
    mark: str
    """Its format, such as ``cutplan-plan/1``. JSON names it at its head, or that of several (``cutplan-plans/1``); all
    else in a last line, with a sum over what stands before, so that what was changed since is no longer ours."""
    line: str = ""
    """The last line, with ``{}`` for the mark and the sum; empty for JSON."""
    is_of_rooms: bool = False
    """True for the JSON of a contract, which has the mark of a job of several parts, and its rooms besides."""

    def signed(self, content: bytes) -> bytes:
        """Return what is to be written, with its mark."""
        return content + self._last_line(content) if self.line else content

    def wrote(self, content: bytes) -> bool:
        """Return True for what was written as this kind."""
        if self.line:
            before, end = content.removesuffix(b"\n").rpartition(b"\n")[::2]
            return self._last_line(before + b"\n").strip() == end
        head = re.match(rb'\s*\{\s*"format":\s*"([a-z-]{1,40})/\d', content[:200])
        name = self.mark.partition("/")[0]
        return head is not None and head[1].decode() in (name, f"{name}s") and self._is_whole(content)

    def _is_whole(self, content: bytes) -> bool:
        try:
            return ("contract" in json.loads(content)) == self.is_of_rooms
        except (ValueError, RecursionError):
            return False

    def _last_line(self, content: bytes) -> bytes:
        break_before = b"" if content.endswith(b"\n") else b"\n"
        signature = f"{self.mark} {sha256(content.rstrip()).hexdigest()[:16]}"
        return break_before + self.line.format(signature).encode() + b"\n"


def refuse_target(target: str, source: str, kind: FileKind, *, force: bool = False) -> None:
    """Raise :class:`WriteError` when ``target`` is no place for a file of this kind made from the file ``source``.

    Asked before planning, so that nobody waits for a plan that then has nowhere to go. With ``force`` anything but
    the scenario itself is replaced.
    """
    path = Path(target)
    _refuse_name(path)
    if path.is_dir():
        raise WriteError(f"{target}: is a folder; give the name of a file in it")
    with suppress(OSError):
        if source != "-" and path.samefile(source):
            raise WriteError(f"{target}: is the scenario itself; give the plan another name")
    if not force and path.is_file() and not _is_ours(path, kind):
        remedy = "give another name, or replace it with --force"
        raise WriteError(f"{target}: is there already, and is not {kind.name} as cutplan left it; {remedy}")


def refuse_to_write_over(target: str) -> None:
    """Raise :class:`WriteError` when a new file could not be written to ``target``."""
    path = Path(target)
    _refuse_name(path)
    if path.exists() or path.is_symlink():
        raise _is_there(target)


def _refuse_name(path: Path) -> None:
    if len(os.fsencode(path.name)) > _MOST_OF_A_NAME:
        raise WriteError(f"{path.name[:30]}…: is too long for the name of a file; give a shorter one")
    try:
        is_folder = path.parent.is_dir()
    except OSError as error:
        raise WriteError(f"{str(path.parent)[:60]}…: cannot be a folder: {reason_of(error)}") from error
    if not is_folder:
        raise WriteError(f"{path}: there is no folder {str(path.parent)!r}; make it first, or write elsewhere")


def _is_ours(path: Path, kind: FileKind) -> bool:
    """Return True for an empty file, and for one that cutplan wrote as this kind."""
    try:
        if path.stat().st_size > _LONGEST_TO_KNOW:
            return False
        content = path.read_bytes()
    except OSError as error:
        raise WriteError(f"{path}: is there already, and cannot be read: {reason_of(error)}") from error
    return not content or kind.wrote(content)


def _is_there(target: str) -> WriteError:
    return WriteError(f"{target} is there already, and is not written over; give another name, or remove it first")


def write_whole(target: str, content: str | bytes, kind: FileKind | None = None) -> None:
    """Write ``content`` to a file, text as UTF-8, so that the file holds either all of it or what it held before.

    What is no plain file (a device, a pipe) is written to directly. WriteError when it cannot be written; an existing
    file is then untouched.
    """
    data = _bytes(content)
    path = Path(os.path.realpath(target))
    try:
        if path.exists() and not path.is_file():
            path.write_bytes(data)
        else:
            _put(path, data if kind is None else kind.signed(data), is_new=False)
    except OSError as error:
        raise WriteError(f"{target}: cannot be written: {reason_of(error)}; nothing was changed") from error


def write_new(target: str, content: str | bytes) -> None:
    """Write ``content`` to a file that must not be there yet, whole or not at all; raise :class:`WriteError`."""
    try:
        _put(Path(target), _bytes(content), is_new=True)
    except FileExistsError:
        raise _is_there(target) from None
    except OSError as error:
        raise WriteError(f"{target}: cannot be written: {reason_of(error)}; nothing was changed") from error


def _bytes(content: str | bytes) -> bytes:
    return many_lines(content).encode() if isinstance(content, str) else content


def _put(path: Path, data: bytes, *, is_new: bool) -> None:
    with undisturbed():
        _clear_away(path.parent)
        prefix, suffix = _PART
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=prefix, suffix=suffix)
        part = Path(name)
        try:
            with open(handle, "wb") as file:  # noqa: PTH123 - an open descriptor
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            part.chmod(_mode(path))
            if is_new:
                _name_new(part, path)
            else:
                part.replace(path)
        except BaseException:
            part.unlink(missing_ok=True)
            raise
        settle(path.parent)


def _clear_away(folder: Path) -> None:
    """Remove what programs that were killed while they wrote have left in a folder; nobody ever reads it."""
    for part in folder.glob("*".join(_PART)):
        with suppress(OSError):
            if time.time() - part.stat().st_mtime > _LEFT_AFTER:
                part.unlink()


def _name_new(part: Path, path: Path) -> None:
    """Give a file its name, which nobody may have taken meanwhile."""
    try:
        path.hardlink_to(part)
        part.unlink()
    except FileExistsError:
        raise
    except OSError:  # Some disks know no second name.
        path.touch(exist_ok=False)
        part.replace(path)


def _mode(path: Path) -> int:
    """Return the permissions of the file to be replaced, or those that a new file would get."""
    if path.exists():
        return path.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def settle(folder: Path) -> None:
    """Make a new name last through a power cut, where the system can."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
