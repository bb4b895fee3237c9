"""Columns: the strips' places on the walls, numbered from the start, right and left."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from cutplan.lengths import ZERO, Length
from cutplan.paper.pattern import Pattern
from cutplan.setting_out.strips import Panel, Strip, Turn


class Column(Struct, frozen=True):
    """One strip's place on the walls."""

    number: int
    """Its place in the print: 0 for the first strip, 1, 2 … to the right, -1, -2 … to the left. A corner splits a
    strip, not its number."""
    panels: tuple[Panel, ...]
    """What it shows, left to right along the run."""
    turns: tuple[Turn, ...]
    """How it is taken round corners, left to right."""
    first_motif: Length
    """From the level line down to its first motif datum, in [0, repeat)."""

    @property
    def width(self) -> Length:
        """What it shows along the run, over corners."""
        return sum((panel.right - panel.left for panel in self.panels), ZERO)

    @property
    def part_widths(self) -> dict[int, Length]:
        """What each part that is hung by itself shows along the run; turns that are covered not counted."""
        widths: dict[int, Length] = {}
        for panel in self.panels:
            widths[panel.part] = widths.get(panel.part, ZERO) + panel.right - panel.left
        return widths


def number_columns(
    rightwards: Sequence[Strip], leftwards: Sequence[Strip], pattern: Pattern, motif_drop: Length
) -> tuple[Column, ...]:
    """Return the columns, left to right by number, of strips laid both ways from the start.

    The first of each sequence is that side's half of column 0.
    """
    columns = []
    for number in range(1 - len(leftwards), len(rightwards)):
        if number > 0:
            panels, turns = tuple(rightwards[number].panels), tuple(rightwards[number].turns)
        elif number < 0:
            strip = leftwards[-number]
            panels, turns = tuple(reversed(strip.panels)), tuple(reversed(strip.turns))
        else:
            panels, turns = _joined(leftwards[0], rightwards[0])
        columns.append(Column(number, panels, turns, pattern.first_motif(number, motif_drop)))
    return tuple(columns)


def _joined(left: Strip, right: Strip) -> tuple[tuple[Panel, ...], tuple[Turn, ...]]:
    """Return the panels and turns of the first strip, its halves made whole again at the start."""
    before, after = left.panels[::-1], list(right.panels)
    if before and after and before[-1].wall == after[0].wall and before[-1].right == after[0].left:
        whole = replace(after[0], left=before[-1].left, paper_left=before[-1].paper_left)
        before, after = before[:-1], [whole, *after[1:]]
    return (*before, *after), (*left.turns[::-1], *right.turns)
