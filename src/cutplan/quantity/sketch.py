"""The scenario that a notebook's sizes stand for: a plain room with its openings somewhere, to be surveyed later."""

from __future__ import annotations

from cutplan.asking.notes import Notes
from cutplan.errors import CutplanError
from cutplan.lengths import ZERO, Length
from cutplan.quantity.sizes_told import Gap, Notebook
from cutplan.room.walls import OpeningKind
from cutplan.scenario.sale_keys import sale_keys
from cutplan.scenario.toml_text import length_value, quoted


class NoSketchError(CutplanError):
    """The openings do not stand side by side on the walls as they were drawn; the numbers hold all the same."""


def walls_of(notebook: Notebook) -> tuple[tuple[Length, bool], ...]:
    """Return the walls left to right: the width of each, and whether the corner at its right is internal.

    A room closes with four internal corners more than external ones. Walls whose lengths nobody has told are alike.
    """
    if not notebook.corners:
        return ((notebook.around, True),)
    external = max(notebook.corners - 4, 0)
    count = notebook.corners + external
    told = notebook.sides * 2 if len(notebook.sides) > 1 and not external else ()
    widths = told or (notebook.around / count,) * count
    # One external corner follows each of the first internal ones: bays along the way round.
    corners = [kind for number in range(notebook.corners) for kind in ((True, False) if number < external else (True,))]
    return tuple(zip(widths, corners, strict=True))


def sketch(notebook: Notebook, match: str, direction: str | None, units: str) -> str:
    """Return the scenario as TOML, bare numbers in ``units``, the match and its direction as the label was told.

    NoSketchError when the openings are too wide to stand side by side on walls of the lengths told.
    """
    notes = Notes()
    notes.remark(
        "A room before its survey. Where walls end, openings stand and hanging starts is supposed, to be measured:",
        "the lengths round, the height, the sizes and the label are as they were told.",
    )
    notes.table(f"units = {quoted(units)}")
    _note_paper(notes, notebook, match, direction, units)
    walls = walls_of(notebook)
    standing = _stand([width for width, _ in walls], notebook.gaps)
    if notebook.corners:
        notes.table("[room]")
        notes.key("closes", "true")
    for number, (width, is_internal) in enumerate(walls):
        notes.table("[[wall]]")
        notes.key("name", quoted(f"wall {number + 1}"))
        notes.key("width", length_value(width, units), "supposed" if len(notebook.sides) == 1 else "")
        notes.key("height", length_value(notebook.height, units))
        if not is_internal:
            notes.key("corner", quoted("external"), "the one at its right")
        _note_gaps(notes, width, standing[number], units, notebook)
    notes.table("[start]")
    notes.key("wall", quoted("wall 1"))
    notes.key("at", quoted("middle"), "supposed")
    notes.key("puts", quoted("joint"), "supposed")
    notes.key("motif_drop", "0", "supposed: to be seen on the wall")
    return notes.text()


def _note_paper(notes: Notes, notebook: Notebook, match: str, direction: str | None, units: str) -> None:
    paper = notebook.paper
    notes.table("[paper]")
    notes.key("name", quoted(paper.name))
    notes.key("roll_length", length_value(paper.roll_length, units))
    notes.key("roll_width", length_value(paper.width_as_sold or ZERO, units))
    notes.key("match", quoted(match), "as the label prints it")
    if direction is not None:
        notes.key("offset_direction", quoted(direction))
    for key, value in sale_keys(paper.sale):
        notes.key(key, value)
    for key, length in (("selvedge", paper.edges.left), ("overlap", paper.edges.overlap)):
        if length:
            notes.key(key, length_value(length, units))
    notes.table("[trim]")
    notes.key("top", length_value(notebook.trim_top, units))
    notes.key("bottom", length_value(notebook.trim_bottom, units))


def _stand(widths: list[Length], gaps: tuple[Gap, ...]) -> list[list[Gap]]:
    """Return the openings of each wall: the widest first, each where most room is left."""
    left = list(widths)
    standing: list[list[Gap]] = [[] for _ in widths]
    for gap in sorted(gaps, key=lambda gap: -gap.width):
        wall = max(range(len(left)), key=lambda wall: left[wall])
        if gap.width > left[wall]:
            raise NoSketchError("the openings do not stand side by side on the walls; tell the lengths of the walls")
        left[wall] -= gap.width
        standing[wall].append(gap)
    return standing


def _note_gaps(notes: Notes, width: Length, gaps: list[Gap], units: str, notebook: Notebook) -> None:
    between = (width - sum((gap.width for gap in gaps), ZERO)) / (len(gaps) + 1)
    at = between
    for number, gap in enumerate(gaps, 1):
        notes.table("[[wall.opening]]")
        notes.key("kind", quoted(gap.kind.value))
        notes.key("name", quoted(f"{gap.kind.value} {number}"))
        notes.key("left", length_value(at, units), "supposed")
        notes.key("width", length_value(gap.width, units), "the usual size, supposed" if gap.is_assumed else "")
        if gap.kind is not OpeningKind.DOOR:
            notes.key("foot", length_value((notebook.height - gap.height) / 2, units), "supposed")
        notes.key("height", length_value(gap.height, units), "the usual size, supposed" if gap.is_assumed else "")
        at += gap.width + between
