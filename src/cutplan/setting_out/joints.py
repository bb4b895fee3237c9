"""Joints: where two strips meet, how near that is to openings and corners, and how the last one closes."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise
from math import floor

from msgspec import Struct

from cutplan.lengths import ZERO, Length
from cutplan.paper.stock import Paper
from cutplan.room.walls import Room
from cutplan.setting_out.columns import Column
from cutplan.setting_out.strips import Panel


class Joint(Struct, frozen=True):
    """Where one column ends and the next on its right begins."""

    left_column: int
    right_column: int
    """Numbers of the columns that meet."""
    wall: int
    at: Length
    """The joint's place: where the right column begins, from that wall's left edge."""
    to_opening: Length | None
    """To the nearest side of an opening on that wall; None when it has none."""
    to_corner: Length | None
    """To the nearer corner of that wall; None when both its ends are ends of the run."""


class Closing(Struct, frozen=True):
    """The closing joint of a room, where the print does not match."""

    joint: Joint
    """Where it is."""
    sideways: Length
    """By how much the print on its right is ahead of where it would go on: so much print is missing; negative when so
    much comes twice. Never more than half a strip."""
    height: Length
    """By how much the print on its right sits lower than where it would go on; negative when higher. Never more than
    half a repeat."""


def joints_of(room: Room, columns: Sequence[Column]) -> tuple[Joint, ...]:
    """Return the joints between columns, left to right; the closing joint is not among them."""
    return tuple(joint_between(room, left, right) for left, right in pairwise(columns))


def joint_between(room: Room, left: Column, right: Column) -> Joint:
    """Return the joint at the left edge of ``right``, where ``left`` ends."""
    edge = right.panels[0]
    key = "joint", edge.wall, edge.left.as_integer_ratio()
    near = room.once(key, lambda: (_to_opening(room, edge), _to_corner(room, edge)))
    return Joint(left.number, right.number, edge.wall, edge.left, *near)


def _to_opening(room: Room, edge: Panel) -> Length | None:
    openings = room.walls[edge.wall].openings
    sides = (side for opening in openings for side in (opening.left, opening.right))
    return min((abs(edge.left - side) for side in sides), default=None)


def _to_corner(room: Room, edge: Panel) -> Length | None:
    corners = room.corner_left_of(edge.wall), room.corner_right_of(edge.wall)
    away = edge.left, room.walls[edge.wall].width - edge.left
    return min((far for far, corner in zip(away, corners, strict=True) if corner is not None), default=None)


def closing_between(room: Room, paper: Paper, left: Column, right: Column) -> Closing:
    """Return the closing joint where ``left``, the last to the right, meets ``right``, the last to the left.

    The print is a lattice: one strip to the right is one wet width along and one offset down. So the strip
    of which the left column's print would be followed by the right column's need not have its number; the
    nearest place in the lattice counts, first sideways, then in height.
    """
    joint = joint_between(room, left, right)
    width, pattern = paper.wet_width or ZERO, paper.pattern
    if pattern.is_free:
        return Closing(joint, ZERO, ZERO)
    ahead = right.panels[0].paper_left - left.panels[-1].paper_right
    strips = -floor(ahead / width + Fraction(1, 2))
    expected = pattern.first_motif(strips, left.first_motif)
    lower = pattern.within_repeat(right.first_motif - expected)
    if lower > pattern.repeat / 2:
        lower -= pattern.repeat
    return Closing(joint, ahead + strips * width, lower)


def nearest_joint(joints: Sequence[Joint]) -> Length | None:
    """Return the least distance from any joint to an opening or a corner; None when there are neither."""
    distances = [distance for joint in joints for distance in (joint.to_opening, joint.to_corner)]
    return min((distance for distance in distances if distance is not None), default=None)
