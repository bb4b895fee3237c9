"""Asking about rails, bands, borders, linings and materials: each band and each border in a paper of its own."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import cutplan.asking.questions as q
from cutplan.asking.answers import choice, new_name
from cutplan.asking.paper_questions import ask_paper, ask_price, ask_rolls
from cutplan.asking.start_questions import ask_start, one_of_openings
from cutplan.asking.surveyor import Surveyor
from cutplan.materials.material import Use
from cutplan.parts.bands import between_rails
from cutplan.parts.rails import Rail, heights, stretches
from cutplan.parts.several_parts import ONE_PAPER
from cutplan.room.walls import Room
from cutplan.scenario.lining_table import ALL_LINED, damp_names
from cutplan.scenario.material_table import covered, covers_example, not_parts
from cutplan.scenario.toml_text import quoted

_USUAL_NAMES: Final = {2: ("filling", "dado"), 3: ("frieze", "filling", "dado")}
"""What bands are usually called, from the top down, by how many there are."""


def ask_parts(surveyor: Surveyor, room: Room) -> None:
    """Ask which rails part the walls, which paper each band has, what borders and linings there are, what is bought."""
    interview = surveyor.interview
    interview.section("Rails")
    rails: list[Rail] = []
    for number in range(1, interview.ask(q.RAILS).value + 1):
        with interview.part(f"rail {number}"):
            surveyor.notes.table("[[rail]]")
            name = surveyor.ask(q.RAIL_NAME, f"rail {number}", kind=new_name([rail.name for rail in rails])).value
            rails.append(Rail(name, surveyor.ask(q.RAIL_FOOT).value, surveyor.ask(q.RAIL_HEIGHT).value))
    bands = stretches(sorted(rails, key=lambda rail: heights(room, rail)))
    usual = _USUAL_NAMES.get(len(bands)) or [f"band {number}" for number in range(1, len(bands) + 1)]
    taken: list[str] = []
    papered: list[str] = []
    for offered, (low, high) in zip(usual, bands, strict=True):
        if not rails:
            _ask_one_paper(surveyor, room)
            papered.append(ONE_PAPER)
            break
        ends = [f"above the {low.name}"] if low else []
        ends += [f"below the {high.name}"] if high else []
        interview.section(f"The walls {' and '.join(ends)}")
        with interview.part(f"the walls {' and '.join(ends)}"):
            name, is_bare = _ask_band(surveyor, room, (low, high), offered, taken)
        taken.append(name)
        papered += [] if is_bare else [name]
    borders = _ask_borders(surveyor, room)
    linings = _ask_lining(surveyor)
    _ask_materials(surveyor, [*_ask_damp(surveyor, room), *linings, *papered, *borders])


def _ask_lining(surveyor: Surveyor) -> list[str]:
    """Ask about plain lining under the paper, of all the walls; return its name, if there is any."""
    interview = surveyor.interview
    interview.section("Lining")
    if not interview.ask(q.LINED).value:
        return []
    surveyor.notes.table("[lining]")
    _ask_roll(surveyor)
    if interview.ask(q.UPRIGHT).value:
        surveyor.notes.key("way", quoted("vertical"))
    elif interview.ask(q.ROUND_CORNERS).value:
        surveyor.notes.key("corners", quoted("round"))
    return [ALL_LINED]


def _ask_roll(surveyor: Surveyor) -> None:
    surveyor.ask(q.LINING_LENGTH)
    surveyor.ask(q.LINING_WIDE)
    surveyor.ask(q.LINING_PRICE)
    surveyor.ask(q.LINING_DRIES)


def _ask_damp(surveyor: Surveyor, room: Room) -> list[str]:
    """Ask about what keeps damp back, each on one part of a wall; return their names."""
    interview = surveyor.interview
    interview.section("Linings against damp")
    walls = choice([wall.name for wall in room.walls])
    count = interview.ask(q.DAMP).value
    for number in range(1, count + 1):
        with interview.part(f"damp lining {number}"):
            surveyor.notes.table("[[damp_lining]]")
            _ask_roll(surveyor)
            surveyor.ask(q.DAMP_ADHESIVE)
            with surveyor.notes.within("damp_lining"):
                surveyor.notes.table("[[part]]")
                surveyor.ask(q.DAMP_WALL, kind=walls)
                for place in (q.DAMP_LEFT, q.DAMP_WIDTH, q.DAMP_FOOT, q.DAMP_HEIGHT):
                    surveyor.ask(place)
    return damp_names(count)


def _ask_materials(surveyor: Surveyor, parts: list[str]) -> None:
    """Ask what is bought beside paper: paste, adhesive, size, filler; of several parts, for which."""
    interview = surveyor.interview
    interview.section("What is bought beside paper")
    taken: list[str] = []
    for number in range(1, interview.ask(q.MATERIALS).value + 1):
        with interview.part(f"material {number}"):
            surveyor.notes.table("[[material]]")
            taken.append(surveyor.ask(q.MATERIAL_NAME, kind=new_name(taken)).value)
            use = Use(surveyor.ask(q.MATERIAL_USE).value)
            surveyor.ask(q.COVERS, check=_covers(use))
            surveyor.ask(q.PACK)
            surveyor.ask(q.PACK_PRICE)
            if len(parts) > 1:
                surveyor.ask(q.MATERIAL_ON, check=lambda names: not_parts(names, parts) if names else None)


def _covers(use: Use) -> Callable[[str | None], str | None]:
    """Return what tells why a text is not what a pack of this use covers."""
    return lambda text: None if text is None or covered(text, use) else f"write it as {covers_example(use)}"


def _ask_one_paper(surveyor: Surveyor, room: Room) -> None:
    paper = ask_paper(surveyor)
    ask_start(surveyor, room, paper)
    ask_rolls(surveyor, paper)


def _ask_band(
    surveyor: Surveyor, room: Room, ends: tuple[Rail | None, Rail | None], offered: str, taken: list[str]
) -> tuple[str, bool]:
    """Ask about one band; return its name, and whether it is left bare."""
    surveyor.notes.table("[[band]]")
    name = surveyor.ask(q.BAND_NAME, offered, kind=new_name(taken)).value
    for key, rail in zip(("above", "below"), ends, strict=True):
        if rail is not None:
            surveyor.notes.key(key, quoted(rail.name))
    is_bare = surveyor.ask(q.BARE).value
    if not is_bare:
        with surveyor.notes.within("band"):
            _ask_one_paper(surveyor, between_rails(room, *ends))
    return name, is_bare


def _ask_borders(surveyor: Surveyor, room: Room) -> list[str]:
    """Ask about borders, each round the room or an opening; return their names."""
    interview = surveyor.interview
    interview.section("Borders")
    opening = one_of_openings([opening.name for wall in room.walls for opening in wall.openings])
    taken: list[str] = []
    for number in range(1, interview.ask(q.BORDERS).value + 1):
        with interview.part(f"border {number}"):
            surveyor.notes.table("[[border]]")
            taken.append(surveyor.ask(q.BORDER_NAME, f"border {number}", kind=new_name(taken)).value)
            if surveyor.ask(q.ROUND, kind=opening).value is None:
                surveyor.ask(q.BORDER_FOOT)
            surveyor.ask(q.LET_IN)
            with surveyor.notes.within("border"):
                surveyor.notes.table("[paper]")
                surveyor.ask(q.BORDER_PAPER)
                surveyor.ask(q.BORDER_LENGTH)
                surveyor.ask(q.BORDER_WIDE)
                if surveyor.ask(q.BORDER_REPEAT).value is None:
                    surveyor.notes.key("match", quoted("free"))
                ask_price(surveyor, is_set=False)
    return taken
