"""Questions about the start and the finish, and a first setting out to see that they can be."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from cutplan.asking.answers import length_in, one_of, written
from cutplan.asking.interview import AnswerError
from cutplan.asking.paper_questions import within_repeat
from cutplan.lengths import ZERO
from cutplan.scenario.toml_text import length_value, quoted
from cutplan.setting_out import FinishOver, Puts, Start, Way, set_out

if TYPE_CHECKING:
    from collections.abc import Callable

    from cutplan.asking.interview import Interview, Said
    from cutplan.asking.notes import Notes
    from cutplan.lengths import Length
    from cutplan.paper.stock import Paper
    from cutplan.room.walls import Fitting, Opening, Room, Wall

_MIDDLE: Final = "middle"


def ask_start(interview: Interview, notes: Notes, units: str, room: Room, paper: Paper) -> None:
    """Ask where hanging begins and where it ends, until the room can be set out like that."""
    interview.section("The start")
    lines = interview.until_it_holds(lambda: _ask_both(interview, units, room, paper), units)
    for table, keys in lines:
        notes.table(table)
        for key, value, comment in keys:
            notes.key(key, value, comment)


_Keys = list[tuple[str, str, str]]


def _ask_both(interview: Interview, units: str, room: Room, paper: Paper) -> list[tuple[str, _Keys]]:
    wall, keys = _ask_wall(interview, room)
    at = _ask_point(interview, units, room.walls[wall])
    keys.append((*_point_key(at, room.walls[wall]), "the point to centre on"))
    puts = _ask_puts(interview, paper)
    keys.append(("puts", quoted(puts.value), "what lies on that point"))
    drop = _ask_drop(interview, units, paper)
    if drop is not None:
        keys.append(("motif_drop", written(drop.text), "from the level line down to the first motif"))
    way = _ask_way(interview)
    keys.append(("way", quoted(way.value), "which way round"))
    start = Start(wall, at.value, puts, ZERO if drop is None else drop.value)
    finish, named = _ask_finish(interview, room, way)
    set_out(room, paper, start, way, finish)
    lines = [("[start]", keys)]
    if finish is not None:
        over = [("wall", quoted(room.walls[finish.wall].name), ""), ("over", quoted(named), "where the room closes")]
        lines.append(("[finish]", over))
    return lines


def _ask_wall(interview: Interview, room: Room) -> tuple[int, _Keys]:
    names = [wall.name for wall in room.walls]
    if len(names) == 1:
        return 0, []
    why = "The focal one, that the eye meets first."
    name = interview.ask("On which wall does hanging begin?", why, one_of(names), names[0]).value
    return names.index(name), [("wall", quoted(name), "the focal wall")]


def _ask_point(interview: Interview, units: str, wall: Wall) -> Said[Length]:
    things = _things(wall)
    length = length_in(units, zero=True)

    def parse(text: str) -> Length:
        if text == _MIDDLE:
            return wall.width / 2
        if text in things:
            return (things[text].left + things[text].right) / 2
        return length(text)

    named = f", the name of what it is the middle of ({', '.join(things)})" if things else ""
    why = f"Its distance from the wall's left, middle for the wall's own middle{named}."
    return interview.ask("At which point?", why, parse, _MIDDLE)


def _things(wall: Wall) -> dict[str, Opening | Fitting]:
    things: tuple[Opening | Fitting, ...] = (*wall.openings, *wall.fittings)
    return {thing.name: thing for thing in things}


def _point_key(at: Said[Length], wall: Wall) -> tuple[str, str]:
    if at.text in _things(wall) and at.text != _MIDDLE:
        return "middle_of", quoted(at.text)
    return "at", written(at.text)


def _ask_puts(interview: Interview, paper: Paper) -> Puts:
    words = [puts.value for puts in Puts if puts is not Puts.MOTIF or paper.motif_from_left is not None]
    usual = Puts.MIDDLE.value if Puts.MOTIF.value not in words else Puts.MOTIF.value
    why = "With a printed motif centre the motif; else try which of the others leaves wider strips at the ends."
    if Puts.MOTIF.value not in words:
        why = "Whichever leaves wider strips at the ends; the motif cannot be put, for it was not measured."
    return Puts(interview.ask(f"What is put there: {', '.join(words)}?", why, one_of(words), usual).value)


def _ask_drop(interview: Interview, units: str, paper: Paper) -> Said[Length] | None:
    pattern = paper.pattern
    if pattern.is_free:
        return None

    def parse(text: str) -> Length:
        return within_repeat(pattern, length_in(units, zero=True)(text))

    usual = length_value(paper.motif_above % pattern.repeat, units).strip('"')
    why = (
        "From the level line, normally the ceiling, down to its datum; at the least given, the motif just stays whole."
    )
    if not paper.motif_above:
        why = "From the level line, normally the ceiling, down to its datum; keep a whole motif below the ceiling."
    return interview.ask("How far down does the first motif hang?", why, parse, usual)


def _ask_way(interview: Interview) -> Way:
    ways = [way.value for way in Way]
    why = "The strip after the first is hung on that side; one way only if the first strip begins at the run's end."

    def parse(text: str) -> Way:
        if text not in ways:
            raise AnswerError(f"{text!r} is none of {', '.join(ways)}")
        return Way(text)

    return interview.ask(f"Which way round: {', '.join(ways)}?", why, parse, ways[0]).value


def _ask_finish(interview: Interview, room: Room, way: Way) -> tuple[FinishOver | None, str]:
    if not room.closes or way.is_one_way:
        return None, ""
    over = {
        opening.name: FinishOver(index, number)
        for index, wall in enumerate(room.walls)
        for number, opening in enumerate(wall.openings)
    }
    why = "The last joint never matches. Left empty: the least to see over a door or window, or the corner by a door."
    finish = interview.ask("Over which opening does it close?", why, _finish_among(over), "")
    return finish.value, finish.text


def _finish_among(over: dict[str, FinishOver]) -> Callable[[str], FinishOver | None]:
    def parse(text: str) -> FinishOver | None:
        if not text:
            return None
        if text not in over:
            raise AnswerError(f"{text!r} is none of the openings: {', '.join(over) or 'there are none'}")
        return over[text]

    return parse
