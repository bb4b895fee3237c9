"""A lining as an ordinary job in a paper without a match: its lengths are the drops, and its roll is the paper."""

from __future__ import annotations

from msgspec.structs import replace

from cutplan.job.drops import Drop, beside
from cutplan.job.job import Job
from cutplan.lengths import ZERO
from cutplan.lining.courses import LiningPiece, LiningSetOut
from cutplan.paper.pattern import FREE
from cutplan.paper.stock import Lot, Paper


def lining_job(set_out: LiningSetOut) -> Job:
    """Return the lengths of a lining as drops, in hanging order, and its rolls bought as needed."""
    lining = set_out.lining
    paper = Paper(lining.name, FREE, lining.roll_length, lining.roll_width, lining.price)
    drops = tuple(_drop(set_out, piece) for piece in set_out.pieces)
    return Job(paper, (Lot("roll", lining.roll_length, count=None, price=lining.price),), drops)


def _drop(set_out: LiningSetOut, piece: LiningPiece) -> Drop:
    """Return one length as a drop; what is ripped off it is a cut-out, as long as it is cut."""
    lining = set_out.lining
    wall = set_out.room.walls[piece.wall].name
    drop = Drop(piece.label, piece.along, ZERO, lining.end, lining.end, wall=wall)
    if piece.left or piece.right < lining.roll_width:
        drop = replace(drop, left=piece.left, right=piece.right)
    return replace(drop, cut_outs=tuple(beside(drop, lining.roll_width, FREE)))
