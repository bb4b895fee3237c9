"""Where a part lies: ``room.toml/dado`` is the part «dado» of the file ``room.toml``.

A file has nothing below it, so that no other path can look like this. Light to load, since every record asks.
"""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path, PurePath


def job_name(path: str) -> str:
    """Return what a job is called after its file, and after its part: ``room, dado`` for ``room.toml/dado``."""
    file, part = address_of(path)
    return ", ".join(filter(None, (PurePath(file).stem, part)))


def address_of(path: str) -> tuple[str, str | None]:
    """Return the file that a path names, and the part of it; None for the file itself."""
    with suppress(OSError, ValueError):
        whole = Path(path)
        if not whole.exists() and whole.parent.is_file():
            return str(whole.parent), whole.name
    return path, None
