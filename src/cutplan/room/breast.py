"""A chimney breast: one thing to whoever measures a room, and up to five walls to the paper."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from msgspec import Struct

from cutplan.lengths import ZERO, Length
from cutplan.room.finding import Finding, finding, raise_any
from cutplan.room.walls import CornerKind, Opening, OpeningKind, more_than_zero

FACE: Final = "chimney breast"
"""What the face of a breast is called, which is what one sees of it."""


class BreastPart(Struct, frozen=True):
    """One of the walls that a breast makes of the wall it stands on."""

    called: str
    """What it is, to be put behind the name of the whole wall."""
    width: Length

    corner: CornerKind | None
    """The one at its right; None for the whole wall's own."""
    openings: tuple[Opening, ...] = ()
    """The fireplace, on the face."""
    is_side: bool = False
    """True of the two sides of the breast, on which nothing stands."""


class Breast(Struct, frozen=True):
    """A chimney breast."""

    left: Length
    """From the whole wall's left to the breast: the width of the alcove there; 0 where the breast fills the corner."""
    width: Length
    """Of its face."""
    depth: Length
    """How far it stands out from the wall."""
    fireplace_width: Length = ZERO
    fireplace_height: Length = ZERO
    """Of the fireplace in the middle of its face, to its shelf; 0 where there is none."""

    def parts(self, whole: Length) -> tuple[BreastPart, ...]:
        """Return the walls that one so wide becomes, left to right: alcoves, the breast's sides, its face.

        Raises
        ------
        RoomError
            When the breast does not fit the wall, or its fireplace does not fit the face.

        """
        raise_any(self._findings(whole))
        right = whole - self.left - self.width
        fireplace: tuple[Opening, ...] = ()
        if self.fireplace_width:
            begins = (self.width - self.fireplace_width) / 2
            kind = OpeningKind.FIREPLACE
            fireplace = (Opening(kind.value, kind, begins, self.fireplace_width, ZERO, self.fireplace_height),)
        face = BreastPart(FACE, self.width, CornerKind.EXTERNAL if right else None, fireplace)
        before = (
            BreastPart("left alcove", self.left, CornerKind.INTERNAL),
            BreastPart("breast’s left side", self.depth, CornerKind.EXTERNAL, is_side=True),
        )
        after = (
            BreastPart("breast’s right side", self.depth, CornerKind.INTERNAL, is_side=True),
            BreastPart("right alcove", right, None),
        )
        return (*(before if self.left else ()), face, *(after if right else ()))

    def _findings(self, whole: Length) -> Iterator[Finding]:
        yield from more_than_zero(width=self.width, depth=self.depth)
        if self.left + self.width > whole:
            text = "ends {} from the left of a wall {} wide; measure it again"
            yield finding(("breast",), text, self.left + self.width, whole)
        elif self.width == whole:
            yield finding(("breast",), "is as wide as its wall of {}, so it is just a wall", whole)
        if self.fireplace_width > self.width:
            yield finding(("fireplace",), "is {} wide, on a face of {}", self.fireplace_width, self.width)
        if self.fireplace_width and self.fireplace_height <= 0:
            yield finding(("fireplace",), "must be higher than 0, not {}", self.fireplace_height)
