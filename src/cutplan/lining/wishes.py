"""What is asked of a lining: its roll, which way it hangs, how it meets corners, openings and the paper's joints."""

from __future__ import annotations

from enum import Enum
from fractions import Fraction
from typing import Final

from msgspec import Struct

from cutplan.lengths import ZERO, Length

USUAL_SHORT: Final = Fraction(3)
"""How far lining stops short of ceiling, skirting, corners and frames, in millimetres: 2–3 mm [practice]."""
USUAL_END: Final = Fraction(25)
"""What a length of lining is cut longer at either end, in millimetres, where nothing is told [practice]."""
USUAL_CLEAR: Final = Fraction(50)
"""How near a joint of the lining may come to one of the paper, in millimetres [practice]."""


class LiningWay(Enum):
    """Which way the lengths of a lining run."""

    HORIZONTAL = "horizontal"
    VERTICAL = "vertical"


class AtOpenings(Enum):
    """What becomes of a course of which an opening takes a part.

    For the least waste it is broken where the narrow piece beside the opening comes from what is ripped off elsewhere.
    """

    RUN_ON = "run on"
    BROKEN = "broken"
    LEAST_WASTE = "least waste"


class Patch(Struct, frozen=True):
    """A part of one wall, counted from 0, that alone is lined; ``top`` is None for as high as the wall goes."""

    wall: int
    left: Length
    right: Length
    foot: Length = ZERO
    top: Length | None = None


class Lining(Struct, frozen=True):
    """A lining as it is bought, and how it is to hang."""

    name: str
    roll_length: Length
    roll_width: Length
    price: Fraction | None = None
    """Of a roll; None when not stated."""
    way: LiningWay = LiningWay.HORIZONTAL
    """Courses along the walls, or strips from the ceiling down."""
    goes_round: bool = False
    """True for courses carried round internal corners; external ones are always gone round."""
    at_openings: AtOpenings = AtOpenings.LEAST_WASTE
    """What a course does at an opening that takes a part of its width."""
    short: Length = USUAL_SHORT
    """How far it stops short of ceiling, skirting, ends of walls and frames."""
    end: Length = USUAL_END
    """What every length is cut longer at either end."""
    clear: Length = USUAL_CLEAR
    """A joint nearer than this to one of the paper's is a clash."""
    patches: tuple[Patch, ...] = ()
    """Parts of walls that alone are lined; none for the whole room."""
    is_damp_barrier: bool = False
    """True for one that keeps damp back, and takes an adhesive of its own."""

    @property
    def is_horizontal(self) -> bool:
        """True for courses along the walls."""
        return self.way is LiningWay.HORIZONTAL

    @property
    def longest(self) -> Length:
        """The longest length that a roll gives, what is cut longer at its ends not counted."""
        return self.roll_length - 2 * self.end
