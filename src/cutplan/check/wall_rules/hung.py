"""Where the plan says that everything hangs: columns along the run, pieces on them, the closing joint."""

from __future__ import annotations

from fractions import Fraction
from functools import cached_property
from typing import Final

from msgspec import Struct

from cutplan.check.report import exact_text
from cutplan.check.stated.fields import Table
from cutplan.check.survey.surveyed import Survey

_FURTHEST_LEFT: Final = -100_000


def column_name(number: int) -> str:
    """Return what a column is called."""
    return f"column {exact_text(number)}"


class Panel(Struct, frozen=True):
    """What one strip shows on one wall, counted from 0: along the wall, and across the wet strip."""

    wall: int
    left: Fraction
    right: Fraction
    paper_left: Fraction
    paper_right: Fraction


class Column(Struct, frozen=True):
    """One strip's place on the walls, its panels left to right."""

    number: int
    panels: tuple[Panel, ...]


class Piece(Struct, frozen=True):
    """One length of paper where it hangs.

    ``top`` and ``foot`` are heights of its finished ends, ``turned_under`` what it is longer than between
    them; ``first_motif`` runs from its finished top down; ``paper_left`` and ``paper_right`` bound what it
    needs of the strip's width.
    """

    drop: str
    column: int
    top: Fraction
    foot: Fraction
    turned_under: Fraction
    first_motif: Fraction
    paper_left: Fraction
    paper_right: Fraction
    panels: tuple[Panel, ...]

    @property
    def name(self) -> str:
        """What it is called in messages."""
        return f"piece {self.drop}"

    @property
    def height(self) -> Fraction:
        """Finished height, with what is turned under."""
        return self.top - self.foot + self.turned_under

    def meets(self, other: Piece) -> bool:
        """Return True when there are heights at which both hang."""
        return min(self.top, other.top) > max(self.foot, other.foot)


class Closing(Struct, frozen=True):
    """The closing joint as claimed: where, and how far the print is out sideways and in height."""

    wall: int
    at: Fraction
    sideways: Fraction
    height: Fraction


class Hung(Struct, frozen=True, dict=True):
    """All that the plan says of the walls: columns left to right along the run, pieces in hanging order.

    ``patches`` cover the ends of reveals' heads, each hung after the last piece of its column; None where the plan, of
    an earlier version, lists none.
    """

    level_line: Fraction
    columns: tuple[Column, ...]
    pieces: tuple[Piece, ...]
    closing: Closing | None
    patches: tuple[Piece, ...] | None = None

    @cached_property
    def by_column(self) -> dict[int, list[Piece]]:
        """The pieces of each column, from the top down."""
        by_column: dict[int, list[Piece]] = {}
        for piece in sorted(self.pieces, key=lambda piece: piece.top, reverse=True):
            by_column.setdefault(piece.column, []).append(piece)
        return by_column

    @property
    def all_in_order(self) -> tuple[Piece, ...]:
        """Pieces and patches in hanging order."""
        if not self.patches:
            return self.pieces
        last = {piece.column: number for number, piece in enumerate(self.pieces)}
        places = [*range(len(self.pieces)), *(last.get(patch.column, len(self.pieces)) for patch in self.patches)]
        pairs = zip(places, (*self.pieces, *self.patches), strict=True)
        return tuple(piece for _, piece in sorted(pairs, key=lambda pair: pair[0]))

    def pieces_of(self, column: int) -> list[Piece]:
        """Return the pieces of a column from the top down."""
        return self.by_column.get(column, [])


def read_hung(document: Table, survey: Survey) -> Hung | None:
    """Return where the plan hangs its pieces; None, with the faults in the document's table, if it is unreadable."""
    faults = len(document.faults)
    table = document.needed_table("setting_out", "is missing; without it nobody knows which piece hangs where")
    reader = _Reader({wall.name: number for number, wall in enumerate(survey.walls)})
    (level_line,) = table.exact("level_line")
    columns, pieces = table.each("columns", reader.column), table.each("pieces", reader.piece)
    patches = table.each("patches", reader.piece) if table.has("patches") else None
    closing = table.table("closing")
    closed = None if closing is None else reader.closing(closing)
    for key in ("columns", "pieces"):
        if not table.values.get(key):
            table.fault(key, "are missing")
    return None if len(document.faults) > faults else Hung(level_line, columns, pieces, closed, patches)


class _Reader:
    def __init__(self, walls: dict[str, int]) -> None:
        self.walls = walls

    def column(self, table: Table) -> Column:
        return Column(table.count("column", _FURTHEST_LEFT), self._panels(table))

    def piece(self, table: Table) -> Piece:
        faults = len(table.faults)
        top, foot, under, motif, left, right = table.exact(
            "top", "foot", "turned_under", "first_motif", "paper_from", "paper_to"
        )
        if foot >= top and len(table.faults) == faults:
            table.fault("foot", "must lie below top")
        column = table.count("column", _FURTHEST_LEFT)
        return Piece(table.label("drop"), column, top, foot, under, motif, left, right, self._panels(table))

    def closing(self, table: Table) -> Closing:
        return Closing(table.wall(self.walls), *table.exact("at", "sideways", "height"))

    def _panels(self, table: Table) -> tuple[Panel, ...]:
        if not table.values.get("panels"):
            table.fault("panels", "are missing")
        return table.each("panels", self._panel)

    def _panel(self, table: Table) -> Panel:
        lengths = table.exact("from", "to", "paper_from", "paper_to")
        if lengths[0] >= lengths[1]:
            table.fault("to", "must lie to the right of from")
        return Panel(table.wall(self.walls), *lengths)
