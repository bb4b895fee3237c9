"""Setting out: where each strip of a room falls, and where the print falls on it.

Directions: along a wall to the right from its left edge, as one faces it; across a strip to the right from
its left edge, wet, as it lies on the wall; heights up from the floor line; first motifs down.
"""

from cutplan.setting_out.columns import Column
from cutplan.setting_out.cut_outs import PieceCutOut, Reveal, Side
from cutplan.setting_out.finish import Finish, FinishAt, FinishOver, sensible_finishes
from cutplan.setting_out.joints import Closing, Joint
from cutplan.setting_out.motifs import CutMotif, Edge, motifs_cut
from cutplan.setting_out.notices import Notice, NoticeKind, notices_of
from cutplan.setting_out.pieces import Piece, PieceKind
from cutplan.setting_out.start import Puts, Start, Way
from cutplan.setting_out.strips import Panel, Turn
from cutplan.setting_out.whole import SettingOut, set_out

__all__ = [
    "Closing",
    "Column",
    "CutMotif",
    "Edge",
    "Finish",
    "FinishAt",
    "FinishOver",
    "Joint",
    "Notice",
    "NoticeKind",
    "Panel",
    "Piece",
    "PieceCutOut",
    "PieceKind",
    "Puts",
    "Reveal",
    "SettingOut",
    "Side",
    "Start",
    "Turn",
    "Way",
    "motifs_cut",
    "notices_of",
    "sensible_finishes",
    "set_out",
]
