"""Asking about the walls: their size, corners, openings and fittings, left to right as one faces them.

Whether a wall can be as it is told, and what stands on it there, is for the scenario's reader to say.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from typing import Any, Final, TypeAlias

import cutplan.asking.questions as q
from cutplan.asking.answers import count_from, new_name
from cutplan.asking.interview import Said
from cutplan.asking.questions import Question
from cutplan.asking.surveyor import Surveyor
from cutplan.lengths import ZERO
from cutplan.room.breast import Breast, BreastPart
from cutplan.room.walls import CornerKind, OpeningKind, Room, Wall
from cutplan.scenario.survey.room_tables import read_room
from cutplan.scenario.survey.wall_tables import STANDING, read_walls
from cutplan.scenario.tables import Table
from cutplan.scenario.toml_text import length_value, quoted

_USUAL_HEIGHT: Final = {"mm": "2400", "cm": "240", "m": "2.4", "in": "96", "ft": "8"}
_WHOLE_ROOM: Final = "4"

_Answers: TypeAlias = "list[tuple[Question[Any], Said[Any]]]"


def ask_room(surveyor: Surveyor) -> Room:
    """Return the run of walls."""
    interview = surveyor.interview
    interview.section("The walls, left to right as you face them")
    closes = _ask_shell(surveyor)
    least, usual = (2, _WHOLE_ROOM) if closes else (1, None)
    count = interview.ask(q.WALLS, usual, kind=count_from(least)).value
    height = _USUAL_HEIGHT[surveyor.units]
    for number in range(1, count + 1):
        interview.section(f"Wall {number}")
        with interview.part(f"wall {number}"):
            begins = surveyor.notes.count
            wall, edges, height = _ask_wall(surveyor, number, height)
            corner = interview.ask(q.CORNER).value if closes or number < count else None
            _note_corner(surveyor, corner)
            standing = interview.ask(q.OPENINGS, check=_no_breast_under(wall)).value
            if standing is None:
                surveyor.notes.begin_again(begins)
                _ask_breast(surveyor, wall, edges, corner)
            else:
                _ask_things(surveyor, standing)
    room = surveyor.read(lambda root: read_room(root, read_walls(root))[1])
    assert room is not None  # noqa: S101 - else the reader had found a fault
    return room


def _walls(root: Table) -> list[Wall]:
    """Return the walls told so far."""
    return [each.wall for each in read_walls(root) if each.wall is not None] if root.has("wall") else []


def _ask_shell(surveyor: Surveyor) -> bool:
    """Ask what holds of the room as a whole, and note what is not as it usually is; return whether it closes."""
    said = [(question, surveyor.interview.ask(question)) for question in (q.CLOSES, q.LEVEL_LINE, q.BUILT, q.TEXTURED)]
    if any(each.value for _, each in said):
        surveyor.notes.table("[room]")
        for each in said:
            surveyor.note(*each)
    return bool(said[0][1].value)


def _ask_wall(surveyor: Surveyor, number: int, usual: str) -> tuple[Wall, _Answers, str]:
    """Return a bare wall, what was said of its edges, and the height to offer for the next."""
    ask, taken = surveyor.interview.ask, [wall.name for wall in surveyor.read(_walls)]
    name = ask(q.WALL_NAME, f"wall {number}", kind=new_name(taken))
    edges: _Answers = []

    def tell() -> None:
        surveyor.notes.table("[[wall]]")
        surveyor.note(q.WALL_NAME, name)
        surveyor.ask(q.WIDTH)
        top = ask(q.TOP, usual)
        surveyor.note(q.TOP, top, "top" if "=" in top.text else "")
        edges[:] = [(q.TOP, top), (q.FOOT, surveyor.ask(q.FOOT))]

    wall = surveyor.settle(tell, _walls)[-1]
    top = edges[0][1].text
    return wall, edges, usual if "=" in top else top


def _note_corner(surveyor: Surveyor, kind: str | None) -> None:
    if kind == CornerKind.EXTERNAL.value:
        surveyor.notes.key("corner", quoted(kind), q.CORNER.remark)


# A chimney breast


def _no_breast_under(wall: Wall) -> Callable[[int | None], str | None]:
    """Return what refuses a breast on a wall that slopes."""
    is_fit = wall.top.level is not None and wall.foot.level is not None
    refusal = "the wall slopes or steps: go back, and tell the breast's alcoves, sides and face as walls of their own"
    return lambda standing: refusal if standing is None and not is_fit else None


def _ask_breast(surveyor: Surveyor, wall: Wall, edges: _Answers, corner: str | None) -> None:
    """Ask about a chimney breast and about the walls that its wall becomes, as high as the whole was said to be."""
    interview, begins = surveyor.interview, surveyor.notes.count
    parts: list[BreastPart] = []

    def no_second(standing: int | None) -> str | None:
        return "this is a part of a breast's wall already" if standing is None else None

    def tell() -> None:
        left, width, depth, fireplace = (interview.ask(question).value for question in q.BREAST[:-1])
        high = interview.ask(q.FIREPLACE_HEIGHT).value if fireplace else ZERO
        parts[:] = Breast(left, width, depth, fireplace, high).parts(wall.width)
        for part in parts:
            _note_part(surveyor, wall.name, part, edges, corner)

    surveyor.settle(tell, _walls)
    surveyor.notes.begin_again(begins)
    for part in parts:
        _note_part(surveyor, wall.name, part, edges, corner)
        if not part.is_side:
            interview.section(f"{wall.name}, {part.called}".capitalize())
            with interview.part(part.called):
                _ask_things(surveyor, interview.ask(q.OPENINGS, check=no_second).value or 0)


def _note_part(surveyor: Surveyor, name: str, part: BreastPart, edges: _Answers, corner: str | None) -> None:
    """Note one of the walls that a breast makes, with its fireplace."""
    elsewhere = {opening.name for other in surveyor.read(_walls) for opening in other.openings}
    surveyor.notes.table("[[wall]]")
    surveyor.notes.key("name", quoted(f"{name}, {part.called}"))
    surveyor.notes.key("width", length_value(part.width, surveyor.units), q.WIDTH.remark)
    for edge in edges:
        surveyor.note(*edge)
    _note_corner(surveyor, corner if part.corner is None else part.corner.value)
    for fireplace in part.openings:
        _begin_thing(surveyor, "opening", fireplace.kind.value, free_name(fireplace.name, elsewhere))
        for key, length in (("left", fireplace.left), ("width", fireplace.width), ("height", fireplace.height)):
            surveyor.notes.key(key, length_value(length, surveyor.units))


# What stands on a wall


def _ask_things(surveyor: Surveyor, openings: int) -> None:
    """Ask what stands on the wall that was told last."""
    interview = surveyor.interview
    for number in range(1, openings + 1):
        with interview.part(f"opening {number}"):
            kind = OpeningKind(interview.ask(q.OPENING_KIND).value)
            asked = [q.OPENING_LEFT, q.OPENING_WIDTH, *([] if kind in STANDING else [q.OPENING_FOOT]), q.OPENING_HEIGHT]
            asked += [q.REVEAL] if kind is OpeningKind.WINDOW else []
            _ask_thing(surveyor, "opening", kind.value, q.OPENING_NAME, asked)
    for number in range(1, interview.ask(q.FITTINGS).value + 1):
        with interview.part(f"fitting {number}"):
            kind_of_fitting = interview.ask(q.FITTING_KIND).value
            _ask_thing(surveyor, "fitting", kind_of_fitting, q.FITTING_NAME, (q.FITTING_LEFT, q.FITTING_WIDTH))


def _ask_thing(surveyor: Surveyor, what: str, kind: str, naming: Question[str], asked: Sequence[Question[Any]]) -> None:
    """Ask for the name and the place of an opening or a fitting; the name that is offered nothing in the room has."""
    *before, wall = surveyor.read(_walls)
    there = {thing.name for thing in (wall.openings if what == "opening" else wall.fittings)}
    elsewhere = {thing.name for other in before for thing in other.things}
    name = surveyor.interview.ask(naming, free_name(kind, there | elsewhere), kind=new_name(there)).value

    def tell() -> None:
        _begin_thing(surveyor, what, kind, name)
        for question in asked:
            surveyor.ask(question)

    surveyor.settle(tell, _walls)


def free_name(kind: str, taken: Collection[str]) -> str:
    """Return a name that nothing has yet: the kind's own, or with a number."""
    numbered = (f"{kind} {number}" for number in range(2, len(taken) + 3))
    return next(name for name in (kind, *numbered) if name not in taken)


def _begin_thing(surveyor: Surveyor, what: str, kind: str, name: str) -> None:
    surveyor.notes.table(f"[[wall.{what}]]")
    surveyor.notes.key("kind", quoted(kind))
    if name != kind:
        surveyor.notes.key("name", quoted(name))
