"""How much paper can be used, and how much it can be worth, from any place to which a stretch has been cut.

A *face* is a way in which rolls come off: head first or foot first. Along it every kind of drop has its places.
What they say is never too little: a print's face answers for any number of drops of each kind.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from typing import NamedTuple, Protocol, TypeAlias

Place: TypeAlias = "tuple[int, int]"
"""Where a stretch has been cut to, in the terms of its face."""

Values: TypeAlias = "tuple[int, ...]"
"""A worth by each list of prices."""


class Span(NamedTuple):
    """A stretch that may be cut: how much of it, and from its beginning to a datum, if that is known."""

    room: int
    datum: int | None


class StretchRest(NamedTuple):
    """What a stretch can still give: cutting may go on at ``offset`` in the repeat, for a length of ``used``.

    Paper at one offset serves at another after the print has run on to there, if so much more of it is left.
    """

    offset: int
    used: int


class RollFace(Protocol):
    """What the search asks of paper that comes off in one way."""

    def likeness(self, kind: int) -> Hashable:
        """Return what kinds have in common of which each can be cut wherever the other can, and leads to one place."""

    def fresh(self, span: Span) -> Place | None:
        """Return where cutting a fresh stretch begins; None when that depends on the first drop."""

    def begin(self, span: Span, kind: int) -> Place | None:
        """Return where a fresh stretch has been cut to after one drop; None when it does not fit."""

    def cut(self, place: Place, kind: int) -> Place | None:
        """Return where a stretch has been cut to after one drop more; None when it does not fit."""

    def after_each(self, place: Place, kinds: Sequence[int]) -> list[tuple[Place, StretchRest | None] | None]:
        """Return, for each of these kinds, where one drop more leads and its rest; None where it does not fit."""

    def rest(self, place: Place) -> StretchRest | None:
        """Return what all places have in common that can give the same; None when nothing fits any more."""

    def worth(self, place: Place) -> Values:
        """Return the most that can still be cut from ``place`` on, by each list of prices."""

    def fresh_worth(self, span: Span) -> Values:
        """Return the most that can be cut from a fresh stretch, by each list of prices."""
