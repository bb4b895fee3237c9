"""Asking about the walls: their size, corners, openings and fittings, left to right as one faces them."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import replace
from typing import Any, Final, TypeAlias

import cutplan.asking.questions as q
from cutplan.asking.answers import count_from, new_name
from cutplan.asking.interview import Said
from cutplan.asking.questions import Question
from cutplan.asking.surveyor import Surveyor
from cutplan.lengths import ZERO, Length
from cutplan.room.breast import Breast, BreastPart
from cutplan.room.walls import Corner, CornerKind, Fitting, FittingKind, Opening, OpeningKind, Room, Wall
from cutplan.scenario.survey.opening_tables import STANDING, Placed
from cutplan.scenario.toml_text import length_value, quoted

_USUAL_HEIGHT: Final = {"mm": "2400", "cm": "240", "m": "2.4", "in": "96", "ft": "8"}
_WHOLE_ROOM: Final = "4"

_CORNERS: Final[Mapping[CornerKind, Callable[[], Corner]]] = {
    CornerKind.INTERNAL: Corner.internal,
    CornerKind.EXTERNAL: Corner.external,
}

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
            begins = surveyor.notes.count
            wall, edges, height = _ask_wall(surveyor, number, [wall.name for wall in walls], height)
            corner = _ask_corner(surveyor) if closes or number < count else None
            standing = interview.ask(q.OPENINGS, check=_no_breast_under(wall)).value
            if standing is None:
                surveyor.notes.begin_again(begins)
                parts = _ask_breast(surveyor, wall, edges, corner, walls)
            else:
                parts = [(_ask_things(surveyor, wall, walls, standing), corner)]
            walls += [part for part, _ in parts]
            corners += [at_right for _, at_right in parts if at_right is not None]
    return Room(tuple(walls), tuple(corners), closes, level_line, built, textured)


def _no_breast_under(wall: Wall) -> Callable[[int | None], str | None]:
    """Return what refuses a breast on a wall that slopes."""
    is_fit = wall.top.level is not None and wall.foot.level is not None
    refusal = "the wall slopes or steps: go back, and tell the breast's alcoves, sides and face as walls of their own"
    return lambda standing: refusal if standing is None and not is_fit else None


def _ask_breast(
    surveyor: Surveyor, wall: Wall, edges: _Answers, corner: Corner | None, before: list[Wall]
) -> list[tuple[Wall, Corner | None]]:
    """Return the walls that a wall with a chimney breast becomes, each with the corner at its right."""
    interview = surveyor.interview

    def ask_measures() -> list[tuple[BreastPart, Wall]]:
        left, width, depth, fireplace = (interview.ask(question).value for question in q.BREAST[:-1])
        high = interview.ask(q.FIREPLACE_HEIGHT).value if fireplace else ZERO
        parts, name = Breast(left, width, depth, fireplace, high).parts(wall.width), wall.name
        return [
            (part, replace(wall, name=f"{name}, {part.called}", width=part.width, openings=part.openings))
            for part in parts
        ]

    found: list[tuple[Wall, Corner | None]] = []
    for part, bare in interview.until_it_holds(ask_measures):
        at_right = corner if part.corner is None else _CORNERS[part.corner]()
        _note_part(surveyor, bare, edges, at_right)
        found.append((_ask_on_part(surveyor, part, bare, [*before, *(each for each, _ in found)]), at_right))
    return found


def _note_part(surveyor: Surveyor, wall: Wall, edges: _Answers, corner: Corner | None) -> None:
    """Note one of the walls that a breast makes: as high as the whole wall was said to be."""
    surveyor.notes.table("[[wall]]")
    surveyor.notes.key("name", quoted(wall.name))
    surveyor.notes.key("width", length_value(wall.width, surveyor.units), q.WIDTH.remark)
    surveyor.note_all([each for each in edges if each[0] is not q.WIDTH])
    if corner is not None and corner.kind is CornerKind.EXTERNAL:
        surveyor.notes.key("corner", quoted(corner.kind.value), q.CORNER.remark)


def _ask_on_part(surveyor: Surveyor, part: BreastPart, wall: Wall, before: Collection[Wall]) -> Wall:
    """Return one of those walls with what stands on it, of which nothing is asked on the breast's sides."""
    elsewhere = {opening.name for other in before for opening in other.openings}
    for fireplace in wall.openings:
        name = free_name(fireplace.name, elsewhere)
        wall = replace(wall, openings=(replace(fireplace, name=name),))
        edges = (("left", fireplace.left), ("width", fireplace.width), ("height", fireplace.height))
        _begin_thing(surveyor, "opening", fireplace.kind.value, name)
        for key, length in edges:
            surveyor.notes.key(key, length_value(length, surveyor.units))
    if part.is_side:
        return wall
    surveyor.interview.section(wall.name.capitalize())
    with surveyor.interview.part(part.called):
        standing = surveyor.interview.ask(q.OPENINGS, check=_no_second_breast).value
        return _ask_things(surveyor, wall, before, standing or 0)


def _no_second_breast(standing: int | None) -> str | None:
    return "this is a part of a breast's wall already" if standing is None else None


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


def _ask_wall(surveyor: Surveyor, number: int, taken: Collection[str], usual: str) -> tuple[Wall, _Answers, str]:
    """Return a bare wall, what was said of its edges, and the height to offer for the next."""
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
    return wall, said, usual if "=" in top.text else top.text


# What stands on a wall


def _ask_things(surveyor: Surveyor, wall: Wall, before: Collection[Wall], openings: int) -> Wall:
    """Return the wall with what stands on it; ``before`` are the walls told already, whose names are not offered."""
    interview = surveyor.interview
    elsewhere = {opening.name for other in before for opening in other.openings}
    elsewhere |= {fitting.name for other in before for fitting in other.fittings}
    for number in range(1, openings + 1):
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
    return surveyor.interview.ask(question, free_name(kind, taken | elsewhere), kind=new_name(taken)).value


def free_name(kind: str, taken: Collection[str]) -> str:
    """Return a name that nothing has yet: the kind's own, or with a number."""
    numbered = (f"{kind} {number}" for number in range(2, len(taken) + 3))
    return next(name for name in (kind, *numbered) if name not in taken)


def _note_thing(surveyor: Surveyor, what: str, kind: str, name: str, said: _Answers) -> None:
    _begin_thing(surveyor, what, kind, name)
    surveyor.note_all(said)


def _begin_thing(surveyor: Surveyor, what: str, kind: str, name: str) -> None:
    surveyor.notes.table(f"[[wall.{what}]]")
    surveyor.notes.key("kind", quoted(kind))
    if name != kind:
        surveyor.notes.key("name", quoted(name))
