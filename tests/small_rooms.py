"""Rooms small enough to work out by hand, and views of a setting out that compare with hand-worked numbers.

Lengths are whole millimetres. Unless a test says otherwise a strip is 500 wide, the repeat 600 and the walls
2400 high: numbers that divide in the head, though no paper is sold like that.
"""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, TypeAlias

from cutplan.paper.pattern import Pattern
from cutplan.paper.stock import Paper
from cutplan.room.profile import Profile
from cutplan.room.walls import Corner, CornerKind, Opening, OpeningKind, Room, Wall
from cutplan.setting_out import Puts, Start

if TYPE_CHECKING:
    from collections.abc import Sequence

    from cutplan.setting_out import SettingOut

Points: TypeAlias = "int | Sequence[tuple[int, int]]"


def profile(points: Points) -> Profile:
    """Return a level profile of a height, or a line through points (along, height)."""
    if isinstance(points, int):
        return Profile.at_height(Fraction(points))
    return Profile(tuple((Fraction(along), Fraction(height)) for along, height in points))


def wall(width: int, *openings: Opening, top: Points = 2400, foot: Points = 0, name: str = "wall") -> Wall:
    """Return a wall."""
    return Wall(name, Fraction(width), profile(top), profile(foot), tuple(openings))


def opening(
    left: int, right: int, foot: int, head: int, *, reveal: int = 0, kind: str = "door", name: str = ""
) -> Opening:
    """Return an opening by its four edges, named after its kind."""
    edges = (Fraction(left), Fraction(right - left), Fraction(foot), Fraction(head - foot), Fraction(reveal))
    return Opening(name or kind, OpeningKind(kind), *edges)


def run(*walls: Wall, corner: Corner | None = None, level_line: int | None = None) -> Room:
    """Return a run that does not close, with the same corner between all walls: internal unless given."""
    corners = (corner or Corner.usual(CornerKind.INTERNAL),) * (len(walls) - 1)
    return Room(walls, corners, closes=False, level_line=None if level_line is None else Fraction(level_line))


def closed(*walls: Wall, corner: Corner | None = None) -> Room:
    """Return a whole room with the same corner between all walls: internal unless given."""
    return Room(walls, (corner or Corner.usual(CornerKind.INTERNAL),) * len(walls), closes=True)


def paper(offset: int | Fraction = 0, *, repeat: int = 600, width: int = 500, motif: int | None = None) -> Paper:
    """Return a paper whose print sits ``offset`` lower on the strip to the right."""
    pattern = Pattern(Fraction(repeat), Fraction(offset))
    from_left = None if motif is None else Fraction(motif)
    return Paper("invented", pattern, Fraction(10_000), Fraction(width), motif_from_left=from_left)


def start(at: int, puts: Puts = Puts.JOINT, *, wall: int = 0, drop: int = 100) -> Start:
    """Return a start with the first motif 100 below the level line."""
    return Start(wall, Fraction(at), puts, Fraction(drop))


def shown(setting_out: SettingOut) -> dict[int, list[tuple[int, ...]]]:
    """Return, by column, what it shows: (wall, left, right, paper from, paper to) for each panel."""
    return {
        column.number: [
            whole(panel.wall, panel.left, panel.right, panel.paper_left, panel.paper_right) for panel in column.panels
        ]
        for column in setting_out.columns
    }


def pieces(setting_out: SettingOut) -> list[tuple[int, str, int, int]]:
    """Return, in hanging order: (column, kind, finished height, first motif) for each piece."""
    return [
        (piece.column, piece.kind.value, _one(piece.height), _one(piece.first_motif)) for piece in setting_out.pieces
    ]


def whole(*lengths: Fraction | int | None) -> tuple[int, ...]:
    """Return lengths as the whole numbers that they are."""
    return tuple(map(_one, lengths))


def _one(length: Fraction | int | None) -> int:
    assert length is not None
    assert length == int(length), "rooms worked out by hand keep to whole millimetres"
    return int(length)
