"""The pattern: what is printed on the paper, how it repeats, and how neighbouring strips match.

Directions, fixed here for the whole package: along the wall left to right as one faces it; along a
piece or a roll **down** from its top (outer) end. The *first motif* of a piece is the distance from its
top edge down to the first motif datum at or below it, so it lies in [0, repeat).
"""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from cutplan.errors import PatternError
from cutplan.lengths import ZERO, Length, show


class Pattern(Struct, frozen=True):
    """How the print repeats, and how far the strip to the right is shifted."""

    repeat: Length
    """Period of the print along the roll; 0 for a free match (nothing to match)."""
    offset: Length
    """How much **lower** the print of the strip to the right sits, 0 ≤ offset < repeat. Higher by d is stored as repeat
    − d. Zero is a straight match."""

    def __post_init__(self) -> None:
        if self.repeat < 0 or self.offset < 0:
            raise PatternError("repeat and offset cannot be negative")
        if self.offset and self.offset >= self.repeat:
            raise PatternError(f"the offset {show(self.offset)} must be less than the repeat {show(self.repeat)}")

    @property
    def is_free(self) -> bool:
        """True when the print needs no matching."""
        return not self.repeat

    @property
    def needs_direction(self) -> bool:
        """True when lower to the right and higher to the right are different papers (not for half-drop)."""
        return 0 < self.offset != self.repeat / 2

    @property
    def step(self) -> Length:
        """How much lower the print of the strip to the right sits; less than 0 where the shorter way is higher."""
        return self.offset if self.offset * 2 <= self.repeat else self.offset - self.repeat

    def within_repeat(self, distance: Length) -> Length:
        """Return ``distance`` reduced to [0, repeat); 0 for a free match.

        >>> from fractions import Fraction
        >>> Pattern(Fraction(640), Fraction(320)).within_repeat(Fraction(-100))
        Fraction(540, 1)

        """
        return ZERO if self.is_free else distance % self.repeat

    def beyond_repeat(self, first_motif: Length, units: str, told: str = "") -> str | None:
        """Return why a first motif cannot lie so far down, with where it is then; None for one within the repeat.

        ``told`` follows what it must be: how it was written.
        """
        if self.is_free or first_motif < self.repeat:
            return None
        within = show(self.within_repeat(first_motif), units)
        return f"must be less than the repeat of {show(self.repeat, units)}{told}; the first motif is then at {within}"

    def first_motif(self, column: int, at_start: Length) -> Length:
        """Return the first motif of a column below the common top line.

        ``column`` counts from the start, positive to the right, negative to the left; ``at_start`` is the
        first motif of column 0. This is f_k = f_0 + k·d (mod R).

        >>> from fractions import Fraction
        >>> third = Pattern(Fraction(640), Fraction(640, 3))
        >>> third.first_motif(12, Fraction(95)), third.first_motif(-1, Fraction(95))
        (Fraction(95, 1), Fraction(1565, 3))

        """
        return self.within_repeat(at_start + column * self.offset)


FREE: Final = Pattern(ZERO, ZERO)
