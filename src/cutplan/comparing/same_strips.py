"""A start whole strips further along its wall: the same strips on the walls, numbered anew and hung in another order.

Their print hangs as much lower or higher on all of them. Where only sealed rolls are cut that changes no answer, nor
does the order, but for what falls out of one drop and serves another that hangs later.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import TYPE_CHECKING, TypeAlias

from msgspec import Struct
from msgspec.structs import replace

from cutplan.comparing.figures import Compared, columns_cut
from cutplan.comparing.placements import Placement
from cutplan.comparing.proving import Prover
from cutplan.comparing.remembering import Name
from cutplan.job.drops import Drop
from cutplan.lengths import Length
from cutplan.setting_out import Closing, Finish, SettingOut, Start, Way
from cutplan.setting_out.motifs import AtCeiling, at_ceiling
from cutplan.setting_out.start import left_of_start, level_line_of, start_findings

if TYPE_CHECKING:
    from cutplan.comparing.sweep import SweepTask

Strips: TypeAlias = "tuple[int, Length, Finish | None]"
"""What all starts of a room that lay the same strips have in common: wall, place of a joint on it, and finish."""


def strips_of(task: SweepTask, placement: Placement) -> Strips | None:
    """Return what the strips of a placement are known by; None where another start may not lay the same.

    The first strip has to hang within its wall, and the room to close elsewhere; else the start itself ends something.
    """
    room, paper, start, strip = task.room, task.paper, placement.start, task.paper.wet_width
    is_alone = task.beside is None and not any(lot.is_offcut for lot in task.lots)
    is_plain = not (paper.is_reversed or paper.sheets) and len({lot.batch for lot in task.lots}) == 1
    finishes_here = placement.finish is not None and placement.finish.wall == start.wall
    if strip is None or task.way.is_one_way or finishes_here or not (is_alone and is_plain):
        return None
    if any(start_findings(room, paper, start)):
        return None
    left = _left_edge(task, start)
    return (start.wall, left % strip, placement.finish) if 0 < left < room.walls[start.wall].width - strip else None


def _left_edge(task: SweepTask, start: Start) -> Length:
    """Return where the first strip begins, from its wall's left edge."""
    return start.at - left_of_start(task.paper, start, right_first=task.way.is_right_first)


class AsLaid(Struct, frozen=True, dict=True):
    """A placement that is worked out and proved, with what serves others that lay the same strips.

    That is the room set out there, and what is cut, in hanging order, each by its name.
    """

    compared: Compared
    setting_out: SettingOut
    drops: Sequence[Drop]
    names: Sequence[Name]

    @cached_property
    def _ceiling(self) -> tuple[AtCeiling, ...]:
        return at_ceiling(self.setting_out.room, self.setting_out.paper, self.setting_out.pieces)

    def moved_to(self, placement: Placement, task: SweepTask, prover: Prover) -> Compared | None:
        """Return another placement that lays the same strips, with its figures; None where rolls in hand are measured.

        NoPlanError when the rolls in hand do not give the drops.
        """
        before, pattern = self.setting_out, task.paper.pattern
        along = _left_edge(task, placement.start) - _left_edge(task, before.start)
        further = int(along / (task.paper.wet_width or 1))
        higher = level_line_of(task.room, placement.start) - before.level_line
        lower = placement.start.motif_drop - before.start.motif_drop - further * pattern.offset - higher
        if pattern.within_repeat(lower) and not prover.is_sealed:
            return None
        proved, closing = self.compared.proved, self.compared.closing
        if any(drop.cut_outs for drop in self.drops):
            order = _hung_from(further, self.names, task.way)
            names = [(int(name[0]) - further, *name[1:]) for name in map(self.names.__getitem__, order)]
            proved = prover.prove([self.drops[number] for number in order], names)
        return replace(
            self.compared,
            placement=placement,
            proved=proved,
            cut_at_top=columns_cut(self._ceiling, task.paper, lower),
            closing=None if closing is None else _numbered_anew(closing, further),
        )


def _hung_from(first: int, names: Sequence[Name], way: Way) -> list[int]:
    """Return the places of drops, told by their names, in the order in which they are hung from another column."""

    def turn(number: int) -> tuple[bool, int]:
        away = int(names[number][0]) - first
        return (away < 0) == way.is_right_first and away != 0, abs(away)

    return sorted(range(len(names)), key=turn)


def _numbered_anew(closing: Closing, further: int) -> Closing:
    joint = closing.joint
    left, right = joint.left_column - further, joint.right_column - further
    return replace(closing, joint=replace(joint, left_column=left, right_column=right))
