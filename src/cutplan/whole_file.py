"""Writing files so that each holds either all that is written, or what it held before."""

from __future__ import annotations

import os
import tempfile
from contextlib import suppress
from pathlib import Path

from cutplan.errors import CutplanError


class WriteError(CutplanError):
    """A file that cannot be written: the message says which, why, and that nothing was changed."""

    exit_status = 2


def refuse_target(target: str, source: str) -> None:
    """Raise :class:`WriteError` when ``target`` is no place for a plan made from the file ``source``.

    Asked before planning, so that nobody waits for a plan that then has nowhere to go.
    """
    path = Path(target)
    if path.is_dir():
        raise WriteError(f"{target}: is a folder; give the name of a file in it")
    if not path.parent.is_dir():
        raise WriteError(f"{target}: there is no folder {str(path.parent)!r}; make it first")
    with suppress(OSError):
        if source != "-" and path.samefile(source):
            raise WriteError(f"{target}: is the scenario itself; give the plan another name")


def write_whole(target: str, content: str | bytes) -> None:
    """Write ``content`` to a file, text as UTF-8, so that the file holds either all of it or what it held before.

    What is no plain file (a device, a pipe) is written to directly.

    Raises
    ------
    WriteError
        When it cannot be written; an existing file is then untouched.

    """
    data = content.encode() if isinstance(content, str) else content
    path = Path(os.path.realpath(target))
    try:
        if path.exists() and not path.is_file():
            path.write_bytes(data)
        else:
            _replace(path, data)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise WriteError(f"{target}: cannot be written: {reason}; nothing was changed") from error


def _replace(path: Path, data: bytes) -> None:
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:100]}.", suffix=".part")
    try:
        with open(handle, "wb") as file:  # noqa: PTH123 - an open descriptor
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        Path(name).chmod(_mode(path))
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    _settle(path.parent)


def _mode(path: Path) -> int:
    """Return the permissions of the file to be replaced, or those that a new file would get."""
    if path.exists():
        return path.stat().st_mode & 0o777
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def _settle(folder: Path) -> None:
    """Make the new name last through a power cut, where the system can."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
