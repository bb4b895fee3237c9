"""Where each key of a TOML text lies, so that a fault can name its line and column.

The standard reader keeps no places. This scanner walks a text that the standard reader has **already
accepted**, so it needs to find the ends of things only, never to judge them. It is run when there is a
fault to report, not otherwise.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from contextlib import suppress
from itertools import count
from typing import Final, TypeAlias

KeyPath: TypeAlias = tuple[str | int, ...]
"""Keys from the top of a document inwards; a whole number counts the entries of a list from 0."""

Place: TypeAlias = tuple[int, int]
"""Line and column, each counted from 1."""

_BLANK: Final = re.compile(r"(?:[ \t\n]|#[^\n]*)*")
_SPACE: Final = re.compile(r"[ \t]*")
_KEY: Final = re.compile(r'"(?:\\.|[^"\\\n])*"' r"|'[^'\n]*'" r"|[A-Za-z0-9_-]+")
_TEXT: Final = re.compile(
    r'"""(?:\\.|[^\\])*?"""(?:"{0,2})'
    r"|'''.*?'''(?:'{0,2})"
    r'|"(?:\\.|[^"\\\n])*"'
    r"|'[^'\n]*'",
    re.DOTALL,
)
_BARE: Final = re.compile(r"[^,\]}#\n]*")


def places_of_keys(text: str) -> dict[KeyPath, Place]:
    r"""Return the place of every key, table and list entry of a text that :func:`tomllib.loads` accepts, by its path.

    A table that is only implied (``a`` in ``[a.b]``) has the place of its first mention.

    >>> places_of_keys('[[roll]]\nlabel = "A"\n')
    {('roll',): (1, 1), ('roll', 0): (1, 1), ('roll', 0, 'label'): (2, 1)}

    """
    scanner = _Scanner(text.replace("\r\n", "\n"))
    with suppress(RecursionError):  # Lists a thousand deep: the places found until then must do.
        scanner.scan()
    return scanner.places


def place_of(path: KeyPath, places: dict[KeyPath, Place]) -> Place | None:
    """Return the place of ``path``, or of the innermost table around it that has one; None when none has."""
    for length in range(len(path), 0, -1):
        if path[:length] in places:
            return places[path[:length]]
    return None


class _Scanner:
    """A walk over one text: ``at`` is the index of the next character to look at."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.places: dict[KeyPath, Place] = {}
        self.entries: dict[KeyPath, int] = {}  # how many [[entries]] each list of tables has so far
        self.line_starts = [0, *(match.end() for match in re.finditer("\n", text))]

    def scan(self) -> None:
        table: KeyPath = ()
        self.skip(_BLANK)
        while self.at < len(self.text):
            if self.text.startswith("[[", self.at):
                table = self.header("[[")
            elif self.text[self.at] == "[":
                table = self.header("[")
            else:
                self.pair(table)
            self.skip(_BLANK)

    def skip(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self.text, self.at)
        if match is None:
            raise ValueError(f"not the TOML that was accepted, at character {self.at}")
        self.at = match.end()
        return match.group()

    def mark(self, path: KeyPath, start: int) -> None:
        line = bisect_right(self.line_starts, start)
        self.places.setdefault(path, (line, start - self.line_starts[line - 1] + 1))

    def header(self, bracket: str) -> KeyPath:
        """Read ``[a.b]`` or ``[[a.b]]`` and return the path of the table that it opens."""
        start = self.at
        self.at += len(bracket)
        keys = [key for key, _ in self.keys()]
        self.at += len(bracket)
        path: KeyPath = ()
        for number, key in enumerate(keys, 1):
            path = (*path, key)
            self.mark(path, start)
            if number == len(keys) and bracket == "[[":
                self.entries[path] = self.entries.get(path, 0) + 1
            if path in self.entries:
                path = (*path, self.entries[path] - 1)
                self.mark(path, start)
        return path

    def keys(self) -> list[tuple[str, int]]:
        """Read a key, dotted or not: each part with where it starts; stop after the space that follows."""
        parts = []
        while True:
            self.skip(_SPACE)
            start = self.at
            written = self.skip(_KEY)
            parts.append((_plain_key(written), start))
            self.skip(_SPACE)
            if not self.text.startswith(".", self.at):
                return parts
            self.at += 1

    def pair(self, table: KeyPath) -> None:
        path = table
        for key, start in self.keys():
            path = (*path, key)
            self.mark(path, start)
        self.at += 1  # the equals sign
        self.skip(_SPACE)
        self.value(path)

    def value(self, path: KeyPath) -> None:
        opening = self.text[self.at]
        if opening in "\"'":
            self.skip(_TEXT)
        elif opening == "[":
            self.list_entries(path)
        elif opening == "{":
            self.inline_table(path)
        else:
            self.skip(_BARE)

    def list_entries(self, path: KeyPath) -> None:
        self.at += 1
        for index in count():
            self.skip(_BLANK)
            if self.text[self.at] != "]":
                self.mark((*path, index), self.at)
                self.value((*path, index))
                self.skip(_BLANK)
            if self.closes("]"):
                return

    def inline_table(self, path: KeyPath) -> None:
        self.at += 1
        while True:
            self.skip(_BLANK)
            if self.text[self.at] != "}":
                self.pair(path)
                self.skip(_BLANK)
            if self.closes("}"):
                return

    def closes(self, bracket: str) -> bool:
        """Step over a comma or the closing bracket; True for the bracket."""
        self.at += 1
        return self.text[self.at - 1] == bracket


def _plain_key(written: str) -> str:
    return next(iter(tomllib.loads(f"{written} = 0"))) if written[0] in "\"'" else written
