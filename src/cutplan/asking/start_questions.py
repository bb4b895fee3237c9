"""Asking about the start and the finish, with a first setting out to see that they can be."""

from __future__ import annotations

from typing import Any, Final

import cutplan.asking.questions as q
from cutplan.asking.answers import AnswerError, AnswerKind, choice
from cutplan.asking.interview import Said
from cutplan.asking.paper_questions import beyond_repeat
from cutplan.asking.questions import Question
from cutplan.asking.surveyor import Surveyor
from cutplan.lengths import ZERO, Length, read_length
from cutplan.paper.stock import Paper
from cutplan.room.walls import Room, Wall
from cutplan.scenario.survey.opening_tables import Placed
from cutplan.scenario.toml_text import length_value, quoted
from cutplan.setting_out import FinishOver, Puts, Start, Way, set_out
from cutplan.setting_out.start import centred_set

_MIDDLE: Final = "middle"
_SET: Final = "set"


def ask_start(surveyor: Surveyor, room: Room, paper: Paper) -> None:
    """Ask where hanging begins and where it ends, until the room can be set out like that."""
    if paper.edge_trim is not None:
        return
    surveyor.interview.section("The start")
    lines, finish = surveyor.interview.until_it_holds(lambda: _ask_both(surveyor, room, paper))
    surveyor.notes.table("[start]")
    for question, said, key in lines:
        surveyor.note(question, said, key)
    if finish is not None:
        surveyor.notes.table("[finish]")
        surveyor.notes.key("wall", quoted(room.walls[finish.wall].name))
        over = room.walls[finish.wall].openings[finish.opening].name
        surveyor.notes.key("over", quoted(over), q.FINISH.remark)


def _ask_both(
    surveyor: Surveyor, room: Room, paper: Paper
) -> tuple[list[tuple[Question[Any], Said[Any], str]], FinishOver | None]:
    ask = surveyor.interview.ask
    lines: list[tuple[Question[Any], Said[Any], str]] = []
    index = 0
    if len(room.walls) > 1:
        names = [wall.name for wall in room.walls]
        name = ask(q.START_WALL, names[0], kind=choice(names))
        index = names.index(name.value)
        lines.append((q.START_WALL, name, ""))
    if paper.sheets is not None and len(room.walls) == 1 and ask(q.CENTRED).value:
        middle = room.walls[index].width / 2
        lines += [(q.START_AT, Said(_MIDDLE, middle), ""), (q.PUTS, Said(_SET, _SET), "")]
        drop_said = _ask_drop(surveyor, paper)
        lines.append((q.MOTIF_DROP, drop_said, ""))
        start, way_round = centred_set(paper, room.walls[index], index, drop_said.value)
        set_out(room, paper, start, way_round)
        return lines, None
    at, named = _ask_point(surveyor, room.walls[index])
    lines.append((q.START_AT, at, "middle_of" if named else ""))
    words = [puts.value for puts in Puts if puts is not Puts.MOTIF or paper.motif_from_left is not None]
    usual = Puts.MOTIF if Puts.MOTIF.value in words else Puts.MIDDLE
    puts = ask(q.PUTS, usual.value, kind=choice(words))
    lines.append((q.PUTS, puts, ""))
    drop = ZERO
    if not paper.pattern.is_free:
        drop_said = _ask_drop(surveyor, paper)
        lines.append((q.MOTIF_DROP, drop_said, ""))
        drop = drop_said.value
    way = ask(q.WAY)
    lines.append((q.WAY, way, ""))
    finish = _ask_finish(surveyor, room, Way(way.value))
    set_out(room, paper, Start(index, at.value, Puts(puts.value), drop), Way(way.value), finish)
    return lines, finish


def _ask_point(surveyor: Surveyor, wall: Wall) -> tuple[Said[Length], bool]:
    """Return the point to centre on, and whether it is named by what it is the middle of."""
    standing: tuple[Placed, ...] = (*wall.openings, *wall.fittings)
    things = {thing.name: thing for thing in standing}

    def read(text: str, units: str) -> Length:
        if text == _MIDDLE:
            return wall.width / 2
        if text in things:
            return (things[text].left + things[text].right) / 2
        return read_length(text, units)

    why = f"{q.START_AT.why} Here: {', '.join(things)}." if things else q.START_AT.why
    at = surveyor.interview.ask(q.START_AT, kind=AnswerKind("point", read), why=why)
    return at, at.text in things and at.text != _MIDDLE


def _ask_drop(surveyor: Surveyor, paper: Paper) -> Said[Length]:
    usual = length_value(paper.motif_above % paper.pattern.repeat, surveyor.units).strip('"')
    why = q.MOTIF_DROP.why + (f" At {usual} it just stays whole." if paper.motif_above else "")
    return surveyor.interview.ask(
        q.MOTIF_DROP, usual, why=why, check=lambda length: beyond_repeat(paper.pattern, length)
    )


def _ask_finish(surveyor: Surveyor, room: Room, way: Way) -> FinishOver | None:
    if not room.closes or way.is_one_way:
        return None
    over = {
        opening.name: FinishOver(index, number)
        for index, wall in enumerate(room.walls)
        for number, opening in enumerate(wall.openings)
    }

    def read(text: str, _units: str) -> str | None:
        if text and text not in over:
            raise AnswerError(f"{text!r} is none of the openings: {', '.join(over) or 'there are none'}")
        return text or None

    finish = surveyor.interview.ask(q.FINISH, kind=AnswerKind("name", read)).value
    return None if finish is None else over[finish]
