"""Pictures of walls: each to scale as one faces it, with the paper on it, what is marked, and what is in the way."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from msgspec import Struct
from msgspec.structs import replace

from cutplan.lengths import Length, show
from cutplan.photograph.print_of import Print
from cutplan.render.drawing.elevation import Elevation, Face, elevations_of
from cutplan.render.drawing.fixtures import draw_fittings, draw_openings, name_fitting, name_openings, opening_boxes
from cutplan.render.drawing.lettering import Box, isolated
from cutplan.render.drawing.marks import hatching
from cutplan.render.drawing.paper_on_wall import draw_strips, number_drops, shown_of
from cutplan.render.drawing.picture import Picture, corners
from cutplan.render.drawing.set_marks import (
    draw_edges,
    draw_level_line,
    draw_plumb_lines,
    flags_of,
    lay_tape,
    name_columns,
    name_walls,
    stick_flag,
    way_down_to,
)
from cutplan.room.walls import Fitting, FittingKind, Room
from cutplan.setting_out import SettingOut

_NOT_PAPERED = 45
_PALE = 0.5


class WallPicture(Struct, frozen=True):
    """A picture, and the part of the run that it shows."""

    picture: Picture
    elevation: Elevation

    @property
    def walls(self) -> tuple[int, ...]:
        """The walls that it shows, counted from 0."""
        return tuple(face.wall for face in self.elevation.faces)


def wall_pictures(
    setting_out: SettingOut,
    units: str = "mm",
    name: str = "walls",
    *,
    for_customer: bool = False,
    readings: Mapping[str, tuple[str, ...]] | None = None,
    printed: Print | None = None,
    moving: int | None = None,
) -> tuple[WallPicture, ...]:
    """Return pictures of the walls of a room set out, left to right; together they show the whole run.

    Parameters
    ----------
    name
        Begins the ids in the pictures, so that they can stand on one page with others.
    for_customer
        True to show where the print and the joints fall, without numbers and measures.
    readings
        What to write in a drop beside its number, by its label: the longest first, then shorter ones for less room.
    printed
        The print itself, to be laid on the strips, pale where numbers and measures stand on it; None for drawn leaves.
    moving
        The wall on which the start is being moved, to draw that one alone and at once, without numbers and names.

    """
    joints = [(panel.wall, panel.right) for column in setting_out.columns for panel in column.panels]
    parts = elevations_of(setting_out.room, joints)
    if printed is not None and not for_customer:
        printed = replace(printed, opacity=_PALE)
    pictures = []
    for number, elevation in enumerate(parts, start=1):
        if moving is not None and all(face.wall != moving for face in elevation.faces):
            continue
        said = "" if moving is not None else _description(elevation, setting_out, units)
        picture = Picture(f"{name}-{number}", title_of(elevation), said)
        if moving is None:
            _draw_papered(
                picture, elevation, setting_out, None if for_customer else units, readings or {}, printed=printed
            )
        else:
            _draw_moving(picture, elevation, setting_out, units, printed)
        pictures.append(WallPicture(picture, elevation))
    return tuple(pictures)


def bare_wall_pictures(room: Room, name: str = "room") -> tuple[WallPicture, ...]:
    """Return pictures of the walls of a room that is not set out yet: its openings and fittings, in millimetres."""
    pictures = []
    for number, elevation in enumerate(elevations_of(room), start=1):
        picture = Picture(f"{name}-{number}", title_of(elevation), _bare_description(elevation, "mm"))
        clear_of_openings(picture, elevation)
        draw_walls(picture, elevation)
        places = [
            (face, along)
            for face in elevation.faces
            for opening, _ in opening_boxes(elevation, face)
            for along in (max(opening.left, face.left), min(opening.right, face.right))
        ]
        lay_tape(picture, elevation, places, "mm")
        name_walls(picture, elevation, [])
        pictures.append(WallPicture(picture, elevation))
    return tuple(pictures)


def _draw_moving(
    picture: Picture, elevation: Elevation, setting_out: SettingOut, units: str, printed: Print | None
) -> None:
    draw_strips(picture, elevation, setting_out, clear_of_openings(picture, elevation), printed)
    draw_level_line(picture, elevation, setting_out)
    draw_plumb_lines(picture, elevation, setting_out)
    draw_standing(picture, elevation)
    lay_tape(picture, elevation, list(_joints_on_tape(elevation, setting_out)), units)


def _draw_papered(
    picture: Picture,
    elevation: Elevation,
    setting_out: SettingOut,
    units: str | None,
    readings: Mapping[str, tuple[str, ...]],
    *,
    printed: Print | None,
) -> None:
    """Draw walls with their paper; without ``units`` leave out what only a paperhanger needs."""
    clip = clear_of_openings(picture, elevation)
    motifs = draw_strips(picture, elevation, setting_out, clip, printed)
    flags = flags_of(elevation, setting_out, with_start=units is not None)
    for _, point in flags:
        picture.reserve(way_down_to(point))
    if units is None:
        draw_walls(picture, elevation)
    else:
        draw_level_line(picture, elevation, setting_out)
        draw_plumb_lines(picture, elevation, setting_out)
        draw_walls(picture, elevation, setting_out, motifs, readings)
        name_columns(picture, elevation, setting_out)
        lay_tape(picture, elevation, list(_joints_on_tape(elevation, setting_out)), units)
    name_walls(picture, elevation, [way_down_to(point) for _, point in flags])
    picture.release()
    for words, point in flags:
        stick_flag(picture, elevation, words, point)


def clear_of_openings(picture: Picture, elevation: Elevation) -> str:
    """Return a clip to the walls less their openings."""
    outline = [elevation.outline(face) for face in elevation.faces]
    openings = [corners(box) for face in elevation.faces for _, box in opening_boxes(elevation, face)]
    return picture.clip([*outline, *openings])


def draw_walls(
    picture: Picture,
    elevation: Elevation,
    setting_out: SettingOut | None = None,
    motifs: Iterable[Box] = (),
    readings: Mapping[str, tuple[str, ...]] | None = None,
) -> None:
    """Draw openings, fittings and edges, and what is written within the walls: the drops' numbers first."""
    fittings = draw_standing(picture, elevation)
    keep_clear_of(picture, fittings)
    if setting_out is not None:
        number_drops(picture, elevation, setting_out, [*motifs, *(box for _, box in fittings)], readings or {})
    for face in elevation.faces:
        name_openings(picture, elevation, face)
    for fitting, box in fittings:
        name_fitting(picture, elevation, fitting, box)


def draw_standing(picture: Picture, elevation: Elevation) -> list[tuple[Fitting, Box]]:
    """Draw openings, fittings and edges; return the fittings, each with its place."""
    fill = hatching(picture, _NOT_PAPERED)
    clip = picture.clip([elevation.outline(face) for face in elevation.faces])
    fittings = []
    for face in elevation.faces:
        draw_openings(picture, elevation, face, fill, clip)
        fittings += draw_fittings(picture, elevation, face)
    draw_edges(picture, elevation)
    return fittings


def keep_clear_of(picture: Picture, fittings: Iterable[tuple[Fitting, Box]]) -> None:
    """Keep numbers away from fittings, but for radiators: one can be read there, and its strip hangs behind it."""
    for fitting, box in fittings:
        if fitting.kind is not FittingKind.RADIATOR:
            picture.keep_clear(box)


def _joints_on_tape(elevation: Elevation, setting_out: SettingOut) -> Iterator[tuple[Face, Length]]:
    seen = set()
    for column in setting_out.columns:
        for shown in shown_of(elevation, column.panels):
            for edge in (shown.panel.left, shown.panel.right):
                if shown.face.left < edge < shown.face.right and (shown.face.wall, edge) not in seen:
                    seen.add((shown.face.wall, edge))
                    yield shown.face, edge


# In words


def title_of(elevation: Elevation) -> str:
    """Return the names of the walls that a part shows."""
    names = [isolated(elevation.wall(face).name) for face in elevation.faces]
    return ", ".join(names)


def _description(elevation: Elevation, setting_out: SettingOut, units: str) -> str:
    said = []
    for piece in setting_out.pieces:
        for shown in shown_of(elevation, piece.panels):
            wall = isolated(elevation.wall(shown.face).name)
            place = f"{show(shown.left, units)} to {show(shown.right, units)}"
            said.append((elevation.x(shown.face, shown.left), f"drop {piece.label} on {wall} from {place}"))
    drops = "; ".join(words for _, words in sorted(said, key=lambda item: item[0]))
    level = f"Level line {show(setting_out.level_line, units)} above the floor line."
    return f"From left to right: {drops}. {level} {_bare_description(elevation, units)}".strip()


def _bare_description(elevation: Elevation, units: str) -> str:
    said = []
    for face in elevation.faces:
        wall = elevation.wall(face)
        for opening, _ in opening_boxes(elevation, face):
            place = f"{show(opening.left, units)} to {show(opening.right, units)}"
            said.append(f"{isolated(opening.name)} on {isolated(wall.name)} from {place}.")
        said += [f"{isolated(fitting.name)} at {show(fitting.left, units)}." for fitting in wall.fittings]
    return " ".join(said)
