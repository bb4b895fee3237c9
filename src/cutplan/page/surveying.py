"""Changing the survey: a measure typed where it stands, a wall or what stands on it added and taken away.

Every change is made on the file as it is at that moment, so that whoever changed something else meanwhile loses
nothing; where the same measure was changed meanwhile, both are shown and the hand that typed chooses.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path as File
from typing import TYPE_CHECKING, Any, Final

from cutplan.asking.answers import OFFER, as_toml
from cutplan.asking.questions import BREAST
from cutplan.asking.wall_questions import free_name
from cutplan.errors import CutplanError
from cutplan.lengths import read_length
from cutplan.page.asked import Asked
from cutplan.page.desk import Desk
from cutplan.page.editing import EditError, Path, insert, parsed, put, remove, text_of, value_at
from cutplan.page.further_fields import LISTS, RAILS, TABLES, Kept
from cutplan.page.survey_fields import question_of, shown_value, toml_of
from cutplan.plain_text import steers
from cutplan.room.breast import FACE, Breast
from cutplan.room.finding import RoomError
from cutplan.room.walls import CornerKind, FittingKind, OpeningKind
from cutplan.scenario.sale_keys import sale_keys
from cutplan.scenario.toml_text import decimal, length_value, quoted
from cutplan.setting_out import Puts
from cutplan.whole_file import refuse_to_write_over, write_new

if TYPE_CHECKING:
    from tomlkit import TOMLDocument

EMPTY: Final = """\
# A room surveyed on the page. Walls in order, left to right as one faces them; distances along a wall
# from its left; heights up from the floor line; first motifs down.

units = "mm"

[paper]
name = "wallpaper"
roll_length = "10.05 m"
roll_width = 530
"""
"""What a new survey begins with: the ordinary European roll [EN 233, derived]; the label at hand wins."""

_FOUR: Final = 4
_MOST_NAME: Final = 60
_MOST_KEPT: Final = 50


class ChangedElsewhereError(CutplanError):
    """The same measure was changed meanwhile: ``now`` is what the file says."""

    def __init__(self, now: str) -> None:
        super().__init__(f"The file says {now or 'nothing'} here now: it was changed elsewhere meanwhile.")
        self.now = now


class Surveyors:
    """Makes changes to one job's survey, and takes the last ones back."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self._before: list[tuple[str, str]] = []

    def edit(self, asked: Asked) -> dict[str, object]:
        """Write one measure: ``value`` at ``path``, where ``was`` stood when it was typed."""
        path, typed, was = asked.path("path"), asked.text("value"), asked.text("was")
        with self.desk.lock:
            text = self.desk.text()
            document = parsed(text)
            now = shown_value(value_at(document.unwrap(), path))
            if now not in (was, typed.strip()):
                raise ChangedElsewhereError(now)
            units = str(document.get("units", "mm"))
            self._edit(document, path, typed, units)
            if "paper" in path:
                _give_height(document)
            self._write(text, document, str(path[0]), "start", "finish")
        return {}

    def _edit(self, document: TOMLDocument, path: Path, typed: str, units: str) -> None:
        question_of(path)
        if value_at(document, path[:-1]) is None and any(isinstance(step, int) for step in path):
            raise EditError("It is not there any more.")
        new = toml_of(path, typed, units)
        if path[-1] in ("height", "top") and len(path) == 3:  # noqa: PLR2004 - wall, n, height
            put(document, (*path[:-1], "top" if (new or "").startswith("[") else "height"), new)
            put(document, (*path[:-1], "height" if (new or "").startswith("[") else "top"), None)
            _share_height(document, new)
            return
        before = value_at(document.unwrap(), path)
        put(document, path, new)
        if path[-2:] == ("start", "motif_at"):
            put(document, (*path[:-1], "motif_drop"), "0" if new is None else None)
        if path[-2:] == ("paper", "price"):
            _put_sale(document, path[:-1], typed, units)
        if path[0] == "border" and path[-1] == "match" and new is None:
            put(document, path, quoted("free"))
        if len(path) > 1 and path[-2] in TABLES and not value_at(document.unwrap(), path[:-1]):
            put(document, path[:-1], None)
        if path[-1] == "name" and len(path) > 2 and isinstance(before, str) and typed.strip():  # noqa: PLR2004 - not the paper's
            _rename(document, before, quoted(typed.strip()))

    def change(self, asked: Asked) -> dict[str, object]:
        """Add something to the survey or take something away."""
        what = asked.text("what")
        with self.desk.lock:
            text = self.desk.text()
            if what == "back":
                return self._back(text)
            document = parsed(text)
            if what == "remove":
                remove(document, asked.path("path"))
                _settle_ends(document)
            elif what == "walls":
                self._walls(document, asked.whole("count"), closes=asked.flag("closes"))
            elif what == "breast":
                _breast(document, asked)
            elif what in ("opening", "fitting"):
                _add_thing(document, asked.whole("wall"), what, asked.text("kind"))
            elif what == "roll":
                _add_rolls(document, self.desk.holder, asked)
            elif what == "entry":
                _add_entry(document, asked.path("path"))
            else:
                raise EditError("Nothing of that kind can be done.")
            self._write(text, document, "wall", "room", "start", "finish", *LISTS, *TABLES, "paper")
        return {}

    def _walls(self, document: TOMLDocument, count: int, *, closes: bool) -> None:
        walls = value_at(document.unwrap(), ("wall",)) or []
        height = next((wall.get("height") for wall in reversed(walls) if "height" in wall), None)
        for number in range(len(walls) + 1, len(walls) + min(count, _FOUR) + 1):
            told = {"name": quoted(f"wall {number}")}
            if height is not None:
                told["height"] = as_toml(str(height))
            insert(document, ("wall",), number, told)
        if closes:
            put(document, ("room", "closes"), "true")
        _settle_ends(document)

    def name(self, asked: Asked) -> dict[str, object]:
        """Give a new survey its file, which must not be there yet."""
        with self.desk.lock:
            if self.desk.path is not None:
                raise CutplanError(f"It is called {self.desk.name} already.")
            name = asked.text("name").strip().removesuffix(".toml")
            if not name or len(name) > _MOST_NAME or steers(name) or name[0] == "." or set(name) & set('/\\:*?"<>|'):
                raise CutplanError("A name for the file has letters, figures, spaces and hyphens; no stroke in it.")
            file = f"{name}.toml"
            refuse_to_write_over(file)
            write_new(file, self.desk.draft)
            self.desk.path = File(file)
        return {}

    def _write(self, before: str, document: TOMLDocument, *changed: str) -> None:
        after = text_of(document, before, *changed)
        if after != before:
            self.desk.write(after)
            self._before = [*self._before, (before, after)][-_MOST_KEPT:]

    def _back(self, text: str) -> dict[str, object]:
        if not self._before or self._before[-1][1] != text:
            raise EditError("There is no change of this page to take back; the file was changed elsewhere since.")
        self.desk.write(self._before.pop()[0])
        return {}


def _plain(document: TOMLDocument, *path: str | int) -> Any:  # noqa: ANN401 - whatever stands there
    return value_at(document.unwrap(), path)


def _settle_ends(document: TOMLDocument) -> None:
    """Give a survey that has walls a start, on a wall that is there, and its last wall no corner that it has not."""
    walls = _plain(document, "wall") or []
    if not walls:
        for name in ("start", "finish"):
            document.pop(name, None)
        return
    names = [wall.get("name") for wall in walls]
    if _plain(document, "start", "wall") not in names:
        document.pop("start", None)
        put(document, ("start", "wall"), quoted(str(names[0])))
        put(document, ("start", "at"), quoted("middle"))
        measured = _plain(document, "paper", "motif_from_left") is not None
        put(document, ("start", "puts"), quoted((Puts.MOTIF if measured else Puts.MIDDLE).value))
        put(document, ("start", "motif_drop"), "0")
    if _plain(document, "finish") is not None and not _is_there(document):
        document.pop("finish", None)
    if not _plain(document, "room", "closes"):
        put(document, ("wall", len(walls) - 1, "corner"), None)


def _is_there(document: TOMLDocument) -> bool:
    over = _plain(document, "finish", "over")
    openings = [thing for wall in _plain(document, "wall") for thing in wall.get("opening", [])]
    return over is None or over in [thing.get("name", thing.get("kind")) for thing in openings]


def _share_height(document: TOMLDocument, height: str | None) -> None:
    """Give the walls that have no height yet the one just told, which they mostly have too."""
    if height is not None and not height.startswith("["):
        for number, wall in enumerate(_plain(document, "wall")):
            if not {"height", "top"} & set(wall):
                put(document, ("wall", number, "height"), height)


def _give_height(document: TOMLDocument) -> None:
    """Give the start a height where the paper has a print now and none was told."""
    if _plain(document, "start") and not {"motif_drop", "motif_at"} & set(_plain(document, "start")):
        put(document, ("start", "motif_drop"), "0")


def _rename(document: TOMLDocument, before: str, after: str) -> None:
    """Let the start and the finish go on to mean what was called otherwise before."""
    for path in (("start", "wall"), ("finish", "wall"), ("start", "middle_of"), ("finish", "over")):
        if _plain(document, *path) == before:
            put(document, path, after)


def _add_thing(document: TOMLDocument, wall: int, what: str, kind: str) -> None:
    kinds = [each.value for each in (OpeningKind if what == "opening" else FittingKind)]
    if kind not in kinds or _plain(document, "wall", wall) is None:
        raise EditError("There is nothing of that kind.")
    walls = _plain(document, "wall")
    taken = {thing.get("name", thing.get("kind")) for each in walls for thing in each.get(what, [])}
    name = free_name(kind, taken)
    told = {"kind": quoted(kind), **({} if name == kind else {"name": quoted(name)})}
    insert(document, ("wall", wall, what), len(walls[wall].get(what, [])), told)


def _breast(document: TOMLDocument, asked: Asked) -> None:
    """Part a wall by a chimney breast: its alcoves, the two sides and the face, with their corners and fireplace."""
    index = asked.whole("wall")
    wall = _plain(document, "wall", index)
    units = str(document.get("units", "mm"))
    if wall is None or wall.get("opening") or wall.get("fitting"):
        raise EditError("Put the breast on a bare wall; then say what stands on each of its parts.")
    if wall.get("width") is None:
        raise EditError("Tell the width of the whole wall first.")
    if "top" in wall or isinstance(wall.get("foot"), list):
        raise EditError("It slopes or steps: enter the breast’s alcoves, sides and face as walls of their own.")
    told = [each.kind.read(asked.text(each.key, "").strip() or each.default or "", units) for each in BREAST]
    try:
        parts = Breast(*told).parts(read_length(wall["width"], units))
    except RoomError as error:
        raise EditError(" ".join(f"The {each.path[-1]} {each.what.read(units)}." for each in error.findings)) from error
    name = str(wall.get("name", "wall"))
    edges = {key: as_toml(str(wall[key])) for key in ("height", "foot") if key in wall}
    remove(document, ("wall", index))
    for number, part in enumerate(parts, start=index):
        own = {"name": quoted(f"{name}, {part.called}"), "width": length_value(part.width, units), **edges}
        corner = wall.get("corner") if part.corner is None else part.corner.value
        if corner not in (None, CornerKind.INTERNAL.value):
            own["corner"] = quoted(corner)
        insert(document, ("wall",), number, own)
        for fireplace in part.openings:
            _add_thing(document, number, "opening", fireplace.kind.value)
            for key, length in (("left", fireplace.left), ("width", fireplace.width), ("height", fireplace.height)):
                put(document, ("wall", number, "opening", 0, key), length_value(length, units))
    if _plain(document, "start", "wall") == name:
        put(document, ("start", "wall"), quoted(f"{name}, {FACE}"))
    _settle_ends(document)


def _put_sale(document: TOMLDocument, paper: Path, typed: str, units: str) -> None:
    """Write how the paper is sold where its price says so: ``150 per packet of 2``."""
    try:
        price, per, sale = OFFER.read(typed.strip(), units)
    except CutplanError:
        return
    told = dict(sale_keys(sale))
    if told:
        priced = (
            {"price": None, "price_per": None} if price is None else {"price": decimal(price), "price_per": quoted(per)}
        )
        for key, value in {**priced, **told}.items():
            put(document, (*paper, key), value)


def _add_entry(document: TOMLDocument, path: Path) -> None:
    """Add one to a list of the file: a rail, a border, a flaw of a roll; the first rail parts what was one paper."""
    name = path[-1]
    kept = next((each for each in _every_list() if each.key == name), None)
    if kept is None:
        raise EditError("There is nothing of that kind.")
    if kept is RAILS and not _plain(document, "band"):
        _part_paper(document)
    there = _plain(document, *path) or []
    told: dict[str, str] = {}
    for key in ("name", "label"):
        if key in kept.asks:
            taken = {str(entry.get(key)) for entry in there}
            free = (f"{kept.called} {number}" for number in range(1, len(there) + 2))
            told[key] = quoted(next(each for each in free if each not in taken))
    insert(document, tuple(path), len(there), told)


def _every_list() -> Iterator[Kept]:
    for kept in LISTS.values():
        yield from (kept, *kept.inner)


def _part_paper(document: TOMLDocument) -> None:
    """Give the paper of the walls to the band above the rail that is to come, and make one below it."""
    rail = quoted("rail 1")
    insert(document, ("band",), 0, {"name": quoted("filling"), "above": rail})
    insert(document, ("band",), 1, {"name": quoted("dado"), "below": rail})
    bands: Any = document["band"]
    for key in ("paper", "sheets", "equal_strips", "roll", "offcut"):
        if key in document:
            bands[0].append(key, document.pop(key))
    put(document, ("band", 1, "paper", "name"), quoted("wallpaper"))
    wall = _plain(document, "start", "wall")
    if wall is not None:
        start = {"wall": quoted(wall), "at": quoted("middle"), "puts": quoted(Puts.MIDDLE.value), "motif_drop": "0"}
        for key, value in start.items():
            put(document, ("band", 1, "start", key), value)


def _add_rolls(document: TOMLDocument, holder: Path, asked: Asked) -> None:
    rolls = _plain(document, *holder, "roll") or []
    taken = {str(roll.get("label")) for roll in rolls}
    letters = (chr(ord("A") + number) for number in range(26))
    label = next((letter for letter in letters if letter not in taken), f"roll {len(rolls) + 1}")
    told = {"label": quoted(label)}
    if (count := asked.whole("count")) > 1:
        told["count"] = str(count)
    if asked.text("first_motif", "").strip():
        told["first_motif"] = as_toml(asked.text("first_motif").strip())
    if asked.text("batch", "").strip():
        told["batch"] = quoted(asked.text("batch").strip())
    insert(document, (*holder, "roll"), len(rolls), told)
