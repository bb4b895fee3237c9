"""What a placement comes to: the figures by which a tradesman and a customer would judge it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from msgspec import Struct

from cutplan.comparing.placements import Placement
from cutplan.comparing.proving import Proved
from cutplan.lengths import ZERO, Length
from cutplan.paper.stock import Paper
from cutplan.setting_out import Closing, SettingOut
from cutplan.setting_out.motifs import AtCeiling, at_ceiling

if TYPE_CHECKING:
    from cutplan.lining.courses import LiningSetOut


class Compared(Struct, frozen=True):
    """One placement with its figures."""

    placement: Placement
    """Where the start and the finish are."""
    proved: Proved | None
    """Rolls or cost, with the bound; None when the rolls in hand do not give these drops."""
    narrowest: Length
    """Width shown by the narrowest strip, or part of one hung by itself."""
    to_opening: Length | None
    """Least distance from a joint to the side of an opening; None when there are no openings."""
    cut_at_top: int
    """How many columns have a motif that the ceiling cuts."""
    closing: Closing | None
    """The closing joint; None when the run does not close."""
    further: Proved | None = None
    """What is ``proved`` with as many further rolls as are needed; None where nobody asked, or those in hand do."""
    clashes: int | None = None
    """How many joints of the lining under it come too near its own; None where nothing lies under it that has any."""


def figures_of(
    placement: Placement,
    setting_out: SettingOut,
    proved: Proved | None,
    further: Proved | None = None,
    linings: Sequence[LiningSetOut] = (),
) -> Compared:
    """Return a placement with the figures of its setting out; ``linings`` lie under it, set out clear of its joints."""
    joints = list(setting_out.joints)
    if setting_out.closing is not None:
        joints.append(setting_out.closing.joint)
    ceiling = at_ceiling(setting_out.room, setting_out.paper, setting_out.pieces)
    return Compared(
        placement=placement,
        proved=proved,
        narrowest=setting_out.narrowest_strip,
        to_opening=min((joint.to_opening for joint in joints if joint.to_opening is not None), default=None),
        cut_at_top=columns_cut(ceiling, setting_out.paper),
        closing=setting_out.closing,
        further=further,
        clashes=_clashes(setting_out, linings) if linings else None,
    )


def columns_cut(ceiling: Iterable[AtCeiling], paper: Paper, lower: Length = ZERO) -> int:
    """Return how many columns have a motif that the ceiling cuts when the print hangs ``lower``."""
    return len({each.column for each in ceiling if each.cuts(paper.pattern, lower)})


def _clashes(setting_out: SettingOut, linings: Iterable[LiningSetOut]) -> int:
    from cutplan.lining.clear_joints import joints_of_paper  # noqa: PLC0415 - loaded where a room is lined only
    from cutplan.lining.courses import set_out_lining  # noqa: PLC0415 - likewise

    paper = joints_of_paper([setting_out])
    return sum(len(set_out_lining(found.room, found.lining, paper).clashes) for found in linings)
