"""What only some jobs need, as folded fields of the page: each table and each list of the file, told here once."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, Final

from msgspec import Struct

from cutplan.page.editing import Path, listed_at, value_at

if TYPE_CHECKING:
    from cutplan.page.survey_fields import Field, Fields


class Kept(Struct, frozen=True):
    """A list of tables of the file: its key, what one of them is called, and what is asked of each.

    ``tables`` are tables within each, with what is asked there; ``folded`` those of them that are folded, by their
    headings; ``inner`` are lists within each.
    """

    key: str
    called: str
    asks: tuple[str, ...]
    tables: tuple[tuple[str, tuple[str, ...]], ...] = ()
    folded: tuple[tuple[str, str, tuple[str, ...]], ...] = ()
    inner: tuple[Kept, ...] = ()


SOLD: Final = (
    "packet", "singles", "price_per", "sold_by", "order_least", "order_step", "selvedge", "selvedge_left",
    "selvedge_right", "overlap", "reverse", "sideways",
)  # fmt: skip
_PACE: Final = (
    "pasted", "soak", "folded", "minutes_cut", "minutes_paste", "minutes_full", "minutes_small", "begin", "stop",
    "mate",
)  # fmt: skip
_CUTTING: Final = ("order", "open_rolls", "first_walls")
_AT_WORK: Final = (("How fast the work goes", "pace", _PACE), ("How lengths are cut", "cutting", _CUTTING))
_LINED: Final = (
    "name", "roll_length", "roll_width", "price", "way", "corners", "at_openings", "stop_short", "end", "clear",
    "dries",
)  # fmt: skip
_LABEL: Final = ("name", "roll_length", "roll_width", "match")
ROLLS: Final = Kept(
    "roll",
    "roll",
    ("label", "count", "length", "first_motif", "batch", "price", "foot_first", "sheet"),
    inner=(Kept("flaws", "flaw", ("from", "to")), Kept("pieces", "piece of a bolt", ("length", "first_motif"))),
)
OFFCUTS: Final = Kept("offcut", "offcut", ("label", "length", "first_motif", "left", "right", "batch", "sheet"))
RAILS: Final = Kept("rail", "rail", ("name", "foot", "height"))
BANDS: Final = Kept(
    "band",
    "band",
    ("name", "above", "below", "bare", "level_line"),
    (("paper", (*_LABEL, "offset_direction", "price")),),
)
BORDERS: Final = Kept(
    "border",
    "border",
    ("name", "round", "foot", "top", "let_in", "joins", "ends", "across"),
    (("paper", (*_LABEL, "price")),),
    (("How it is sold", "paper", SOLD[:6]), *_AT_WORK),
    (ROLLS, OFFCUTS),
)
LINING: Final = (Kept("part", "part of a wall", ("wall", "left", "width", "foot", "height")), ROLLS)
DAMP: Final = Kept("damp_lining", "lining against damp", (*_LINED, "adhesive"), folded=_AT_WORK, inner=LINING)
MATERIALS: Final = Kept("material", "material", ("name", "use", "covers", "pack", "price", "on"))
LISTS: Final = {kept.key: kept for kept in (RAILS, BANDS, BORDERS, DAMP, MATERIALS, ROLLS, OFFCUTS)}

TABLES: Final = {
    "sheets": ("count", "first", "first_motif"),
    "equal_strips": ("edge_trim",),
    "pace": _PACE,
    "cutting": _CUTTING,
    "lining": _LINED,
}
"""Tables that a job may have or not: one whose last answer is taken out goes with it."""


class ListEntry(Struct, frozen=True):
    """One of a list: what it is called, where it is, its fields, and the lists within it."""

    name: str
    path: Path
    fields: list[Field]
    folds: list[Fold]


class Fold(Struct, frozen=True):
    """Fields that are folded away until somebody looks for them; ``adds`` is what may be added, and where."""

    heading: str
    fields: list[Field]
    entries: list[ListEntry]
    adds: list[tuple[str, Path]]

    @property
    def is_open(self) -> bool:
        """True where something in it is at fault, or still to be told."""
        inner = [each for entry in self.entries for each in entry.fields]
        return any(each.faults or each.is_wanted for each in [*self.fields, *inner]) or any(
            fold.is_open for entry in self.entries for fold in entry.folds
        )

    @property
    def told(self) -> int:
        """How much of it is told: answers and entries."""
        return sum(bool(each.value) for each in self.fields) + len(self.entries)


def of_table(fields: Fields, heading: str, holder: Path, table: str, keys: tuple[str, ...]) -> Fold:
    """Return the fields of one table."""
    return Fold(heading, [fields.of(*holder, table, key) for key in keys], [], [])


def of_lists(fields: Fields, heading: str, holder: Path, *lists: Kept) -> Fold:
    """Return the entries of some lists, and what adds one more to each."""
    entries = [entry for kept in lists for entry in _entries(fields, (*holder, kept.key), kept)]
    return Fold(heading, [], entries, [(kept.called, (*holder, kept.key)) for kept in lists])


def _entries(fields: Fields, path: Path, kept: Kept) -> Iterator[ListEntry]:
    for number, told in enumerate(listed_at(fields.survey.document, path)):
        if isinstance(told, dict):
            own: Path = (*path, number)
            asked = [fields.of(*own, key, words=_words(fields, kept, key)) for key in kept.asks]
            is_bare = told.get("bare") is True
            for table, keys in () if is_bare else kept.tables:
                asked += [fields.of(*own, table, key) for key in keys if _is_asked(fields, (*own, table, key))]
            folds = [of_table(fields, heading, own, table, keys) for heading, table, keys in kept.folded]
            folds += [of_lists(fields, _several(inner.called), own, inner) for inner in kept.inner]
            yield ListEntry(_name_of(told, kept, number), own, asked, folds)


def _several(called: str) -> str:
    """Return a heading over several: ``Pieces of a bolt``."""
    what, *rest = called.capitalize().split(" ")
    return " ".join([f"{what}s", *rest])


def _is_asked(fields: Fields, path: Path) -> bool:
    """Return False for the direction of an offset where nobody has told one and none is missing."""
    return (
        path[-1] != "offset_direction" or path in fields.unplaced or value_at(fields.survey.document, path) is not None
    )


def _name_of(told: dict[str, Any], kept: Kept, number: int) -> str:
    return str(told.get("name") or told.get("label") or told.get("wall") or f"{kept.called} {number + 1}")


def _words(fields: Fields, kept: Kept, key: str) -> tuple[str, ...]:
    """Return all that may be answered where something of the room is named; empty for anything else."""
    document = fields.survey.document
    walls = _told(document, "wall")
    if kept is BANDS and key in ("above", "below"):
        return tuple(str(rail["name"]) for rail in _told(document, "rail") if "name" in rail)
    if kept is BORDERS and key == "round":
        things = [thing for wall in walls for thing in _told(wall, "opening")]
        return tuple(dict.fromkeys(str(thing.get("name", thing.get("kind"))) for thing in things))
    return tuple(str(wall["name"]) for wall in walls if "name" in wall) if key == "wall" else ()


def _told(holder: dict[str, Any], key: str) -> list[dict[str, Any]]:
    return [entry for entry in listed_at(holder, (key,)) if isinstance(entry, dict)]
