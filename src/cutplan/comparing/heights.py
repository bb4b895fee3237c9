"""The vertical question: how high the first motif hangs, and what ceiling and skirting cut of it then.

Columns whose print hangs alike form a class: two on a half-drop, three on a third-drop. As the first motif is moved
down, each class's cut at an edge grows or shrinks by the same distance until it ends, so the heights fall into few
ranges, exact and complete.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

from msgspec import Struct

from cutplan.lengths import ZERO, Length
from cutplan.paper.stock import Paper
from cutplan.setting_out import CutMotif, Edge, SettingOut, motifs_cut
from cutplan.setting_out.motifs import MotifPlace, motif_places


class MotifCut(Struct, frozen=True):
    """How much an edge cuts off a motif, at the lowest and the highest ``motif_drop`` of a range."""

    at_low: Length
    at_high: Length


class ClassCuts(Struct, frozen=True):
    """What ceiling and skirting cut in one class of columns; None where they leave the motif whole."""

    ceiling: MotifCut | None
    skirting: MotifCut | None


class HeightRange(Struct, frozen=True):
    """Heights at which the same is cut in every class, by amounts that change evenly.

    ``low`` and ``high`` are the ``motif_drop`` at its ends: from the level line down to the first strip's first motif
    datum. ``classes`` begin with that of column 0, then of column 1 and so on.
    """

    low: Length
    high: Length
    classes: tuple[ClassCuts, ...]

    @property
    def is_whole(self) -> bool:
        """True when no motif is cut at either edge in any class."""
        return all(cuts == ClassCuts(None, None) for cuts in self.classes)


class Heights(Struct, frozen=True):
    """The answer to the vertical question."""

    now: Length
    """The scenario's own ``motif_drop``, within a repeat."""
    ceiling: Length
    foot: Length
    """Heights of the two edges above the floor line, where hanging starts."""
    classes: int
    """How many classes of columns there are: 1 for a straight match."""
    cut_now: tuple[tuple[CutMotif, ...], ...]
    """What is cut at that height, by class, from the top down."""
    ranges: tuple[HeightRange, ...]
    """All heights, from 0 to the repeat."""
    balanced: tuple[Length, ...]
    """Heights at which every column's print stands as far from the ceiling as from the skirting; empty when no height
    balances all classes."""

    @property
    def whole_at_top(self) -> tuple[tuple[Length, Length], ...]:
        """Heights, from and to, that leave the motif whole at the top of the focal length: the first class."""
        return _runs(self.ranges, lambda height: height.classes[0].ceiling is None)

    @property
    def whole(self) -> tuple[tuple[Length, Length], ...]:
        """Heights, from and to, at which no class has a motif cut at either edge."""
        return _runs(self.ranges, lambda height: height.is_whole)


def _runs(ranges: Sequence[HeightRange], holds: Callable[[HeightRange], bool]) -> tuple[tuple[Length, Length], ...]:
    """Return from where to where something holds, neighbouring ranges taken together."""
    runs: list[tuple[Length, Length]] = []
    for height in ranges:
        if holds(height):
            low = runs.pop()[0] if runs and runs[-1][1] == height.low else height.low
            runs.append((low, height.high))
    return tuple(runs)


def heights_of(setting_out: SettingOut) -> Heights | None:
    """Return what each height of the first motif cuts, at the start of a room; None for a free match.

    Level edges are supposed, as they are where hanging starts: ceiling and foot where the first strip shows its motif,
    over the motif's width the lowest and the highest of them; where that is not told, on the point of the start.
    """
    pattern = setting_out.paper.pattern
    if pattern.is_free:
        return None
    start = setting_out.start
    on_start = [MotifPlace(start.wall, start.at, start.at)]
    places = motif_places(setting_out.paper, setting_out.column(0).panels) or on_start
    ceiling = min(place.top(setting_out.room)[0] for place in places)
    foot = max(place.foot(setting_out.room)[1] for place in places)
    classes = (pattern.offset / pattern.repeat).denominator
    edges = _Edges(setting_out.paper, ceiling - foot, setting_out.level_line - ceiling, classes)
    return Heights(
        now=pattern.within_repeat(start.motif_drop),
        ceiling=ceiling,
        foot=foot,
        classes=classes,
        cut_now=tuple(edges.cut_at(start.motif_drop, number) for number in range(classes)),
        ranges=edges.ranges(),
        balanced=edges.balanced(),
    )


class _Edges(Struct, frozen=True):
    """Two level edges, ``height`` apart, the upper one ``below`` the level line."""

    paper: Paper
    height: Length
    below: Length
    classes: int

    def first_motif(self, drop: Length, number: int) -> Length:
        """Return from the ceiling down to the first datum in class ``number``."""
        return self.paper.pattern.first_motif(number, drop - self.below)

    def ranges(self) -> tuple[HeightRange, ...]:
        """Return all heights, taken together where the same motifs are cut."""
        found: list[HeightRange] = []
        for low, high in pairwise(self._bends()):
            this = HeightRange(low, high, tuple(self._cuts(low, high, number) for number in range(self.classes)))
            if found and _goes_on(found[-1], this):
                found[-1] = _joined(found[-1], this)
            else:
                found.append(this)
        return tuple(found)

    def _bends(self) -> list[Length]:
        """Return every height at which some class begins or ends to be cut, with 0 and the repeat."""
        above, below, repeat = self.paper.motif_above, self.paper.motif_below, self.paper.pattern.repeat
        places = [edge + reach for edge in (ZERO, self.height) for reach in (above, -below, 0)]
        shifts = [number * self.paper.pattern.offset - self.below for number in range(self.classes)]
        bends = {(place - shift) % repeat for place in places for shift in shifts}
        return sorted({ZERO, *bends, repeat})

    def _cuts(self, low: Length, high: Length, number: int) -> ClassCuts:
        """Return what is cut from ``low`` to ``high``, between which nothing begins or ends."""
        inside = [low + (high - low) * part / 3 for part in (1, 2)]
        one, other = ({cut.edge: cut.cut_off for cut in self.cut_at(drop, number)} for drop in inside)
        lines = {edge: MotifCut(2 * one[edge] - other[edge], 2 * other[edge] - one[edge]) for edge in one}
        return ClassCuts(lines.get(Edge.TOP), lines.get(Edge.FOOT))

    def cut_at(self, drop: Length, number: int) -> tuple[CutMotif, ...]:
        """Return the motifs cut in class ``number``, from the top down."""
        return tuple(motifs_cut(self.paper, self.height, self.first_motif(drop, number)))

    def balanced(self) -> tuple[Length, ...]:
        """Return the heights at which all columns lie alike about the middle between the edges.

        The motifs of a class do so when the middle of one, or of a gap, lies in the middle: twice in a repeat. Another
        class hangs lower by a part of the repeat, and does so at the same heights only if that is a half.
        """
        pattern = self.paper.pattern
        if 2 * pattern.offset % pattern.repeat:
            return ()
        to_middle = (self.paper.motif_below - self.paper.motif_above) / 2
        drop = self.height / 2 - to_middle + self.below
        return tuple(sorted(pattern.within_repeat(drop + part * pattern.repeat / 2) for part in (0, 1)))


def _goes_on(before: HeightRange, after: HeightRange) -> bool:
    """Return True when the same motifs are cut in both ranges, and go on being cut where they meet."""
    return all(
        (one is None) == (other is None) and (one is None or other is None or one.at_high == other.at_low)
        for one, other in zip(_lines(before), _lines(after), strict=True)
    )


def _lines(height: HeightRange) -> list[MotifCut | None]:
    return [cut for cuts in height.classes for cut in (cuts.ceiling, cuts.skirting)]


def _joined(before: HeightRange, after: HeightRange) -> HeightRange:
    classes = (
        ClassCuts(_joined_cut(one.ceiling, other.ceiling), _joined_cut(one.skirting, other.skirting))
        for one, other in zip(before.classes, after.classes, strict=True)
    )
    return HeightRange(before.low, after.high, tuple(classes))


def _joined_cut(before: MotifCut | None, after: MotifCut | None) -> MotifCut | None:
    return None if before is None or after is None else MotifCut(before.at_low, after.at_high)
