"""The job sheet's content: everything that its page says, in the order in which it is wanted."""

from __future__ import annotations

from dataclasses import dataclass, replace
from hashlib import sha256
from typing import TYPE_CHECKING

from cutplan.lengths import Rounding, show
from cutplan.render.drawing.lettering import ISOLATED, isolated, isolated_piece
from cutplan.render.drawing.roll_picture import roll_pictures
from cutplan.render.drawing.table_picture import table_pictures
from cutplan.render.drawing.wall_picture import wall_pictures
from cutplan.render.pages.timetable_page import act_in_words
from cutplan.render.sheet.html_page import filled
from cutplan.render.sheet.paper_words import first_checks, paper_facts, shopping
from cutplan.render.sheet.step_cards import cards_of
from cutplan.render.words.answer_words import answer
from cutplan.render.words.caution_words import KNIFE
from cutplan.render.words.names import listed_with_and, rolls_named
from cutplan.render.words.order_words import order_in_words
from cutplan.render.words.readings import between, left_over, place, tape_of, to_cut
from cutplan.setting_out import NoticeKind, PieceKind, notices_of
from cutplan.table.sequence import CutDrop
from cutplan.table.timetable import DAY, clock, timetable_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from cutplan.render.drawing.picture import Picture
    from cutplan.render.sheet.step_cards import Card
    from cutplan.scenario.read import Scenario
    from cutplan.setting_out import Notice, Panel, Piece, SettingOut
    from cutplan.table.sequence import Sequence

_LADDER = "Ladders only for short work low down; a platform for long lengths. Local rules come first."


@dataclass(frozen=True, slots=True)
class Rows:
    """A table: its headings, its rows of texts, and which columns, from 0, hold readings that must not be broken."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    measures: frozenset[int]


@dataclass(frozen=True, slots=True)
class Drawn:
    """A picture with its words: a heading, a sentence, and the same facts as a table."""

    picture: Picture
    heading: str
    facts: str
    table: Rows


def job_sheet(
    scenario: Scenario, sequence: Sequence, units: str | None = None, *, head: list[str] | None = None
) -> str:
    """Return the job sheet of a plan as one HTML file.

    Parameters
    ----------
    scenario
        What was planned for.
    sequence
        Of its plan.
    units
        ``mm``, ``cm``, ``m``, or ``in`` for feet and inches; None for the scenario's own.
    head
        What the sheet begins with; None for the plan's own answer.

    """
    units = units or scenario.units
    setting_out = scenario.setting_out
    cards = cards_of(sequence, units)
    plan = sequence.plan
    return filled(
        "job.html",
        {
            "title": f"Job sheet: {isolated(plan.job.paper.name)}",
            "paper": isolated(plan.job.paper.name),
            "facts": paper_facts(plan.job.paper, units),
            "rolls_needed": plan.rolls_needed,
            "answer": [line.replace(" (see --json)", "") for line in head or answer(plan)],
            "checks": list(first_checks(sequence, setting_out, units)),
            "cautions": list(_cautions(setting_out, units)),
            "shopping": shopping(sequence, units),
            "remarks": [*map(isolated, scenario.notes), *_remarks(setting_out, units)],
            "walls": _walls(setting_out, units),
            "rolls": list(_rolls(sequence, units)),
            "table": table_pictures(sequence),
            "order": None if plan.order is None else order_in_words(plan.order),
            "timetable": _timetable(scenario, sequence),
            "steps": cards,
            "pieces": _pieces(sequence, setting_out, units),
            "kept": _kept(sequence, setting_out, units),
            "is_at_least": any(left.is_at_least for left in sequence.left),
            "tape": tape_of(units),
            "sheet": _mark_of(cards),
        },
    )


def _mark_of(cards: list[Card]) -> str:
    """Return what tells the ticks of this sheet from those of any other."""
    said = "\n".join(f"{card.what} {card.figure} {card.more}" for card in cards)
    return sha256(said.encode()).hexdigest()[:16]


def _cautions(setting_out: SettingOut | None, units: str) -> Iterator[str]:
    if setting_out is not None:
        for notice in notices_of(setting_out):
            if notice.kind is NoticeKind.SAFETY:
                yield _said(notice, units)
    yield KNIFE
    yield _LADDER


def _remarks(setting_out: SettingOut | None, units: str) -> Iterator[str]:
    if setting_out is not None:
        for notice in notices_of(setting_out):
            if notice.kind is not NoticeKind.SAFETY:
                yield _said(notice, units)


def _said(notice: Notice, units: str) -> str:
    """Return a notice as a sentence; the names in it keep their own direction to themselves."""
    values = tuple(isolated(value) if isinstance(value, str) else value for value in notice.what.values)
    text = replace(notice.what, values=values).read(units)
    return f"{text[:1].upper()}{text[1:]}."


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


def _walls(setting_out: SettingOut | None, units: str) -> list[Drawn]:
    if setting_out is None:
        return []
    walls: list[Drawn] = []
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    shown: set[int] = set()
    pictures = wall_pictures(setting_out, units)
    for part in pictures:
        rows = tuple(_wall_rows(setting_out, set(part.walls) - shown, units))
        shown.update(part.walls)
        heads = ("Drop", "From the left", "What", "Wall")
        if len({row[-1] for row in rows}) == 1:
            heads, rows = heads[:-1], tuple(row[:-1] for row in rows)
        table = Rows(heads, rows, frozenset({1}))
        walls.append(Drawn(part.picture, part.picture.title, "Where the drops hang", table))
    return walls


def _wall_rows(setting_out: SettingOut, walls: set[int], units: str) -> Iterator[tuple[str, ...]]:
    hung = [(panel, piece) for piece in setting_out.hung for panel in piece.panels if panel.wall in walls]
    for panel, piece in sorted(hung, key=lambda pair: (pair[0].wall, pair[0].left, pair[1].number)):
        wall = isolated(setting_out.room.walls[panel.wall].name)
        yield isolated(piece.label), between(panel.left, panel.right, units), _what(piece, panel), wall


def _what(piece: Piece, panel: Panel) -> str:
    what = "full" if piece.kind is PieceKind.FULL else _where(piece)
    return f"{what}, slit off" if panel.part else what


def _where(piece: Piece) -> str:
    where = "under the head of" if piece.kind is PieceKind.PATCH else piece.kind.value
    return f"{where} {listed_with_and([isolated(name) for name in piece.openings])}"


# Rolls


def _rolls(sequence: Sequence, units: str) -> Iterator[Drawn]:
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
        yield Drawn(picture, rolls_named(left, ISOLATED), f"{', '.join(facts)}.", table)


# Pieces, and what is left


def _pieces(sequence: Sequence, setting_out: SettingOut | None, units: str) -> Rows:
    """Return what is written on the back of each piece, drop by drop in hanging order."""
    job = sequence.plan.job
    marks: dict[str, list[str]] = {drop.label: [] for drop in job.drops}
    for layout, pieces in zip(sequence.plan.layouts, sequence.pieces, strict=True):
        for cut, piece in zip(layout.cuts, pieces, strict=True):
            marks[cut.drop].append(piece)
    hung = {} if setting_out is None else {piece.label: piece for piece in setting_out.hung}
    heads = ["On its back", "Cut"]
    heads += [] if job.paper.pattern.is_free else ["Motif below top"]
    heads += ["Hangs"] if hung else []
    turned = {step.piece for step in sequence.steps if isinstance(step, CutDrop) and step.is_turned}
    rows = []
    for drop in job.drops:
        row = [_marks(marks[drop.label], drop.count, turned), to_cut(drop.cut_length, units)]
        if not job.paper.pattern.is_free:
            row.append(place(job.paper.pattern.within_repeat(drop.motif_below_cut), units))
        if hung:
            row.append(_hangs(hung[drop.label], setting_out))
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


def _hangs(piece: Piece, setting_out: SettingOut | None) -> str:
    if setting_out is None:
        return ""
    walls = dict.fromkeys(panel.wall for panel in piece.panels)
    names = [isolated(setting_out.room.walls[wall].name) for wall in walls]
    where = "" if piece.kind is PieceKind.FULL else f", {_where(piece)}"
    return f"{listed_with_and(names)}{where}; col {piece.column}".replace("col -", "col −")


def _kept(sequence: Sequence, setting_out: SettingOut | None, units: str) -> Rows:
    """Return what is left: ends of rolls, and what falls out at openings."""
    is_free = sequence.plan.job.paper.pattern.is_free
    rows = []
    for left in sequence.left:
        for rest in left.rests:
            if not rest.length and len(left.rests) > 1:
                continue
            name = rolls_named(left, ISOLATED) + (f", stretch {rest.stretch}" if len(left.rests) > 1 else "")
            motif = "unknown" if rest.first_motif is None else place(rest.first_motif, units)
            rows.append((f"End of {name}", left_over(rest.length, units), "full", *(() if is_free else (motif,))))
    for cut_out in () if setting_out is None else setting_out.cut_outs:
        width = between(cut_out.paper_left, cut_out.paper_right, units)
        name = f"From drop {cut_out.piece}, at {isolated(cut_out.opening)}"
        motif = place(cut_out.first_motif, units)
        rows.append((name, left_over(cut_out.length, units), width, *(() if is_free else (motif,))))
    heads = ("Piece", "Length", "Of the width", *(() if is_free else ("Motif below top",)))
    return Rows(heads, tuple(rows), frozenset({1, 2, 3}))
