"""Asking about the walls: their size, corners, openings and fittings, left to right as one faces them."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from typing import Any, Final, TypeAlias

import cutplan.asking.questions as q
from cutplan.asking.answers import count_from, new_name
from cutplan.asking.interview import Said
from cutplan.asking.questions import Question
from cutplan.asking.surveyor import Surveyor
from cutplan.lengths import ZERO, Length
from cutplan.room.walls import Corner, CornerKind, Fitting, FittingKind, Opening, OpeningKind, Room, Wall
from cutplan.scenario.survey.opening_tables import STANDING, Placed
from cutplan.scenario.toml_text import quoted

_USUAL_HEIGHT: Final = {"mm": "2400", "cm": "240", "m": "2.4", "in": "96", "ft": "8"}
_WHOLE_ROOM: Final = "4"

_Answers: TypeAlias = "list[tuple[Question[Any], Said[Any]]]"


def ask_room(surveyor: Surveyor) -> Room:
    """Return the run of walls."""
    interview = surveyor.interview
    interview.section("The walls, left to right as you face them")
    closes, level_line, built, textured = _ask_shell(surveyor)
    least, usual = (2, _WHOLE_ROOM) if closes else (1, None)
    count = interview.ask(q.WALLS, usual, kind=count_from(least)).value
    walls: list[Wall] = []
    corners: list[Corner] = []
    height = _USUAL_HEIGHT[surveyor.units]
    for number in range(1, count + 1):
        interview.section(f"Wall {number}")
        with interview.part(f"wall {number}"):
            wall, height = _ask_wall(surveyor, number, [wall.name for wall in walls], height)
            if closes or number < count:
                corners.append(_ask_corner(surveyor))
            walls.append(_ask_things(surveyor, wall, walls))
    return Room(tuple(walls), tuple(corners), closes, level_line, built, textured)


def _ask_shell(surveyor: Surveyor) -> tuple[bool, Length | None, int | None, bool]:
    """Return what holds of the room as a whole, and note what is not as it usually is."""
    ask = surveyor.interview.ask
    closes, level, built, textured = ask(q.CLOSES), ask(q.LEVEL_LINE), ask(q.BUILT), ask(q.TEXTURED)
    if any(said.value for said in (closes, level, built, textured)):
        surveyor.notes.table("[room]")
        surveyor.note_all([(q.CLOSES, closes), (q.LEVEL_LINE, level), (q.BUILT, built), (q.TEXTURED, textured)])
    return closes.value, level.value, built.value, textured.value


def _ask_corner(surveyor: Surveyor) -> Corner:
    said = surveyor.interview.ask(q.CORNER)
    if said.value == CornerKind.INTERNAL.value:
        return Corner.internal()
    surveyor.note(q.CORNER, said)
    return Corner.external()


def _ask_wall(surveyor: Surveyor, number: int, taken: Collection[str], usual: str) -> tuple[Wall, str]:
    """Return a bare wall, and the height to offer for the next."""
    ask = surveyor.interview.ask
    name = ask(q.WALL_NAME, f"wall {number}", kind=new_name(taken))

    def ask_edges() -> tuple[Wall, _Answers]:
        width, top, foot = ask(q.WIDTH), ask(q.TOP, usual), ask(q.FOOT)
        return Wall(name.value, width.value, top.value, foot.value), [(q.WIDTH, width), (q.TOP, top), (q.FOOT, foot)]

    wall, said = surveyor.interview.until_it_holds(ask_edges)
    surveyor.notes.table("[[wall]]")
    surveyor.note(q.WALL_NAME, name)
    top = said[1][1]
    for question, answer in said:
        surveyor.note(question, answer, "top" if answer is top and "=" in top.text else "")
    return wall, usual if "=" in top.text else top.text


# What stands on a wall


def _ask_things(surveyor: Surveyor, wall: Wall, before: Collection[Wall]) -> Wall:
    """Return the wall with what stands on it; ``before`` are the walls told already, whose names are not offered."""
    interview = surveyor.interview
    elsewhere = {opening.name for other in before for opening in other.openings}
    elsewhere |= {fitting.name for other in before for fitting in other.fittings}
    for number in range(1, interview.ask(q.OPENINGS).value + 1):
        with interview.part(f"opening {number}"):
            wall = _ask_opening(surveyor, wall, elsewhere)
    for number in range(1, interview.ask(q.FITTINGS).value + 1):
        with interview.part(f"fitting {number}"):
            wall = _ask_fitting(surveyor, wall, elsewhere)
    return wall


def _ask_opening(surveyor: Surveyor, wall: Wall, elsewhere: set[str]) -> Wall:
    ask = surveyor.interview.ask
    kind = OpeningKind(ask(q.OPENING_KIND).value)
    name = _ask_name(surveyor, q.OPENING_NAME, kind.value, wall.openings, elsewhere)

    def ask_edges() -> tuple[Wall, _Answers]:
        left, width = ask(q.OPENING_LEFT), ask(q.OPENING_WIDTH)
        said: _Answers = [(q.OPENING_LEFT, left), (q.OPENING_WIDTH, width)]
        foot, reveal = _foot_of(wall, left.value, width.value), ZERO
        if kind not in STANDING:
            said.append((q.OPENING_FOOT, ask(q.OPENING_FOOT)))
            foot = said[-1][1].value
        height = ask(q.OPENING_HEIGHT)
        said.append((q.OPENING_HEIGHT, height))
        if kind is OpeningKind.WINDOW:
            said.append((q.REVEAL, ask(q.REVEAL)))
            reveal = said[-1][1].value
        opening = Opening(name, kind, left.value, width.value, foot, height.value, reveal)
        return replace(wall, openings=(*wall.openings, opening)), said

    whole, said = surveyor.interview.until_it_holds(ask_edges)
    _note_thing(surveyor, "opening", kind.value, name, said)
    return whole


def _foot_of(wall: Wall, left: Length, width: Length) -> Length:
    """Return the wall's foot below an opening that stands on it; of one off the wall, for the wall to refuse, 0."""
    return wall.foot.lowest(left, left + width) if left + width <= wall.width else ZERO


def _ask_fitting(surveyor: Surveyor, wall: Wall, elsewhere: set[str]) -> Wall:
    ask = surveyor.interview.ask
    kind = ask(q.FITTING_KIND).value
    name = _ask_name(surveyor, q.FITTING_NAME, kind, wall.fittings, elsewhere)

    def ask_place() -> tuple[Wall, _Answers]:
        left, width = ask(q.FITTING_LEFT), ask(q.FITTING_WIDTH)
        fitting = Fitting(name, FittingKind(kind), left.value, width.value)
        whole = replace(wall, fittings=(*wall.fittings, fitting))
        return whole, [(q.FITTING_LEFT, left), (q.FITTING_WIDTH, width)]

    whole, said = surveyor.interview.until_it_holds(ask_place)
    _note_thing(surveyor, "fitting", kind, name, said)
    return whole


def _ask_name(
    surveyor: Surveyor, question: Question[str], kind: str, there: Collection[Placed], elsewhere: set[str]
) -> str:
    """Return a name that nothing of the kind on this wall has; what is offered nothing in the room has."""
    taken = {thing.name for thing in there}
    known = taken | elsewhere
    numbered = (f"{kind} {number}" for number in range(2, len(known) + 3))
    usual = next(name for name in (kind, *numbered) if name not in known)
    return surveyor.interview.ask(question, usual, kind=new_name(taken)).value


def _note_thing(surveyor: Surveyor, what: str, kind: str, name: str, said: _Answers) -> None:
    surveyor.notes.table(f"[[wall.{what}]]")
    surveyor.notes.key("kind", quoted(kind))
    if name != kind:
        surveyor.notes.key("name", quoted(name))
    surveyor.note_all(said)
