"""What only some jobs need, as folded fields of the page: each table and each list of the file, told here once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, Final

from msgspec import Struct

from cutplan.page.editing import Path, listed_at, value_at
from cutplan.page.survey_fields import Field, Fields, stands_at
from cutplan.parts.bands import BAND_KEYS
from cutplan.parts.border_tables import BORDER_KEYS
from cutplan.parts.rails import RAIL_KEYS
from cutplan.scenario.cutting_table import CUTTING_KEYS
from cutplan.scenario.lining_table import DAMP_KEYS, LINED_PART_KEYS, LINING_KEYS
from cutplan.scenario.material_table import MATERIAL_KEYS
from cutplan.scenario.pace_table import PACE_KEYS
from cutplan.scenario.paper_table import LABEL_KEYS
from cutplan.scenario.sale_keys import SALE_KEYS
from cutplan.scenario.sheets_table import SHEETS_KEYS
from cutplan.scenario.stock_tables import FLAW_KEYS, OFFCUT_KEYS, PIECE_KEYS, ROLL_KEYS


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


def _asked(holder: str, keys: Iterable[str]) -> tuple[str, ...]:
    """Return those of the keys of a table that a question asks for; the others are tables, or not for a page."""
    return tuple(key for key in keys if stands_at((holder, key)))


SOLD: Final = _asked("paper", (*SALE_KEYS, "reverse", "sideways"))
_AT_WORK: Final = (("How fast the work goes", "pace", PACE_KEYS), ("How lengths are cut", "cutting", CUTTING_KEYS))
ROLLS: Final = Kept(
    "roll",
    "roll",
    _asked("roll", ROLL_KEYS),
    inner=(Kept("flaws", "flaw", FLAW_KEYS), Kept("pieces", "piece of a bolt", PIECE_KEYS)),
)
OFFCUTS: Final = Kept("offcut", "offcut", _asked("offcut", OFFCUT_KEYS))
RAILS: Final = Kept("rail", "rail", RAIL_KEYS)
BANDS: Final = Kept("band", "band", _asked("band", BAND_KEYS), (("paper", LABEL_KEYS),))
BORDERS: Final = Kept(
    "border",
    "border",
    _asked("border", BORDER_KEYS),
    (("paper", LABEL_KEYS),),
    (("How it is sold", "paper", SOLD[: SOLD.index("selvedge")]), *_AT_WORK),
    (ROLLS, OFFCUTS),
)
LINING: Final = (Kept("part", "part of a wall", LINED_PART_KEYS), ROLLS)
DAMP: Final = Kept(
    "damp_lining", "lining against damp", _asked("damp_lining", DAMP_KEYS), folded=_AT_WORK, inner=LINING
)
MATERIALS: Final = Kept("material", "material", MATERIAL_KEYS)
LISTS: Final = {kept.key: kept for kept in (RAILS, BANDS, BORDERS, DAMP, MATERIALS, ROLLS, OFFCUTS)}

TABLES: Final = {
    "sheets": SHEETS_KEYS,
    "equal_strips": ("edge_trim",),
    "pace": PACE_KEYS,
    "cutting": CUTTING_KEYS,
    "lining": _asked("lining", LINING_KEYS),
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
                asked += [fields.of(*own, table, key) for key in keys if is_shown(fields, (*own, table, key))]
            folds = [of_table(fields, heading, own, table, keys) for heading, table, keys in kept.folded]
            folds += [of_lists(fields, _several(inner.called), own, inner) for inner in kept.inner]
            name = told.get("name") or told.get("label") or told.get("wall") or f"{kept.called} {number + 1}"
            yield ListEntry(str(name), own, asked, folds)


def _several(called: str) -> str:
    """Return a heading over several: ``Pieces of a bolt``."""
    what, *rest = called.capitalize().split(" ")
    return " ".join([f"{what}s", *rest])


def is_shown(fields: Fields, path: Path) -> bool:
    """Return False for the direction of an offset where nobody has told one and none is missing."""
    return (
        path[-1] != "offset_direction" or path in fields.unplaced or value_at(fields.survey.document, path) is not None
    )


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
