"""Questions about the walls: their size, corners, openings and fittings, left to right as one faces them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from cutplan.asking.answers import (
    count_from,
    doubts,
    length_in,
    new_name,
    one_of,
    optional,
    optional_year,
    points,
    profile_in,
    written,
    yes_or_no,
)
from cutplan.lengths import ZERO
from cutplan.room.profile import Profile
from cutplan.room.walls import Corner, CornerKind, Fitting, FittingKind, Opening, OpeningKind, Room, Wall
from cutplan.scenario.toml_text import quoted
from cutplan.scenario.usual import OPENING, WALL_HEIGHT, WALL_WIDTH

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from cutplan.asking.interview import Interview, Said
    from cutplan.asking.notes import Notes
    from cutplan.lengths import Length

_STANDING: Final = (OpeningKind.DOOR, OpeningKind.FIREPLACE, OpeningKind.UNIT)
"""Kinds that stand on the floor unless told otherwise."""
_USUAL_HEIGHT: Final = {"mm": "2400", "cm": "240", "m": "2.4", "in": "96", "ft": "8"}
_WHOLE_ROOM: Final = 4


@dataclass(frozen=True, slots=True)
class _Asked:
    """A wall as told, and the texts that it was told in."""

    wall: Wall
    texts: dict[str, str]


@dataclass(frozen=True, slots=True)
class _Shell:
    """What holds of a room as a whole; each as :class:`Room` has it."""

    closes: bool
    level_line: Length | None
    built: int | None
    textured: bool


def ask_room(interview: Interview, notes: Notes, units: str) -> Room:
    """Return the run of walls."""
    interview.section("The walls, left to right as you face them")
    shell = _ask_shell(interview, notes, units)
    why = "Each flat stretch from corner to corner counts; a chimney breast is three."
    least, usual = (2, _WHOLE_ROOM) if shell.closes else (1, 1)
    count = interview.ask("How many walls are papered?", why, count_from(least), str(usual)).value
    walls: list[Wall] = []
    corners: list[Corner] = []
    height = _USUAL_HEIGHT[units]
    for number in range(1, count + 1):
        asked = _ask_wall(interview, units, number, [wall.name for wall in walls], height)
        height = asked.texts["top"] if "=" not in asked.texts["top"] else height
        _note_wall(notes, asked)
        if shell.closes or number < count:
            corners.append(_ask_corner(interview, notes))
        walls.append(_ask_things(interview, notes, units, asked.wall, walls))
    return Room(tuple(walls), tuple(corners), shell.closes, shell.level_line, shell.built, shell.textured)


def _ask_shell(interview: Interview, notes: Notes, units: str) -> _Shell:
    """Return what holds of the room as a whole, and note what is not as it usually is."""
    why = "Then the last strip meets the first, and the print cannot match there."
    closes = interview.ask("Does the paper go all round, back to where it begins (yes or no)?", why, yes_or_no, "no")
    why = "What the print hangs from, where the ceiling is out of level; empty for the wall's top at the start."
    level = interview.ask("How high is the level line above the floor line?", why, optional(length_in(units)), "")
    why = "Old paint may hold lead; empty if you do not know."
    built = interview.ask("In which year was the house built?", why, optional_year, "")
    why = "Old ones may hold asbestos, and are not sanded before they are tested."
    textured = interview.ask("Is there a textured coating on walls or ceiling (yes or no)?", why, yes_or_no, "no")
    keys = [
        ("closes", "true", "the last wall meets the first", closes.value),
        ("level_line", written(level.text), "what the print hangs from, above the floor line", bool(level.text)),
        ("built", built.text, "", bool(built.text)),
        ("textured", "true", "a textured coating", textured.value),
    ]
    if any(is_said for *_, is_said in keys):
        notes.table("[room]")
        for key, value, comment, is_said in keys:
            if is_said:
                notes.key(key, value, comment)
    return _Shell(closes.value, level.value, built.value, textured.value)


def _ask_wall(interview: Interview, units: str, number: int, taken: Collection[str], usual: str) -> _Asked:
    interview.section(f"Wall {number}")
    name = interview.ask("What is it called?", "So that the plan can name it.", new_name(taken), f"wall {number}")

    def tall(top: Profile) -> str | None:
        return WALL_HEIGHT.doubt(max(height for _, height in top.points), units)

    def ask_shell() -> _Asked:
        width = interview.ask(
            "How wide is it?", "From corner to corner.", length_in(units), doubt=doubts(WALL_WIDTH, units)
        )
        why = "Where it slopes or steps: places from its left with the height at each, 0=1150; 1400=2380."
        top = interview.ask("How high is its top above the floor line?", why, profile_in(units), usual, tall)
        why = "0 unless it stands beside a stair; the same floor line serves all walls."
        foot = interview.ask("And its foot?", why, profile_in(units), "0")
        wall = Wall(name.text, width.value, top.value, foot.value)
        return _Asked(wall, {"width": width.text, "top": top.text, "foot": foot.text})

    return interview.until_it_holds(ask_shell, units)


def _note_wall(notes: Notes, asked: _Asked) -> None:
    notes.table("[[wall]]")
    notes.key("name", quoted(asked.wall.name))
    notes.key("width", written(asked.texts["width"]), "from corner to corner")
    top, foot = asked.texts["top"], asked.texts["foot"]
    if "=" in top:
        notes.key("top", _points_written(top), "along the wall, height above the floor line")
    else:
        notes.key("height", written(top))
    if asked.wall.foot != Profile.at_height(ZERO):
        notes.key("foot", _points_written(foot) if "=" in foot else written(foot), "the skirting beside a stair")


def _points_written(text: str) -> str:
    return f"[{', '.join(f'[{written(along)}, {written(height)}]' for along, height in points(text))}]"


def _ask_corner(interview: Interview, notes: Notes) -> Corner:
    why = "Paper is turned 20 mm into an internal corner, and 40 mm round an external one."
    kinds = [kind.value for kind in CornerKind]
    kind = interview.ask("The corner at its right: internal or external?", why, one_of(kinds), kinds[0])
    if kind.value == CornerKind.INTERNAL.value:
        return Corner.internal()
    notes.key("corner", quoted(kind.value), "the one at its right")
    return Corner.external()


# What stands on a wall


def _ask_things(interview: Interview, notes: Notes, units: str, wall: Wall, before: Sequence[Wall]) -> Wall:
    """Return the wall with what stands on it; ``before`` are the walls told already, whose names are not offered."""
    elsewhere = {opening.name for other in before for opening in other.openings}
    elsewhere |= {fitting.name for other in before for fitting in other.fittings}
    why = "Doors, windows, fireplaces, fitted units, alcoves: whatever interrupts the paper."
    count = interview.ask("How many openings has it?", why, count_from(0), "0")
    for _ in range(count.value):
        wall = _ask_opening(interview, notes, units, wall, elsewhere)
    why = "Radiators, sockets, switches: to be warned of, and to centre the paper on."
    count = interview.ask("How many fittings?", why, count_from(0), "0")
    for _ in range(count.value):
        wall = _ask_fitting(interview, notes, units, wall, elsewhere)
    return wall


def _ask_opening(interview: Interview, notes: Notes, units: str, wall: Wall, elsewhere: set[str]) -> Wall:
    kinds = [kind.value for kind in OpeningKind]
    kind = OpeningKind(interview.ask("What is it?", f"One of {', '.join(kinds)}.", one_of(kinds)).value)
    name = _ask_name(interview, kind.value, {opening.name for opening in wall.openings}, elsewhere)

    side = doubts(OPENING, units)

    def ask_edges() -> tuple[Wall, dict[str, Said[Length]]]:
        said = {
            "left": interview.ask("How far is it from the wall's left?", "To its edge.", length_in(units, zero=True)),
            "width": interview.ask(
                "How wide is it?", "Where the paper stops: frame and all.", length_in(units), doubt=side
            ),
        }
        if kind not in _STANDING:
            why = "Of its lower edge above the floor line: a window's sill."
            said["foot"] = interview.ask("How high is its foot?", why, length_in(units, zero=True))
        why = "From its foot to its head; of a fireplace, to its shelf."
        said["height"] = interview.ask("How high is it itself?", why, length_in(units), doubt=side)
        if kind is OpeningKind.WINDOW:
            why = "Depth of the reveal that is papered too; 0 for none."
            said["reveal"] = interview.ask("How deep is its reveal?", why, length_in(units, zero=True), "0")
        return replace(wall, openings=(*wall.openings, _opening(name, kind, wall, said))), said

    whole, said = interview.until_it_holds(ask_edges, units)
    notes.table("[[wall.opening]]")
    notes.key("kind", quoted(kind.value))
    if name != kind.value:
        notes.key("name", quoted(name))
    for key, answer in said.items():
        if answer.value or key in ("left", "foot"):
            notes.key(key, written(answer.text), _OPENING_WORDS.get(key, ""))
    return whole


_OPENING_WORDS: Final = {
    "left": "from the wall's left",
    "foot": "above the floor line",
    "height": "from its foot to its head",
    "reveal": "depth of the reveal",
}


def _opening(name: str, kind: OpeningKind, wall: Wall, said: dict[str, Said[Length]]) -> Opening:
    left, width = said["left"].value, said["width"].value
    foot = said["foot"].value if "foot" in said else _foot_of(wall, left, width)
    reveal = said["reveal"].value if "reveal" in said else ZERO
    return Opening(name, kind, left, width, foot, said["height"].value, reveal)


def _foot_of(wall: Wall, left: Length, width: Length) -> Length:
    """Return the wall's foot below an opening that stands on it; of one off the wall, for the wall to refuse, 0."""
    return wall.foot.lowest(left, left + width) if left + width <= wall.width else ZERO


def _ask_name(interview: Interview, kind: str, taken: set[str], elsewhere: set[str]) -> str:
    """Return a name that nothing of the kind on this wall has; what is offered nothing in the room has."""
    known = taken | elsewhere
    numbered = (f"{kind} {number}" for number in range(2, len(known) + 3))
    usual = next(name for name in (kind, *numbered) if name not in known)
    return interview.ask("What is it called?", "So that the plan can name it.", new_name(taken), usual).text


def _ask_fitting(interview: Interview, notes: Notes, units: str, wall: Wall, elsewhere: set[str]) -> Wall:
    kinds = [kind.value for kind in FittingKind]
    kind = interview.ask("What is it?", f"One of {', '.join(kinds)}.", one_of(kinds)).value
    name = _ask_name(interview, kind, {fitting.name for fitting in wall.fittings}, elsewhere)

    def ask_place() -> tuple[Wall, dict[str, Said[Length]]]:
        length = length_in(units, zero=True)
        said = {
            "left": interview.ask("How far is it from the wall's left?", "To its edge.", length),
            "width": interview.ask("How wide is it?", "0 for a point, such as bare wires.", length, "0"),
        }
        fitting = Fitting(name, FittingKind(kind), said["left"].value, said["width"].value)
        return replace(wall, fittings=(*wall.fittings, fitting)), said

    whole, said = interview.until_it_holds(ask_place, units)
    notes.table("[[wall.fitting]]")
    notes.key("kind", quoted(kind))
    if name != kind:
        notes.key("name", quoted(name))
    notes.key("left", written(said["left"].text), "from the wall's left")
    if said["width"].value:
        notes.key("width", written(said["width"].text))
    return whole
