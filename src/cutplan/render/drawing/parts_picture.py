"""Pictures of the walls of a job of several parts: bands over one another, rails between them, borders over all."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from math import hypot
from typing import Final, TypeAlias

from msgspec.structs import replace

from cutplan.lengths import ZERO, Length
from cutplan.parts.border import BorderStrip, StripOnWall
from cutplan.parts.part import Part, PartedJob, PartKind
from cutplan.photograph import Print
from cutplan.render.drawing.elevation import Elevation, elevations_of
from cutplan.render.drawing.fixtures import name_openings
from cutplan.render.drawing.lettering import Box, Lettering, isolated
from cutplan.render.drawing.marks import CUT, OUTLINE, PENCIL, SMALL
from cutplan.render.drawing.paper_on_wall import draw_strips, number_drops
from cutplan.render.drawing.picture import PAPER, Picture
from cutplan.render.drawing.set_marks import draw_level_line, lay_tape, name_walls
from cutplan.render.drawing.wall_picture import WallPicture, clear_of_openings, draw_standing, keep_clear_of, title_of
from cutplan.setting_out import SettingOut

_CLOSEST_PRINT: Final = 9.0
"""Motifs of a border nearer to one another than this many units are a blur."""

Place: TypeAlias = "tuple[Length, Length]"
"""Along a wall, and above the floor line."""


def parts_pictures(
    job: PartedJob, units: str = "mm", prints: Mapping[str, Print | None] | None = None
) -> tuple[WallPicture, ...]:
    """Return pictures of the whole walls of a job, left to right, every part on them with its drops' numbers.

    ``prints`` are the prints of parts themselves, by their names, where they are known.
    """
    bands = [(part.name, found) for part in job.single_bands for _, found in part.set_out]
    joints = [
        (panel.wall, panel.right) for _, found in bands[:1] for column in found.columns for panel in column.panels
    ]
    pictures = []
    for number, elevation in enumerate(elevations_of(job.room, joints), start=1):
        picture = Picture(f"parts-{number}", title_of(elevation), _description(job))
        borders = [part for part in job.single if part.kind is PartKind.BORDER]
        _draw(picture, elevation, bands, borders, prints or {})
        lay_tape(picture, elevation, [], units)
        name_walls(picture, elevation, [])
        pictures.append(WallPicture(picture, elevation))
    return tuple(pictures)


def _description(job: PartedJob) -> str:
    return "; ".join(
        f"{part.kind.value} {isolated(part.name)}: {len(part.scenario.job.drops)} drops" for part in job.single
    )


def _draw(
    picture: Picture,
    elevation: Elevation,
    bands: list[tuple[str, SettingOut]],
    borders: list[Part],
    prints: Mapping[str, Print | None],
) -> None:
    """Draw what hangs on the walls from the back to the front, then number it."""
    shown = [(name, found, replace(elevation, room=found.room)) for name, found in bands]
    motifs = [box for name, found, on in shown for box in _draw_band(picture, on, found, prints.get(name))]
    strips = [(part, *each) for part in borders if part.border is not None for each in enumerate(part.border.strips, 1)]
    for part, _, strip in strips:
        _draw_strip(picture, elevation, part, strip)
    fittings = draw_standing(picture, elevation)
    for _, number, strip in strips:
        _number_strip(picture, elevation, strip, number)
    keep_clear_of(picture, fittings)
    for _, found, on in shown:
        number_drops(picture, on, found, [*motifs, *(box for _, box in fittings)], None)
    for face in elevation.faces:
        name_openings(picture, elevation, face)


def _draw_band(picture: Picture, elevation: Elevation, setting_out: SettingOut, printed: Print | None) -> list[Box]:
    """Draw the print, the joints, the level line and the edges of one band, and return where motifs are."""
    motifs = draw_strips(picture, elevation, setting_out, clear_of_openings(picture, elevation), printed)
    draw_level_line(picture, elevation, setting_out)
    for face in elevation.faces:
        for line in (elevation.wall(face).top, elevation.wall(face).foot):
            picture.line(elevation.line_of(face, line), CUT)
    return motifs


# Borders


def _draw_strip(picture: Picture, elevation: Elevation, part: Part, strip: BorderStrip) -> None:
    """Draw one strip with its mitres, and a line across it at each motif."""
    repeat, along = part.scenario.job.paper.pattern.repeat, ZERO
    for on in strip.stretches:
        is_upright = strip.side in ("left", "right")
        length = on.head - on.foot if is_upright else on.right - on.left
        lain = _Sloping(on, strip) if on.rise or any(strip.leans) else None
        outline = _outline(part, on, strip.side) if lain is None else lain.outline()
        for face in elevation.faces:
            if face.wall != on.wall or on.left >= face.right or face.left >= on.right:
                continue
            points = [(elevation.x(face, min(max(x, face.left), face.right)), elevation.y(y)) for x, y in outline]
            picture.shape([points], fill=PAPER, pen=OUTLINE)
            if repeat and elevation.size(repeat) >= _CLOSEST_PRINT:
                at = (strip.first_motif - along) % repeat
                while at < (length if lain is None else strip.length):
                    ends = _across(on, at, strip.side) if lain is None else lain.across(at)
                    if ends and all(face.left <= x <= face.right for x, _ in ends):
                        picture.line([(elevation.x(face, x), elevation.y(y)) for x, y in ends], PENCIL)
                    at += repeat
        along += length


class _Sloping:
    """A strip along a slope, or with an end that leans."""

    def __init__(self, on: StripOnWall, strip: BorderStrip) -> None:
        run, rise = float(on.right - on.left), float(on.rise)
        self.long = hypot(run, rise)
        self.along = run / self.long, rise / self.long
        self.leans, self.lead = strip.leans, -min(strip.leans[0], ZERO)
        self.wide = (on.head - on.foot) * (-1 if strip.by_top else 1)
        self.left, self.edge = on.left, on.head if strip.by_top else on.foot

    def at(self, along: Length, *, is_far: bool) -> Place:
        """Return the place so far along the measured edge, or across from it on the far one."""
        cos, sin = map(Fraction, self.along)
        far = self.wide if is_far else ZERO
        return self.left + cos * along - sin * far, self.edge + sin * along + cos * far

    def outline(self) -> list[Place]:
        """Return its outline, from the left end of the measured edge."""
        long = Fraction(self.long)
        begins, ends = self.leans
        far = [self.at(long + ends, is_far=True), self.at(begins, is_far=True)]
        return [self.at(ZERO, is_far=False), self.at(long, is_far=False), *far]

    def across(self, at: Length) -> list[Place]:
        """Return the line across it at a place along it from the end where it begins; none where that is cut away."""
        along, long = at - self.lead, Fraction(self.long)
        if not max(ZERO, self.leans[0]) <= along <= long + min(ZERO, self.leans[1]):
            return []
        return [self.at(along, is_far=is_far) for is_far in (False, True)]


def _outline(part: Part, on: StripOnWall, side: str) -> list[Place]:
    """Return the outline of what a strip covers of a wall, cut slantwise where it is mitred."""
    left, right, foot, head = on.left, on.right, on.foot, on.head
    wide = min(right - left, head - foot)
    is_whole = part.border is not None and part.border.closes is not None
    low = foot + wide if is_whole else foot
    return {
        "left": [(left, foot), (left, head), (right, head - wide), (right, low)],
        "right": [(right, foot), (right, head), (left, head - wide), (left, low)],
        "head": [(left, head), (right, head), (right - wide, foot), (left + wide, foot)],
        "foot": [(left, foot), (right, foot), (right - wide, head), (left + wide, head)],
    }.get(side, [(left, foot), (left, head), (right, head), (right, foot)])


def _across(on: StripOnWall, at: Length, side: str) -> list[Place]:
    """Return the line across a strip at a place along it from the end where it begins."""
    if side in ("left", "right"):
        height = on.foot + at if side == "left" else on.head - at
        return [(on.left, height), (on.right, height)]
    along = on.right - at if side == "foot" else on.left + at
    return [(along, on.foot), (along, on.head)]


def _number_strip(picture: Picture, elevation: Elevation, strip: BorderStrip, number: int) -> None:
    on = max(strip.stretches, key=lambda on: on.right - on.left)
    for face in elevation.faces:
        left, right = max(on.left, face.left), min(on.right, face.right)
        if face.wall == on.wall and left < right:
            x = elevation.x(face, (left + right) / 2)
            y = elevation.y((on.foot + on.head + on.rise) / 2)
            picture.letter(Lettering(str(number), SMALL, x, y, is_bold=True), plate=True)
