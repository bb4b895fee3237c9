"""What a browser asks: JSON that may hold anything, read field by field."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import Final

from cutplan.errors import CutplanError
from cutplan.plain_text import steers

_LONGEST: Final = 2_000
_MOST: Final = 1_000_000
_FIGURES: Final = re.compile(r"[0-9]{1,9}")


class AskedError(CutplanError):
    """A request that no page of ours makes."""


def whole_in(text: str) -> int | None:
    """Return the whole number that a text of at most nine figures is; None for any other text."""
    return int(text) if _FIGURES.fullmatch(text) else None


class Asked:
    """One request's fields."""

    def __init__(self, fields: Mapping[str, object]) -> None:
        self._fields = fields

    @classmethod
    def from_json(cls, body: bytes) -> Asked:
        """Return the fields of a JSON object; AskedError for anything else."""
        try:
            fields = json.loads(body)
        except (ValueError, RecursionError) as error:
            raise AskedError("what was asked cannot be read") from error
        if not isinstance(fields, dict):
            raise AskedError("what was asked is no object")
        return cls(fields)

    def has(self, key: str) -> bool:
        """Return True when the field is there and not null."""
        return self._fields.get(key) is not None

    def text(self, key: str, default: str | None = None) -> str:
        """Return a text without signs that steer a screen."""
        value = self._fields.get(key, default)
        if not isinstance(value, str) or len(value) > _LONGEST:
            raise AskedError(f"{key} is no text")
        if steers(value):
            raise AskedError("Control signs are not taken; write plain text.")
        return value

    def whole(self, key: str) -> int:
        """Return a whole number from 0."""
        value = self._fields.get(key)
        if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= _MOST:
            raise AskedError(f"{key} is no whole number")
        return value

    def flag(self, key: str) -> bool:
        """Return True where the field says so."""
        return self._fields.get(key) is True

    def path(self, key: str) -> tuple[str | int, ...]:
        """Return a key path: names, and numbers of list entries."""
        value = self._fields.get(key)
        if not isinstance(value, list) or not 1 <= len(value) <= 6:  # noqa: PLR2004 - the deepest is wall, n, opening, n, key
            raise AskedError(f"{key} is no path")
        for step in value:
            if isinstance(step, bool) or not isinstance(step, str | int):
                raise AskedError(f"{key} is no path")
        return tuple(value)
