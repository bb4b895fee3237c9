"""Areas and joints: what is pasted, what is wall, and how long the joints are between pieces that butt."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from itertools import combinations, pairwise

from cutplan.job.job import Job
from cutplan.lengths import ZERO, Length
from cutplan.lining.groups import Cell
from cutplan.room.walls import Room, Wall
from cutplan.setting_out import SettingOut


def area_cut(job: Job) -> Fraction:
    """Return the area of all pieces of a job as they are cut, for all of a piece is pasted; in square millimetres.

    Where the width of the paper is not told it is 0.
    """
    strip = job.paper.roll_width or ZERO
    wide = {
        drop.label: strip if drop.left is None or drop.right is None else drop.right - drop.left for drop in job.drops
    }
    return sum((drop.cut_length * wide[drop.label] * drop.count for drop in job.drops), ZERO)


def area_of(room: Room) -> Fraction:
    """Return the area of a room's walls less their openings, and of the reveals that are papered."""
    return sum((_area_of(wall) for wall in room.walls), ZERO)


def _area_of(wall: Wall) -> Fraction:
    area = ZERO
    for profile, sign in ((wall.top, 1), (wall.foot, -1)):
        marks = sorted({ZERO, wall.width, *(along for along in profile.alongs if along <= wall.width)})
        for left, right in pairwise(marks):
            area += sign * (right - left) * (profile.just_right_of(left) + profile.just_left_of(right)) / 2
    for opening in wall.openings:
        area -= opening.width * opening.height
        area += opening.reveal * (2 * opening.height + opening.width)
    return area


def joints_between(cells: Iterable[Cell]) -> Length:
    """Return how long the joints are between pieces of lining that butt, side by side and one above another."""
    total = ZERO
    for one, other in combinations(cells, 2):
        if one.face.wall != other.face.wall:
            continue
        across = min(one.right, other.right) - max(one.left, other.left)
        up = min(one.top, other.top) - max(one.foot, other.foot)
        if across == 0 and up > 0:
            total += up
        elif up == 0 and across > 0:
            total += across
    return total


def length_of_joints(setting_out: SettingOut) -> Length:
    """Return how long the joints of a paper are on the walls, its closing too; beside an opening is none."""
    closing = () if setting_out.closing is None else (setting_out.closing.joint,)
    walls = setting_out.room.walls
    return sum((_joint_at(walls[joint.wall], joint.at) for joint in (*setting_out.joints, *closing)), ZERO)


def _joint_at(wall: Wall, at: Length) -> Length:
    foot, top = wall.foot.just_right_of(at), wall.top.just_right_of(at)
    beside = (opening for opening in wall.openings if opening.left <= at <= opening.right)
    open_ = sum((max(min(opening.head, top) - max(opening.foot, foot), ZERO) for opening in beside), ZERO)
    return top - foot - open_
