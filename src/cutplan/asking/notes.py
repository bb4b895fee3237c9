"""A scenario being written: its lines, each with a word on what it is."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

_COMMENT_AT: Final = 34
"""Where comments begin, if the key and its value leave room."""


class Notes:
    """Lines of TOML, in order."""

    def __init__(self) -> None:
        self._lines: list[str] = []
        self.inside = ""

    @contextmanager
    def within(self, table: str) -> Iterator[None]:
        """Write tables as those of the last entry of a list of tables: ``[band.paper]`` for ``[paper]``."""
        self.inside = table
        yield
        self.inside = ""

    def remark(self, *lines: str) -> None:
        """Add lines of comment of their own."""
        self._lines += [f"# {line}".rstrip() for line in lines]

    def table(self, name: str) -> None:
        """Begin a table, ``[name]`` or ``[[name]]`` as given."""
        self._lines += ["", re.sub(r"^\[+", rf"\g<0>{self.inside}." if self.inside else r"\g<0>", name)]

    def key(self, name: str, value: str, comment: str = "") -> None:
        """Add a key with its value as TOML has it."""
        line = f"{name} = {value}"
        self._lines.append(f"{line:<{_COMMENT_AT}}# {comment}" if comment else line)

    def begin_again(self, at: int) -> None:
        """Take back all lines from one on, counted from 0."""
        del self._lines[at:]

    @property
    def count(self) -> int:
        """How many lines there are."""
        return len(self._lines)

    def text(self) -> str:
        """Return all lines as a file has them."""
        return "\n".join(self._lines) + "\n"
