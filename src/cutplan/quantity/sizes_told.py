"""What stands in anyone's notebook before a survey: the height, the length round, corners, doors and windows."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from msgspec import Struct

from cutplan.errors import CutplanError, RefusedError
from cutplan.lengths import UNITS, ZERO, Length, show
from cutplan.paper.stock import Paper
from cutplan.room.walls import INTERNAL_TURN, OpeningKind
from cutplan.scenario.usual import (
    OPENING,
    OVERLAP,
    REPEAT,
    ROLL_LENGTH,
    ROLL_WIDTH,
    SELVEDGE,
    TRIM,
    WALL_HEIGHT,
    WALL_WIDTH,
)

_MM: Final = UNITS["mm"]

ROOM_CORNERS: Final = 4
"""Internal corners of a plain room."""


class Gap(Struct, frozen=True):
    """A door or a window by its size alone; nobody has told where it stands."""

    kind: OpeningKind
    """A door stands on the floor; a window's sill is anywhere."""
    width: Length
    height: Length
    """Where the paper stops: frame and all."""
    is_assumed: bool = False
    """True when the size is the usual one and was not measured."""


USUAL_GAPS: Final = {
    OpeningKind.DOOR: Gap(OpeningKind.DOOR, 860 * _MM, 2060 * _MM, is_assumed=True),
    OpeningKind.WINDOW: Gap(OpeningKind.WINDOW, 1200 * _MM, 1200 * _MM, is_assumed=True),
}
"""Sizes taken where a door or a window is only counted [practice]: a door leaf with its frame, a casement window."""


class Notebook(Struct, frozen=True):
    """The sizes of a room that nobody has surveyed yet."""

    paper: Paper
    height: Length
    """From skirting to ceiling."""
    sides: tuple[Length, ...]
    """Lengths of the walls as far as they are told: one for the whole way round, or a room's length and width."""
    corners: int
    """Internal corners; each turn loses :data:`cutplan.room.walls.INTERNAL_TURN`. 0 for one wall by itself."""
    gaps: tuple[Gap, ...]
    trim_top: Length
    trim_bottom: Length
    """Added to each drop."""

    def __post_init__(self) -> None:
        if self.paper.wet_width is None:
            raise CutplanError("the paper's width is needed; it is printed on the label")

    def refuse_misfits(self) -> None:
        """Raise RefusedError for openings that cannot stand in these walls."""
        for gap in self.gaps:
            if gap.height >= self.height:
                what = f"a {gap.kind.value} {show(gap.height)} high"
                raise RefusedError(f"{what} does not stand in a wall {show(self.height)} high; measure both again")
        if sum((gap.width for gap in self.gaps), ZERO) >= self.around:
            raise RefusedError("the doors and windows are together wider than the walls; measure both again")

    @property
    def around(self) -> Length:
        """Length of all walls together."""
        return sum(self.sides, ZERO) * (2 if len(self.sides) == len(("length", "width")) else 1)

    @property
    def cut_length(self) -> Length:
        """What a drop from ceiling to skirting is cut to."""
        return self.trim_top + self.height + self.trim_bottom

    @property
    def strip(self) -> Length:
        """Width of a strip as it hangs."""
        return self.paper.wet_width or ZERO

    @property
    def most_columns(self) -> int:
        """Strips that no start exceeds.

        Each corner takes up a turn. Hung both ways from a start, either side may end on a cut strip, so there may be
        one strip more than the length round divided by the width of a strip.
        """
        turns = self.corners * INTERNAL_TURN
        return max(-(-(self.around + turns - self.reach) // self.strip), 0) + 1

    @property
    def reach(self) -> Length:
        """How far the outer strips of one wall by itself reach beyond their joints, both together."""
        return ZERO if self.corners else 2 * self.paper.outer_reach

    @property
    def fewest_full(self) -> int:
        """Strips' worth of full length that no start and no place of the openings goes below.

        Wall that is not above, below or behind an opening is hung from ceiling to skirting, and the strips that cover
        it are together as wide, however the narrow ones are slit from one another.
        """
        unbroken = self.around - sum((gap.width for gap in self.gaps), ZERO)
        return max(-(-(unbroken - self.reach) // self.strip), 1)

    def doubts(self, units: str) -> Iterator[str]:
        """Yield a question about each size that is unusual for its kind, ``units`` being those that it was told in."""
        pattern = self.paper.pattern
        told = [
            ("--height", WALL_HEIGHT, self.height),
            *(("--room" if len(self.sides) > 1 else "--around", WALL_WIDTH, side) for side in self.sides),
            ("--roll", ROLL_LENGTH, self.paper.roll_length),
            ("--roll", ROLL_WIDTH, self.paper.width_as_sold or ZERO),
            ("--selvedge", SELVEDGE, self.paper.edges.left),
            *((f"--{gap.kind.value}s", OPENING, side) for gap in self.gaps for side in (gap.width, gap.height)),
            ("--trim", TRIM, self.trim_top),
        ]
        if self.paper.edges.overlap:
            told.append(("--overlap", OVERLAP, self.paper.edges.overlap))
        if not pattern.is_free:
            told.append(("--match", REPEAT, pattern.repeat))
        for option, usual, length in told:
            if doubt := usual.doubt(length, units):
                yield f"{option}: {doubt}"
