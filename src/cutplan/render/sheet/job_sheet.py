"""The job sheet's content: everything that its page says, in the order in which it is wanted."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from collections.abc import Sequence as Listed
from datetime import datetime
from hashlib import sha256
from typing import TypeAlias

from msgspec import Struct
from msgspec.structs import replace

from cutplan.job.job import Job
from cutplan.lengths import Rounding, show
from cutplan.lining.courses import LiningSetOut
from cutplan.parts.address import job_name
from cutplan.photograph.print_of import Print
from cutplan.progress.record import fingerprint
from cutplan.render.drawing.lettering import ISOLATED, isolated, isolated_piece
from cutplan.render.drawing.lining_picture import lining_pictures
from cutplan.render.drawing.picture import Picture
from cutplan.render.drawing.roll_picture import roll_pictures
from cutplan.render.drawing.table_picture import table_pictures
from cutplan.render.drawing.wall_picture import WallPicture, wall_pictures
from cutplan.render.pages.left_over_page import binned_words, kept_lines
from cutplan.render.pages.lining_page import how_they_meet, lining_lines
from cutplan.render.pages.timetable_page import act_in_words
from cutplan.render.pages.walls_page import what_hangs
from cutplan.render.sheet.html_page import filled
from cutplan.render.sheet.paper_words import first_checks, shopping
from cutplan.render.sheet.step_cards import Marks, RollCards, cards_of
from cutplan.render.words.answer_words import answer, order_in_words, order_line
from cutplan.render.words.caution_words import KNIFE
from cutplan.render.words.names import NO_BREAK, capital, listed_with_and, rolls_named
from cutplan.render.words.readings import between, on_tape, place, tape_of, to_cut
from cutplan.scenario.read import Scenario
from cutplan.setting_out import Notice, NoticeKind, Piece, PieceKind, SettingOut, notices_of
from cutplan.table.left_over import Leavings, leavings_of
from cutplan.table.steps import CutDrop, Sequence
from cutplan.table.timetable import DAY, PastedOn, clock, timetable_of
from cutplan.wording import counted, signed

Rooms: TypeAlias = "Listed[tuple[str, SettingOut]]"
"""Rooms set out, each with the name of its band; of one room alone, no name."""

_LADDER = "Ladders only for short work low down; a platform for long lengths. Local rules come first."


class Rows(Struct, frozen=True):
    """A table: its headings, its rows of texts, and which columns, from 0, hold readings that must not be broken."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    measures: frozenset[int]


class PictureInWords(Struct, frozen=True):
    """A picture with its words: a heading, a sentence, and the same facts as a table."""

    picture: Picture
    heading: str
    facts: str
    table: Rows


class RollBlock(Struct, frozen=True):
    """A roll's picture beside its own steps; ``is_to_measure`` where its print is still to be measured."""

    drawn: PictureInWords
    cards: RollCards
    is_to_measure: bool


def job_sheet(
    scenario: Scenario,
    sequence: Sequence,
    units: str | None = None,
    *,
    head: list[str] | None = None,
    made: datetime | None = None,
    marks: Marks | None = None,
    has_listing: bool = False,
    printed: Print | None = None,
    overview: tuple[WallPicture, ...] = (),
    beside: Iterable[str] = (),
) -> str:
    """Return the job sheet of a plan as one HTML file.

    Parameters
    ----------
    units
        ``mm``, ``cm``, ``m``, or ``in`` for feet and inches; None for the scenario's own.
    head
        What the sheet begins with; None for the plan's own answer.
    made
        When, to be said on each page.
    marks
        What the record says of the work so far.
    has_listing
        True to list once more, in tables, what pictures and steps say: places, cuts, pieces.
    printed
        The print itself, from a photograph of the paper; None for drawn leaves.
    overview
        Of a job of several parts, pictures of the whole walls.
    beside
        What is bought beside the paper, a line for each material.

    """
    units = units or scenario.units
    setting_out = scenario.setting_out
    rooms = scenario.bands if setting_out is None else (("", setting_out),)
    plan = sequence.plan
    marks = marks or Marks()
    leavings = leavings_of(plan)
    rolls = list(_rolls(sequence, rooms, units, marks, leavings))
    ordered, said = scenario.ordered, answer(plan, scenario.ordered)
    bought = shopping(sequence, units)
    if ordered is not None:
        # What to order stands among what to buy.
        bought, said = [isolated(order_line(plan.job, ordered))], said[1:]
    job = isolated(job_name(scenario.source))
    when = "" if made is None else f"{made:%d.%m.%Y, %H:%M}".removeprefix("0")
    return filled(
        "job.html",
        {
            "title": f"Job sheet: {isolated(plan.job.paper.name)}",
            "job": job,
            "made": when,
            "foot": " · ".join(filter(None, (job, isolated(plan.job.paper.name), when))),
            "state": marks.said,
            "paper": isolated(plan.job.paper.name),
            "rolls_needed": plan.rolls_needed,
            "paper_in": "roll" if plan.job.paper.sheets is None else "sheet",
            "answer": [line.replace(" (see --json)", "") for line in head or said],
            "checks": list(first_checks(sequence, setting_out, units)),
            "cautions": [*_noticed(rooms, units, is_safety=True), KNIFE, _LADDER],
            "shopping": [*bought, *map(isolated, beside)],
            "remarks": [
                *map(isolated, (*scenario.notes, *(printed.doubts if printed else ()))),
                *_noticed(rooms, units, is_safety=False),
            ],
            "soak": _soak(scenario),
            "walls": _walls(setting_out, _readings(plan.job, units), units, printed)
            if scenario.lining is None
            else _lined_walls(scenario.lining, units),
            "lining": "" if scenario.lining is None else how_they_meet(scenario.lining, units),
            "overview": overview,
            "rolls": rolls,
            "steps": len(sequence.steps),
            "has_listing": has_listing,
            "is_printed": printed is not None,
            "table": table_pictures(sequence) if has_listing else (),
            "order": None if plan.order is None else order_in_words(plan.order),
            "timetable": _timetable(scenario, sequence),
            "pieces": _pieces(sequence, rooms, units),
            "kept": kept_lines(leavings.kept, units, ISOLATED),
            "binned": binned_words(leavings, units, ISOLATED),
            "is_at_least": any(left.is_at_least for left in sequence.left),
            "has_flaws": any(len(left.lot.stretches) > 1 for left in sequence.left),
            "tape": tape_of(units),
            "sheet": _mark_of(scenario, rolls),
            "job_mark": _digest(scenario.source),
            "made_mark": "" if made is None else made.isoformat(),
        },
    )


def _mark_of(scenario: Scenario, rolls: list[RollBlock]) -> str:
    """Return what tells the ticks of this job and plan from those of any other."""
    said = [f"{card.number} {card.what} {card.figure} {card.more}" for roll in rolls for card in roll.cards.cards]
    return _digest(fingerprint(scenario.document), *said)


def _digest(*said: str) -> str:
    return sha256("\n".join(said).encode()).hexdigest()[:16]


def _soak(scenario: Scenario) -> str:
    """Return how long every length soaks; empty where nobody has said."""
    if scenario.pace is None:
        return ""
    if scenario.pace.pasted is PastedOn.WALL:
        return "paste the wall; lengths do not soak"
    return f"{counted(round(scenario.pace.soak), 'minute')}, every length alike"


def _noticed(rooms: Rooms, units: str, *, is_safety: bool) -> Iterator[str]:
    """Yield what settings out want looked at, of a band after its name."""
    for band, setting_out in rooms:
        for notice in notices_of(setting_out):
            if (notice.kind is NoticeKind.SAFETY) == is_safety:
                yield f"{capital(isolated(band))}: {_said(notice, units)}" if band else _said(notice, units)


def _said(notice: Notice, units: str) -> str:
    """Return a notice as a sentence; the names in it keep their own direction to themselves."""
    values = tuple(isolated(value) if isinstance(value, str) else value for value in notice.what.values)
    return f"{capital(replace(notice.what, values=values).read(units))}."


def _timetable(scenario: Scenario, sequence: Sequence) -> Rows | None:
    """Return when to do what, where the scenario tells the pace of the work."""
    timetable = None if scenario.pace is None else timetable_of(sequence, scenario.pace)
    if timetable is None:
        return None
    rows = []
    for act in timetable.acts:
        day = int(act.begin // DAY)
        time = clock(act.begin) if not day else f"Day {day + 1}, {clock(act.begin)}"
        rows.append((time, act_in_words(replace(act, piece=isolated_piece(act.piece)), timetable.pace)))
    return Rows(("At", "What"), tuple(rows), frozenset({0}))


# Walls


def _readings(job: Job, units: str) -> dict[str, tuple[str, ...]]:
    """Return what stands in each drop on the wall: its cut length, and how far below its cut top the motif lies."""
    found: dict[str, tuple[str, ...]] = {}
    for drop in job.drops:
        cut = on_tape(drop.cut_length, units, Rounding.UP)
        below = job.motif_on(drop)
        motif = "" if below is None else on_tape(below, units)
        found[drop.label] = (f"{cut}, motif {motif}", cut) if motif else (cut,)
    return found


def _walls(
    setting_out: SettingOut | None, readings: dict[str, tuple[str, ...]], units: str, printed: Print | None
) -> list[PictureInWords]:
    if setting_out is None:
        return []
    walls: list[PictureInWords] = []
    shown: set[int] = set()
    for part in wall_pictures(setting_out, units, readings=readings, printed=printed):
        rows = tuple(_wall_rows(setting_out, set(part.walls) - shown, units))
        shown.update(part.walls)
        heads = ("Drop", "From the left", "What", "Wall")
        told = 3 if len({row[-1] for row in rows}) == 1 else 4
        table = Rows(heads[:told], tuple(row[:told] for row in rows), frozenset({1}))
        walls.append(PictureInWords(part.picture, part.picture.title, "Where the drops hang", table))
    return walls


def _lined_walls(found: LiningSetOut, units: str) -> list[PictureInWords]:
    """Return the pictures of a lining, each with a line for every course of its walls."""
    walls = []
    for part in lining_pictures(found, units):
        names = tuple(f"{found.room.walls[wall].name}" for wall in part.walls)
        rows = tuple((isolated(line),) for line in lining_lines(found, units) if line.startswith(names))
        table = Rows(("Course by course",), rows, frozenset())
        walls.append(PictureInWords(part.picture, part.picture.title, "Where the lengths hang", table))
    return walls


def _wall_rows(setting_out: SettingOut, walls: set[int], units: str) -> Iterator[tuple[str, ...]]:
    hung = [(panel, piece) for piece in setting_out.hung for panel in piece.panels if panel.wall in walls]
    for panel, piece in sorted(hung, key=lambda pair: (pair[0].wall, pair[0].left, pair[1].number)):
        wall = isolated(setting_out.room.walls[panel.wall].name)
        what = f"{what_hangs(piece, ISOLATED)}{', slit off' if panel.part else ''}"
        yield isolated(piece.label), between(panel.left, panel.right, units), what, wall


# Rolls


def _rolls(sequence: Sequence, rooms: Rooms, units: str, marks: Marks, leavings: Leavings) -> Iterator[RollBlock]:
    """Yield each roll in the order in which rolls are taken up, with its picture and its own steps."""
    walls = {drop.label: isolated(drop.wall) for drop in sequence.plan.job.drops if drop.wall is not None}
    drawn = {left.roll: roll for left, roll in zip(sequence.left, _drawn_rolls(sequence, units), strict=True)}
    lots = {left.roll: left.lot for left in sequence.left}
    for roll, cards in cards_of(sequence, units, walls | _hung(rooms), marks, leavings).items():
        lot = lots[roll]
        is_sealed = lot.first_motif is None and not lot.is_offcut and not sequence.plan.job.paper.pattern.is_free
        yield RollBlock(drawn[roll], cards, is_sealed)


def _drawn_rolls(sequence: Sequence, units: str) -> Iterator[PictureInWords]:
    plan = sequence.plan
    parts = zip(roll_pictures(sequence, units), plan.layouts, sequence.pieces, sequence.left, strict=True)
    for picture, layout, pieces, left in parts:
        rows = tuple(
            (
                isolated_piece(piece),
                to_cut(plan.job.drop(cut.drop).cut_length, units),
                place(cut.start, units),
                place(cut.end, units),
            )
            for cut, piece in zip(layout.cuts, pieces, strict=True)
        )
        facts = [show(left.lot.length, units)]
        if left.lot.batch is not None:
            facts.append(f"batch {isolated(left.lot.batch)}")
        if left.lot.first_motif is not None and not plan.job.paper.pattern.is_free:
            facts.append(f"first motif {place(left.lot.first_motif, units)} below its end")
        if left.lot.is_foot_first:
            facts.append("comes off foot first")
        if left.count > 1:
            facts.append(f"{left.count} rolls cut like this")
        facts.append(f"slack {show(left.slack, units, Rounding.DOWN)}")
        table = Rows(("Drop", "Cut", "From", "To"), rows, frozenset({1, 2, 3}))
        yield PictureInWords(picture, rolls_named(left, ISOLATED), f"{', '.join(facts)}.", table)


# Pieces, and what is left


def _pieces(sequence: Sequence, rooms: Rooms, units: str) -> Rows:
    """Return what is written on the back of each piece, drop by drop in hanging order."""
    job = sequence.plan.job
    hung = _hung(rooms)
    marks: dict[str, list[str]] = {drop.label: [] for drop in job.drops}
    for layout, pieces in zip(sequence.plan.layouts, sequence.pieces, strict=True):
        for cut, piece in zip(layout.cuts, pieces, strict=True):
            marks[cut.drop].append(piece)
    heads = ["On its back", "Cut"]
    heads += [] if job.paper.pattern.is_free else ["Motif below top"]
    heads += ["Hangs"] if hung else []
    turned = {step.piece for step in sequence.steps if isinstance(step, CutDrop) and step.is_turned}
    rows = []
    for drop in job.drops:
        row = [_marks(marks[drop.label], drop.count, turned), to_cut(drop.cut_length, units)]
        if not job.paper.pattern.is_free:
            below = job.motif_on(drop)
            row.append("" if below is None else place(below, units))
        if hung:
            row.append(hung.get(drop.label, drop.wall or ""))
        rows.append(tuple(row))
    return Rows(tuple(heads), tuple(rows), frozenset({1} if job.paper.pattern.is_free else {1, 2}))


def _marks(pieces: list[str], count: int, turned: set[str]) -> str:
    """Return what is written on pieces alike; the arrow of one that hangs turned points down."""
    first, last = min(pieces, key=_order), max(pieces, key=_order)
    marks = [f"{isolated_piece(piece)} {'↓' if piece in turned else '↑'}" for piece in (first, last)]
    if first != last:
        return f"{marks[0]} to {marks[1]}"
    return marks[0] if count == 1 else f"{marks[0]} on each of {count}"


def _order(piece: str) -> int:
    """Return which of several alike a piece is: 2 for ``door (2 of 3)``."""
    inside = piece.rpartition(" (")[2].partition(" of ")[0]
    return int(inside) if inside.isdecimal() else 0


def _hung(rooms: Rooms) -> dict[str, str]:
    return {piece.label: _hangs(piece, setting_out) for _, setting_out in rooms for piece in setting_out.hung}


def _hangs(piece: Piece, setting_out: SettingOut) -> str:
    walls = dict.fromkeys(panel.wall for panel in piece.panels)
    names = [isolated(setting_out.room.walls[wall].name) for wall in walls]
    where = "" if piece.kind is PieceKind.FULL else f", {what_hangs(piece, ISOLATED)}"
    sheet = setting_out.sheet_of(piece.column)
    column = f"col{NO_BREAK}{signed(piece.column)}" if sheet is None else f"sheet{NO_BREAK}{sheet}"
    return f"{listed_with_and(names)}{where}; {column}"
