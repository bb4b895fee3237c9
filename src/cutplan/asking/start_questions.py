"""Asking about the start and the finish, with a first setting out to see that they can be."""

from __future__ import annotations

from collections.abc import Collection
from typing import Final

import cutplan.asking.questions as q
from cutplan.asking.answers import AnswerError, AnswerKind, choice
from cutplan.asking.paper_questions import within_repeat
from cutplan.asking.surveyor import Surveyor
from cutplan.lengths import ZERO, Length, read_length
from cutplan.paper.stock import Paper
from cutplan.room.walls import Room, Wall
from cutplan.scenario.paper_table import read_paper
from cutplan.scenario.survey.room_tables import read_setting_out
from cutplan.scenario.tables import Table
from cutplan.scenario.toml_text import length_value, quoted
from cutplan.setting_out import Puts, SettingOut, Way

_MIDDLE: Final = "middle"
_SET: Final = "set"


def ask_start(surveyor: Surveyor, room: Room, paper: Paper) -> None:
    """Ask where hanging begins and where it ends, until the room can be set out like that."""
    if paper.edge_trim is not None:
        return
    surveyor.interview.section("The start")
    surveyor.settle(lambda: _ask_both(surveyor, room, paper), _set_out, room)


def _set_out(root: Table) -> SettingOut | None:
    label = read_paper(root)
    return read_setting_out(root, label.paper, label.pattern)


def _ask_both(surveyor: Surveyor, room: Room, paper: Paper) -> None:
    surveyor.notes.table("[start]")
    wall = room.walls[0]
    if len(room.walls) > 1:
        walls = {each.name: each for each in room.walls}
        wall = walls[surveyor.ask(q.START_WALL, wall.name, kind=choice(walls)).value]
    elif paper.sheets is not None and surveyor.interview.ask(q.CENTRED).value:
        surveyor.notes.key("at", quoted(_MIDDLE), q.START_AT.remark)
        surveyor.notes.key("puts", quoted(_SET), q.PUTS.remark)
        _ask_drop(surveyor, paper)
        return
    _ask_point(surveyor, wall)
    words = [puts.value for puts in Puts if puts is not Puts.MOTIF or paper.motif_from_left is not None]
    usual = Puts.MOTIF if Puts.MOTIF.value in words else Puts.MIDDLE
    surveyor.ask(q.PUTS, usual.value, kind=choice(words))
    if not paper.pattern.is_free:
        _ask_drop(surveyor, paper)
    way = Way(surveyor.ask(q.WAY).value)
    if room.closes and not way.is_one_way:
        _ask_finish(surveyor, room)


def _ask_point(surveyor: Surveyor, wall: Wall) -> None:
    """Ask for the point to centre on: its place, or what it is the middle of."""
    things = [thing.name for thing in wall.things]

    def read(text: str, units: str) -> Length:
        return ZERO if text == _MIDDLE or text in things else read_length(text, units)

    why = f"{q.START_AT.why} Here: {', '.join(things)}." if things else q.START_AT.why
    at = surveyor.interview.ask(q.START_AT, kind=AnswerKind("point", read), why=why)
    surveyor.note(q.START_AT, at, "middle_of" if at.text in things and at.text != _MIDDLE else "")


def _ask_drop(surveyor: Surveyor, paper: Paper) -> None:
    usual = length_value(paper.motif_above % paper.pattern.repeat, surveyor.units).strip('"')
    why = q.MOTIF_DROP.why + (f" At {usual} it just stays whole." if paper.motif_above else "")
    surveyor.note(
        q.MOTIF_DROP,
        surveyor.interview.ask(q.MOTIF_DROP, usual, why=why, check=within_repeat(surveyor, paper.pattern)),
    )


def _ask_finish(surveyor: Surveyor, room: Room) -> None:
    over = {opening.name: wall.name for wall in room.walls for opening in wall.openings}
    finish = surveyor.interview.ask(q.FINISH, kind=one_of_openings(over)).value
    if finish is not None:
        surveyor.notes.table("[finish]")
        surveyor.notes.key("wall", quoted(over[finish]))
        surveyor.notes.key("over", quoted(finish), q.FINISH.remark)


def one_of_openings(names: Collection[str]) -> AnswerKind[str | None]:
    """Return the name of one of a room's openings, or nothing."""

    def read(text: str, _units: str) -> str | None:
        if text and text not in names:
            raise AnswerError(f"{text!r} is none of the openings: {', '.join(names) or 'there are none'}")
        return text or None

    return AnswerKind("name", read)
