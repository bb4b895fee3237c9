"""A lining as a part of a job: its lengths as an ordinary list of drops in a paper without a match."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from msgspec.structs import replace

from cutplan.job.drops import Drop, beside
from cutplan.job.job import Job
from cutplan.lengths import ZERO, exact_mm, show
from cutplan.lining.clear_joints import joints_of_lining, joints_of_paper
from cutplan.lining.courses import LiningPiece, LiningSetOut, set_out_lining
from cutplan.paper.pattern import FREE
from cutplan.paper.stock import Lot, Paper
from cutplan.parts.part import Json, Part, PartedJob, PartKind
from cutplan.room.walls import Room
from cutplan.scenario.cutting_table import HABIT_KEYS, of_walls
from cutplan.scenario.lining_table import AskedLining
from cutplan.scenario.read import parsed_scenario
from cutplan.scenario.tables import Reading, Table
from cutplan.scenario.usual import ALONG_WALLS
from cutplan.scenario.write import drop_entry, plain, present, written

DAMP: Final = (
    "cure the damp first; what keeps it back is hung with its own adhesive, and so is whatever hangs over it there"
)
_OF_THE_ROLL: Final = ("name", "roll_length", "roll_width", "price")


def lining_part(asked: AskedLining, job: PartedJob, text: str) -> Part:
    """Return a lining of a job's room as a part, set out clear of the joints of the papers that hang over it.

    ``text`` is the whole file's.
    """
    room = job.room
    over = [found for part in job.parts for _, found in part.set_out]
    found = set_out_lining(room, asked.lining, joints_of_paper(over))
    table = asked.table
    pieces = lining_job(found).drops
    whole = {
        **of_walls(asked.shared, {drop.wall for drop in pieces}),
        **{key: table.values[key] for key in HABIT_KEYS if key in table.values},
        "paper": {**{key: table.values.get(key) for key in _OF_THE_ROLL}, "name": asked.lining.name, "match": "free"},
        "trim": {"top": written(asked.lining.end), "bottom": written(asked.lining.end)},
        "roll": table.values.get("roll"),
        "drop": [plain(drop_entry(drop, is_free=True)) for drop in pieces],
    }
    moved: dict[object, Table] = {key: table for key in ("paper", "roll", *HABIT_KEYS) if key in table.values}
    reading = Reading(moved=moved, usual={"height": ALONG_WALLS})
    scenario = parsed_scenario(present(whole), text, f"{job.source}/{asked.part}", reading)
    damp = (DAMP, f"what it is hung with is {asked.adhesive}") if asked.adhesive is not None else ()
    notes = (*scenario.notes, *damp, *clash_words(found, scenario.units))
    told = {
        "lengths": [_length(piece, room) for piece in found.pieces],
        "clashes": [
            {"wall": room.walls[clash.wall].name, "at": exact_mm(clash.at), "paper_at": exact_mm(clash.paper_at)}
            for clash in found.clashes
        ],
    }
    return Part(asked.part, PartKind.LINING, replace(scenario, notes=notes, lining=found), told, asked)


def hung_over(part: Part, under: Sequence[Part]) -> Part:
    """Return a part with a note of what it hangs over, and of how long that dries."""
    if not under:
        return part
    dries = max(lining.asked.dries for lining in under if lining.asked is not None)
    note = f"it hangs over a lining: begin when that is dry, {dries} hours after the last length or as its label says"
    found = [lining.lining for lining in under if lining.lining is not None]
    jointed = tuple(each for each in found if any(joints_of_lining(each.room, each.pieces)))
    scenario = replace(part.scenario, notes=(*part.scenario.notes, note), under=jointed)
    return replace(part, scenario=scenario, sharing=tuple(hung_over(each, under) for each in part.sharing))


def clash_words(found: LiningSetOut, units: str) -> Iterator[str]:
    """Yield what is to be said of each joint that comes near one of the paper's."""
    for clash in found.clashes:
        wall = found.room.walls[clash.wall].name
        near = show(abs(clash.at - clash.paper_at), units)
        yield (
            f"the lining has a joint {show(clash.at, units)} from the left of {wall}, {near} from one of the paper's: "
            "fill and rub it down well, or move the paper's start (cutplan compare)"
        )


def _length(piece: LiningPiece, room: Room) -> Json:
    """Return where one length hangs: along its walls and above the floor line, or in which reveal."""
    if piece.reveal is not None:
        wall = room.walls[piece.reveal.wall].name
        where = {"wall": wall, "opening": piece.reveal.opening, "side": piece.reveal.side}
        return {"drop": piece.label, "course": piece.course, "reveal": where}
    panels = [
        {
            "wall": room.walls[cell.face.wall].name,
            "from": exact_mm(cell.left),
            "to": exact_mm(cell.right),
            "foot": exact_mm(cell.foot),
            "top": exact_mm(cell.top),
        }
        for cell in piece.cells
    ]
    return {"drop": piece.label, "course": piece.course, "panels": panels}


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
