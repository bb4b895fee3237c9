"""A fault that is planted in a document: where it is, and what is changed there."""

from __future__ import annotations

import copy
from typing import TYPE_CHECKING, TypeAlias

from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Callable

Document: TypeAlias = "dict[str, object]"
Key: TypeAlias = "str | int"


class Fault(Struct, frozen=True):
    """A change of a document: where, and what."""

    path: tuple[Key, ...]
    change: str
    make: Callable[[object], object]

    @property
    def name(self) -> str:
        """The path without places in lists, and the change."""
        return f"{'.'.join(str(key) for key in self.path if isinstance(key, str))}: {self.change}"

    def planted(self, document: Document) -> Document:
        """Return the document with the fault in it."""
        changed = copy.deepcopy(document)
        place: object = changed
        for key in self.path[:-1]:
            place = _at(place, key)
        held, last = place, self.path[-1]
        if isinstance(held, dict | list):
            there = held.get(last) if isinstance(held, dict) else _at(held, last)
            held[last] = self.make(there)  # type: ignore[index]
        return changed


def _at(place: object, key: Key) -> object:
    if isinstance(place, dict):
        return place[key]
    if isinstance(place, list) and isinstance(key, int):
        return place[key]
    raise TypeError(f"nothing at {key!r}")
