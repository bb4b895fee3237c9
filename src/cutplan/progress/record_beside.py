"""Where the record of a scenario lies: light to load, since every plan asks whether there is one."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from typing import Final

RECORD_END: Final = ".record.jsonl"
"""How the name of every record ends."""


def record_path(scenario: str) -> Path:
    """Return where the record of a scenario file is kept: beside it, ``room.record.jsonl`` for ``room.toml``."""
    path = Path(scenario)
    return path.with_name(f"{path.stem}{RECORD_END}")


def has_record(scenario: str) -> bool:
    """Return True when there is a record of this scenario; a name too long to have one has none."""
    with suppress(OSError, ValueError):
        return record_path(scenario).exists()
    return False
