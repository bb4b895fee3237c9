"""Keys that every part of a survey reads alike: kinds, and records that refuse what they are given."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from cutplan.room.finding import RoomError

if TYPE_CHECKING:
    from collections.abc import Callable
    from enum import Enum

    from cutplan.scenario.tables import Table

_E = TypeVar("_E", bound="Enum")
_T = TypeVar("_T")


def one_of(table: Table, key: str, kinds: type[_E], default: _E | None = None) -> _E | None:
    """Return the kind that ``key`` names, ``default`` where it is absent; without a default it is required."""
    word = table.choice(key, [kind.value for kind in kinds], required=default is None)
    if word is not None:
        return kinds(word)
    return None if table.has(key) else default


def built(table: Table, build: Callable[[], _T], keys: dict[str, str] | None = None) -> _T | None:
    """Return what ``build`` makes, or report what it refuses at the keys of ``table``."""
    try:
        return build()
    except RoomError as error:
        for found in error.findings:
            key = str(found.path[0])
            table.reject((keys or {}).get(key, key), found.what.read(table.reading.units or "mm"))
        return None
