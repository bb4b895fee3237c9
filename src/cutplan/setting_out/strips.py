"""Strips laid one after another along a track: over corners, until the track ends.

A track runs to the right or to the left from a point of the run. Along it, paper is used up from a strip's
near edge (its left edge when going right) to its far edge; only the last step of this module turns that
into left and right.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

from msgspec import Struct
from msgspec.structs import replace

from cutplan.lengths import ZERO, Length
from cutplan.room.walls import Corner, Room


class Panel(Struct, frozen=True, dict=True):
    """What one strip shows on one wall."""

    wall: int
    """Wall, counted from 0."""
    left: Length
    right: Length
    """Along the wall, from its left edge."""
    paper_left: Length
    paper_right: Length
    """Across the wet strip, from its left edge."""
    part: int
    """0 for the part hung first; 1, 2 … for what is slit off and hung on to its right; -1, -2 … to its left."""

    @cached_property
    def mark(self) -> tuple[object, ...]:
        """The same in whole numbers, which are told apart much sooner."""
        lengths = self.left, self.right, self.paper_left, self.paper_right
        return self.wall, self.part, *(length.as_integer_ratio() for length in lengths)

    def cut_down(self, left: Length, right: Length) -> Panel:
        """Return what its strip shows from ``left`` to ``right`` along the wall."""
        shift = self.paper_left - self.left
        return replace(self, left=left, right=right, paper_left=left + shift, paper_right=right + shift)


class Turn(Struct, frozen=True):
    """How one strip is taken round one corner and slit."""

    corner: int
    """Corner, counted from 0: the one at the right edge of the wall of that number."""
    paper_left: Length
    paper_right: Length
    """What is turned on to the next wall, across the wet strip from its left edge; back on to the wall before where the
    joint falls in the corner."""
    slit: Length
    """Where the strip is slit, from its left edge: one edge of what is turned. A strip that reaches no further than the
    turn, or is turned back, is not slit; its own edge lies here."""
    lap: Length
    """How much of the turn the next paper covers: that much print is lost at the corner."""


class Strip(Struct):
    """One strip, or one half of the first strip, as laid: panels and turns in the order of the track.

    Once it is laid nothing of it changes: it may be a strip of other tracks too.
    """

    panels: list[Panel]
    turns: list[Turn]


class WallStretch(Struct, frozen=True):
    """The part of a track that lies on one wall.

    ``at`` is where the track enters it, from the wall's left edge; ``corner`` is where it leaves it, None
    where the track ends.
    """

    wall: int
    at: Length
    length: Length
    corner: int | None


class Track(Struct, frozen=True):
    """A way along the run, to the right or to the left."""

    rightwards: bool
    stretches: tuple[WallStretch, ...]

    @property
    def length(self) -> Length:
        """Length of the whole track."""
        return sum((stretch.length for stretch in self.stretches), ZERO)


def track_from(room: Room, wall: int, at: Length, *, rightwards: bool, distance: Length | None) -> Track:
    """Return the track that leaves a point of the run, ``distance`` long; None for «to the run's end»."""
    stretches: list[WallStretch] = []
    to_go = distance
    while to_go is None or to_go > 0:
        here = room.walls[wall].width - at if rightwards else at
        corner = _corner_beyond(room, wall, rightwards=rightwards)
        if to_go is not None and here >= to_go:
            here, corner = to_go, None
        stretches.append(WallStretch(wall, at, here, corner))
        if corner is None:
            break
        if to_go is not None:
            to_go -= here
        wall = (wall + 1 if rightwards else wall - 1) % len(room.walls)
        at = ZERO if rightwards else room.walls[wall].width
    return Track(rightwards, tuple(stretches))


def _corner_beyond(room: Room, wall: int, *, rightwards: bool) -> int | None:
    if rightwards:
        return None if room.corner_right_of(wall) is None else wall
    return None if room.corner_left_of(wall) is None else (wall - 1) % len(room.walls)


def lay(room: Room, track: Track, width: Length, used: Length, most: int | None = None) -> list[Strip]:
    """Return strips of this wet width laid side by side along a track, no more than ``most``.

    ``used`` is how much of the first strip, from its near edge, lies before the track begins: it is the rest of one
    that lies astride the start. The whole width leaves a first strip without panels.
    """
    layer = _Layer(room, track, width)
    strips = [layer.strip(used)]
    while not layer.is_done and (most is None or len(strips) < most):
        strips.append(layer.next_strip())
    return strips


def reached_beyond(strips: list[Strip], track: Track, width: Length, reach: Length) -> list[Strip]:
    """Return strips laid to a run's end without a last one that the one before it covers by its uncut edge.

    That one reaches ``reach`` beyond the strip there, but round no corner.
    """
    if len(strips) == 1 or strips[-1].turns or len(strips[-1].panels) != 1:
        return strips
    (*kept, before), (last,) = strips[:-1], strips[-1].panels
    edge = width if track.rightwards else ZERO
    near = before.panels[-1] if before.panels else Panel(track.stretches[0].wall, ZERO, ZERO, edge, edge, 0)
    is_whole = (near.paper_right if track.rightwards else near.paper_left) == edge
    if last.right - last.left > reach or last.wall != near.wall or not is_whole:
        return strips
    shift = width if track.rightwards else -width
    shown = replace(last, paper_left=last.paper_left + shift, paper_right=last.paper_right + shift)
    return [
        *kept,
        Strip(
            [
                *before.panels[:-1],
                near.cut_down(min(near.left, last.left), max(near.right, last.right)) if before.panels else shown,
            ],
            before.turns,
        ),
    ]


def ends_of(strips: list[Strip], *, rightwards: bool) -> list[tuple[int, Length]]:
    """Return where each strip but the last ends: wall, and distance from its left edge."""
    ends = [strip.panels[-1] for strip in strips[:-1] if strip.panels]
    return [(panel.wall, panel.right if rightwards else panel.left) for panel in ends]


class _Layer:
    """Where laying has got to: a stretch of the track, and how far along it."""

    def __init__(self, room: Room, track: Track, width: Length) -> None:
        self.room = room
        self.track = track
        self.width = width
        self.index = 0
        self.along = ZERO
        self.near_end = 2 * width

    @property
    def is_done(self) -> bool:
        """True when nothing of the track is left to cover."""
        stretches = self.track.stretches
        last = len(stretches) - 1
        return self.index > last or (self.index == last and self.along == stretches[last].length)

    @cached_property
    def to_go(self) -> Length:
        """How much of the track is left to cover, after the first strip."""
        return sum((stretch.length for stretch in self.track.stretches[self.index :]), -self.along)

    def next_strip(self) -> Strip:
        """Lay the strip after one that is laid, or take it as it was laid from another start.

        Where the track ends matters only to a strip that comes near that end.
        """
        if self.to_go < self.near_end:
            return self._next_strip()
        index, along = self.index, self.along
        stretch = self.track.stretches[index]
        at = stretch.at + along if self.track.rightwards else stretch.at - along

        def laid() -> tuple[Strip, int, Length, Length]:
            strip = self._next_strip()
            within = self.along if self.index > index else self.along - along
            covered = sum((before.length for before in self.track.stretches[index : self.index]), self.along - along)
            return strip, self.index - index, within, covered

        key = "strip", self.track.rightwards, self.width.as_integer_ratio(), stretch.wall, at.as_integer_ratio()
        strip, further, within, covered = self.room.once(key, laid)
        self.index, self.along = index + further, within if further else along + within
        self.to_go -= covered
        return strip

    def _next_strip(self) -> Strip:
        """Lay the strip after one that is laid; where that ended in a corner, turn it back round the corner."""
        stretch = self.track.stretches[self.index]
        if stretch.corner is not None and self.along == stretch.length:
            rule: Corner = self.room.corners[stretch.corner]
            if 0 < rule.lap < self.width and not rule.is_true:
                self._enter_next()
                return self.strip(rule.lap, [self._turned(stretch.corner, ZERO, rule.lap, rule.lap, slit=ZERO)])
        return self.strip(ZERO)

    def strip(self, used: Length, turned: Sequence[Turn] = ()) -> Strip:
        """Lay one strip of which ``used`` is hung already, or ``turned`` back round the corner that it begins in."""
        strip = Strip([], list(turned))
        part, edge = 0, used if turned else ZERO
        step = 1 if self.track.rightwards else -1
        while used < self.width and not self.is_done:
            stretch = self.track.stretches[self.index]
            take = min(stretch.length - self.along, self.width - used)
            if take:
                strip.panels.append(self._panel(stretch, used, take, part))
                used += take
                self.along += take
            if self.along < stretch.length or stretch.corner is None:
                break
            if used == edge or (used < self.width and self.room.corners[stretch.corner].is_true):
                self._enter_next()
            elif used < self.width:
                used = edge = self._turn(strip, stretch.corner, used, part)
                part += step
        return strip

    def _enter_next(self) -> WallStretch:
        self.index += 1
        self.along = ZERO
        return self.track.stretches[self.index]

    def _turn(self, strip: Strip, corner: int, used: Length, part: int) -> Length:
        """Turn the strip round a corner and slit it; return how much of it is used up by then."""
        after = self._enter_next()
        rule: Corner = self.room.corners[corner]
        turn = min(rule.turn, self.width - used, after.length)
        lap = min(rule.lap, turn)
        if turn > lap:
            strip.panels.append(self._panel(after, used, turn - lap, part))
            self.along = turn - lap
        far = used + turn
        strip.turns.append(self._turned(corner, used, far, lap, slit=far))
        return far

    def _turned(self, corner: int, near: Length, far: Length, lap: Length, *, slit: Length) -> Turn:
        """Return a turn, from edges and a slit that are told from the strip's near edge."""
        if self.track.rightwards:
            return Turn(corner, near, far, slit, lap)
        return Turn(corner, self.width - far, self.width - near, self.width - slit, lap)

    def _panel(self, stretch: WallStretch, used: Length, take: Length, part: int) -> Panel:
        if self.track.rightwards:
            left = stretch.at + self.along
            return Panel(stretch.wall, left, left + take, used, used + take, part)
        right = stretch.at - self.along
        return Panel(stretch.wall, right - take, right, self.width - used - take, self.width - used, part)
