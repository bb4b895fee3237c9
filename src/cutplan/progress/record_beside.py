"""Where the record of a scenario lies: light to load, since every plan asks whether there is one."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from typing import Final

from cutplan.parts.address import address_of

RECORD_END: Final = ".record.jsonl"
"""How the name of every record ends."""


def record_path(scenario: str) -> Path:
    """Return where the record of a scenario file is kept: beside it, ``room.record.jsonl`` for ``room.toml``.

    A part has one of its own: ``room.dado.record.jsonl`` for ``room.toml/dado``.
    """
    file, part = address_of(scenario)
    path = Path(file)
    return path.with_name(f"{path.stem}{'' if part is None else f'.{part}'}{RECORD_END}")


def scenario_beside(record: Path) -> str | None:
    """Return the scenario beside which a record is kept, or its part; None where the scenario is gone."""
    stem = record.name.removesuffix(RECORD_END)
    if record.with_name(f"{stem}.toml").is_file():
        return str(record.with_name(f"{stem}.toml"))
    places = [place for place, sign in enumerate(stem) if sign == "."]
    files = [(record.with_name(f"{stem[:place]}.toml"), stem[place + 1 :]) for place in places]
    return next((f"{file}/{part}" for file, part in files if file.is_file()), None)


def end_path(record: Path) -> Path:
    """Return where the end of a record is kept: beside it, ``room.record.end`` for ``room.record.jsonl``."""
    return record.with_suffix(".end")


def has_record(scenario: str) -> bool:
    """Return True when there is a record of this scenario, or was; a name too long to have one has none."""
    with suppress(OSError, ValueError):
        record = record_path(scenario)
        return record.exists() or end_path(record).exists()
    return False
