"""The parts of the page that hold the survey: the paper with its print drawn, and the walls drawn as they are typed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from typing import Any, Final

from msgspec import Struct

from cutplan.asking.questions import BREAST
from cutplan.errors import CutplanError
from cutplan.lengths import ZERO, Length, read_length
from cutplan.page.desk import Desk
from cutplan.page.editing import listed_at, value_at
from cutplan.page.further_fields import (
    BANDS,
    BORDERS,
    DAMP,
    LINING,
    MATERIALS,
    RAILS,
    SOLD,
    TABLES,
    Fold,
    is_shown,
    of_lists,
    of_table,
)
from cutplan.page.photograph_part import print_served
from cutplan.page.survey_fields import Field, Fields, shown_value, stands_at
from cutplan.paper.match_label import read_match
from cutplan.paper.stock import Paper
from cutplan.render.drawing.picture import Picture
from cutplan.render.drawing.wall_picture import wall_pictures
from cutplan.render.words.readings import place
from cutplan.room.profile import Profile
from cutplan.room.walls import FittingKind, OpeningKind, Room, Wall
from cutplan.scenario.paper_table import LABEL_KEYS
from cutplan.scenario.survey.room_tables import ROOM_KEYS
from cutplan.scenario.survey.wall_tables import CORNER_KEYS, STANDING
from cutplan.setting_out import Puts, Start, set_out
from cutplan.wording import sits

_MOTIF: Final = ("motif_from_left", "motif_above", "motif_below", "motif_width")
_REST: Final = (("paper", "price"), ("paper", "wet_growth"), ("paper", "foil"), ("trim", "top"), ("trim", "bottom"))
_OF_PAPER: Final = ("paper", "trim", "sheets", "equal_strips", "pace", "cutting")
_WIDE: Final = 560.0
"""Units that the widest wall of a survey takes in its drawing."""
_HIGH: Final = 380.0


class Measure(Struct, frozen=True):
    """A measure in a drawing: its text, where it stands, and the field that it is."""

    text: str
    x: float
    y: float
    field: str
    is_upright: bool = False


class Outline(Struct, frozen=True):
    """Something drawn: its corners as SVG takes them, and what is written in it."""

    points: str
    name: str = ""
    x: float = 0.0
    y: float = 0.0


class WallSheet(Struct, frozen=True):
    """One wall: its fields, and its drawing as far as its measures can be read."""

    number: int
    name: str
    fields: list[Field]
    corner: Fold | None
    things: list[tuple[str, tuple[str | int, ...], str, list[Field]]]
    width: float
    height: float
    outline: str
    drawn: list[Outline]
    measures: list[Measure]

    @property
    def is_drawn(self) -> bool:
        """True when enough is known to draw it."""
        return bool(self.outline)


def paper_content(desk: Desk) -> dict[str, object]:
    """Return what the part on the paper shows."""
    fields, holder = Fields(desk.survey()), desk.holder
    of_sheets = value_at(desk.survey().document, (*holder, "sheets")) is not None
    left_out = {"price", "match"} if of_sheets else {"price"}
    label = [(*holder, "paper", key) for key in LABEL_KEYS if key not in left_out]
    return {
        "is_named": desk.path is not None,
        "units": fields.of("units"),
        "label": [fields.of(*path) for path in label if is_shown(fields, path)],
        "motif": [fields.of(*holder, "paper", key) for key in _MOTIF],
        "rest": [fields.of(*holder, *path) for path in _REST],
        "folds": [
            of_table(fields, "How it is sold, and what comes off its edges", holder, "paper", SOLD),
            of_table(fields, "A mural in numbered sheets", holder, "sheets", TABLES["sheets"]),
            of_table(
                fields, "Equal strips, of grasscloth and the like", holder, "equal_strips", TABLES["equal_strips"]
            ),
            of_table(fields, "How fast you work", holder, "pace", TABLES["pace"]),
            of_table(fields, "How you cut", holder, "cutting", TABLES["cutting"]),
        ],
        "print": _print(desk, fields.units),
        "step": _step(desk, fields.units),
        "broken": [] if desk.survey().document else [fault.what for fault in desk.survey().faults],
    }


def _print(desk: Desk, units: str) -> Picture | None:
    """Return three strips side by side, so that a wrong step from one to the next is seen; None for no print."""
    paper = _paper(desk, units)
    if paper is None or paper.pattern.is_free or paper.wet_width is None or paper.sheets is not None:
        return None
    height = paper.pattern.repeat * Fraction(9, 4)
    wall = Wall("three strips side by side", 3 * paper.wet_width, Profile.at_height(height), Profile.at_height(ZERO))
    room = Room((wall,), (), closes=False)
    try:
        found = set_out(room, paper, Start(0, paper.wet_width, Puts.JOINT, paper.pattern.repeat / 4))
    except CutplanError:
        return None
    scenario = desk.survey().scenario
    printed = None if scenario is None else print_served(scenario)[0]
    return wall_pictures(found, units, "print", for_customer=True, printed=printed)[0].picture


def _paper(desk: Desk, units: str) -> Paper | None:
    scenario = desk.survey().scenario
    return scenario.job.paper if scenario is not None else _paper_so_far(desk.survey().document, units)


def _step(desk: Desk, units: str) -> str:
    """Return the print's repeat, and its step from strip to strip, in words."""
    paper = _paper(desk, units)
    if paper is None or paper.pattern.is_free:
        return "" if paper is None else "A free match: strips need not meet."
    if paper.sheets is not None:
        return "Numbered sheets make one picture, in which nothing comes again."
    pattern = paper.pattern
    repeat = f"The print comes again every {place(pattern.repeat, units)}"
    if not pattern.offset:
        return f"{repeat}, and is level from strip to strip."
    if not pattern.needs_direction:
        return f"{repeat}; every second strip is half of that lower."
    return f"{repeat}; on each strip to the right it {sits(pattern.step).read(units)}."


def _paper_so_far(document: dict[str, object], units: str) -> Paper | None:
    """Return as much of the paper as draws its print, while the survey is not whole."""
    told = document.get("paper")
    if not isinstance(told, dict):
        return None
    try:
        direction = told.get("offset_direction")
        pattern = read_match(told.get("match"), units, direction if isinstance(direction, str) else None).pattern
        lengths = {key: read_length(told[key], units) for key in ("roll_length", "roll_width", *_MOTIF) if key in told}
        return Paper(
            "paper",
            pattern,
            lengths["roll_length"],
            lengths["roll_width"],
            motif_from_left=lengths.get("motif_from_left"),
            motif_above=lengths.get("motif_above", ZERO),
            motif_below=lengths.get("motif_below", ZERO),
        )
    except (CutplanError, KeyError):
        return None


def room_content(desk: Desk) -> dict[str, object]:
    """Return what the part on the room shows."""
    survey = desk.survey()
    fields = Fields(survey)
    for path in list(fields.unplaced):
        if path[:1] and path[0] in _OF_PAPER and stands_at(path):
            fields.unplaced.pop(path)  # said in the part on the paper
    walls = [wall for wall in listed_at(survey.document, ("wall",)) if isinstance(wall, dict)]
    per_mm = _scale(walls, fields.units)
    last = len(walls) - 1
    closes = value_at(survey.document, ("room", "closes")) is True
    sheets = [
        _sheet(fields, number, wall, per_mm, has_corner=number < last or closes) for number, wall in enumerate(walls)
    ]
    is_list = "drop" in survey.document
    return {
        "is_list": is_list,
        "sheets": sheets,
        "room": [] if not walls else [fields.of("room", key) for key in ROOM_KEYS],
        "folds": [] if not walls else _further(fields),
        "left_over": list(fields.left_over()) if survey.document and not is_list else [],
        "openings": [kind.value for kind in OpeningKind],
        "breast": BREAST,
        "fittings": [kind.value for kind in FittingKind],
    }


def _further(fields: Fields) -> list[Fold]:
    return [
        of_lists(fields, "Rails, bands and borders", (), RAILS, BANDS, BORDERS),
        of_table(fields, "Lining under the paper", (), "lining", TABLES["lining"]),
        *(_of_lining(fields) if "lining" in fields.survey.document else ()),
        of_lists(fields, "Linings against damp", (), DAMP),
        of_lists(fields, "Paste, size, filler: what is bought besides", (), MATERIALS),
    ]


def _of_lining(fields: Fields) -> Iterator[Fold]:
    yield of_lists(fields, "Rolls of lining in hand, and parts of walls that alone are lined", ("lining",), *LINING)
    yield of_table(fields, "How fast the lining goes", ("lining",), "pace", TABLES["pace"])
    yield of_table(fields, "How its lengths are cut", ("lining",), "cutting", TABLES["cutting"])


def _scale(walls: list[dict[str, Any]], units: str) -> float:
    widths = [width for wall in walls if (width := _mm(wall.get("width"), units))]
    heights = [max(height for _, height in edge) for wall in walls if (edge := _edge(wall, units, float(_WIDE)))]
    return min(_WIDE / max([*widths, 1000.0]), _HIGH / max([*heights, 1000.0]))


def _mm(value: object, units: str) -> float | None:
    """Return a measure in millimetres; None where it cannot be read."""
    try:
        return float(read_length(value, units))
    except CutplanError:
        return None


def _edge(wall: dict[str, Any], units: str, width: float, key: str = "top") -> list[tuple[float, float]]:
    """Return the line along a wall's top or foot, left to right; empty where it cannot be read."""
    told = wall.get(key, wall.get("height") if key == "top" else 0)
    if isinstance(told, list):
        try:
            read: list[tuple[Length, Length]] = [
                (read_length(along, units), read_length(height, units)) for along, height in told
            ]
        except (CutplanError, ValueError, TypeError):
            return []
        return [(float(along), float(height)) for along, height in read]
    height = _mm(told, units)
    return [] if height is None else [(0.0, height), (width, height)]


def _sheet(fields: Fields, number: int, wall: dict[str, Any], per_mm: float, *, has_corner: bool) -> WallSheet:
    keys = ["name", "width", "height", *(["corner"] if has_corner else []), "foot"]
    own = [fields.of("wall", number, key) for key in keys]
    if "top" in wall:
        own[2] = _slope(fields, number, wall)
    turned = [fields.of("wall", number, key) for key in CORNER_KEYS if key != "corner"] if has_corner else []
    corner = Fold("How paper goes round that corner", turned, [], []) if turned else None
    units = fields.units
    width = _mm(wall.get("width"), units)
    top, foot = _edge(wall, units, width or 0.0), _edge(wall, units, width or 0.0, "foot")
    things = [
        _thing(fields, number, what, index, thing)
        for what in ("opening", "fitting")
        for index, thing in enumerate(listed_at(wall, (what,)))
        if isinstance(thing, dict)
    ]
    name = str(wall.get("name", f"wall {number + 1}"))
    if not width or not top or not foot:
        return WallSheet(number, name, own, corner, things, 0, 0, "", [], [])
    high = max(height for _, height in top)
    low = min(height for _, height in foot)

    def at(along: float, height: float) -> tuple[float, float]:
        return along * per_mm + 40, (high - height) * per_mm + 10

    outline = [at(*point) for point in [*top, *reversed(foot)]]
    middle, bottom = at(width / 2, low)
    measures = [
        Measure(shown_value(wall.get("width")), middle, bottom + 26, own[1].identity),
        Measure(own[2].value, 20, at(0, (high + low) / 2)[1], own[2].identity, is_upright=True),
    ]
    drawn = []
    for _, path, kind, those in things:
        thing = wall[str(path[2])][int(path[3])]
        outline_of, told = _drawn(thing, kind, those, at, low)
        drawn += outline_of
        measures += told
    frame = (_WIDE + 80, (high - low) * per_mm + 46)
    told = [each for each in measures if each.text]
    return WallSheet(number, name, own, corner, things, *frame, _svg(outline), drawn, told)


def _slope(fields: Fields, number: int, wall: dict[str, Any]) -> Field:
    """Return the field of a top that slopes, which the file keeps under another key than a level one."""
    level = fields.of("wall", number, "height")
    faults = tuple(fields.unplaced.pop(("wall", number, "top"), []))
    return Field(
        level.path, level.asked, level.why, shown_value(wall["top"]), level.units, "", (), (*level.faults, *faults)
    )


def _thing(
    fields: Fields, wall: int, what: str, index: int, thing: dict[str, Any]
) -> tuple[str, tuple[str | int, ...], str, list[Field]]:
    kind = str(thing.get("kind", what))
    keys = ["name", "left", "width"]
    if what == "opening":
        stands = any(kind == standing.value for standing in STANDING)
        keys += ["height"] if stands and "foot" not in thing else ["foot", "height"]
        keys += ["reveal"] if kind != OpeningKind.FIREPLACE.value or "reveal" in thing else []
    else:
        keys += ["foot", "height"]
    path = ("wall", wall, what, index)
    return str(thing.get("name", kind)), path, kind, [fields.of(*path, key) for key in keys]


def _drawn(
    thing: dict[str, Any],
    kind: str,
    those: list[Field],
    at: Callable[[float, float], tuple[float, float]],
    low: float,
) -> tuple[list[Outline], list[Measure]]:
    """Return an opening or a fitting as it is drawn, as far as its measures can be read."""
    told = {str(each.path[-1]): each for each in those}
    left, width = _read(told["left"]), _read(told["width"])
    if left is None:
        return [], []
    name = str(thing.get("name", kind))
    foot, height = _read(told.get("foot")), _read(told.get("height"))
    foot = low if foot is None else foot
    if "height" not in told:  # a fitting, of which only the place along the wall is asked
        x, y = at(left + (width or 0) / 2, low + 300)
        return [Outline(_svg([(x - 9, y - 9), (x + 9, y - 9), (x + 9, y + 9), (x - 9, y + 9)]), name, x, y - 16)], []
    right, head = left + (width or 300), foot + (height or 300)
    corners = [at(left, head), at(right, head), at(right, foot), at(left, foot)]
    (x, y), (_, bottom) = at((left + right) / 2, (foot + head) / 2), at(left, foot)
    measures = [
        Measure(told["width"].value, x, corners[0][1] + 20, told["width"].identity),
        Measure(told["height"].value, corners[1][0] - 12, y, told["height"].identity, is_upright=True),
        Measure(told["left"].value, at(left / 2, foot)[0], bottom - 6, told["left"].identity),
    ]
    if "foot" in told:
        measures.append(Measure(told["foot"].value, x, at(0, foot / 2)[1], told["foot"].identity))
    return [Outline(_svg(corners), name, x, y + 6)], measures


def _read(told: Field | None) -> float | None:
    return None if told is None or not told.value else _mm(told.value, told.units)


def _svg(outline: list[tuple[float, float]]) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in outline)
