"""Lists with a dash before each line, as every page has them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cutplan.render.pages.layout_of_page import wrapped

if TYPE_CHECKING:
    from collections.abc import Iterable


def bullets(lines: Iterable[str]) -> str:
    """Return lines as a list, each wrapped by itself."""
    return "\n".join(wrapped(line, "  - ", "    ") for line in lines)


def notes_listed(notes: Iterable[str]) -> str:
    """Return the list of what the reader should know about how the scenario was read; empty without any."""
    listed = bullets(notes)
    return f"Notes\n{listed}" if listed else ""
