"""Notices: what a careful tradesman would look at twice in a setting out, in plain words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from enum import Enum
from fractions import Fraction
from typing import Final

from msgspec import Struct

from cutplan.lengths import ZERO, Length
from cutplan.setting_out.columns import Column
from cutplan.setting_out.cut_outs import Reveal
from cutplan.setting_out.joints import Joint
from cutplan.setting_out.motifs import CutMotif, Edge, motifs_cut_in
from cutplan.setting_out.whole import SettingOut
from cutplan.wording import Value, Wording, signed, sits

NEAR: Final = Fraction(50)
"""A joint this near to an opening or corner, in millimetres, is to be avoided.

Wallcoverings Association, "Engineering the hanging process"."""
NARROW: Final = Fraction(60)
"""A strip narrower than this, in millimetres, is hard to hang straight [practice]."""
SEEN: Final = Fraction(1, 2)
"""What the print is out by, in millimetres, that a tape can tell: less than this meets [practice]."""
TALL: Final = Fraction(3000)
"""A length higher than this, in millimetres, wants two people and a platform [practice]."""
LEAD_FREE_FROM: Final = 1985
"""Lead paint was gone by the early 1980s [practice]; some years are added to be safe."""
ASBESTOS_FREE_FROM: Final = 2000
"""Textured coatings put up before this year may hold asbestos [practice]."""


class NoticeKind(Enum):
    """What a notice is about."""

    JOINT = "joint"
    NARROW = "narrow strip"
    MOTIF = "motif"
    CLOSING = "closing joint"
    REVEAL = "reveal"
    SAFETY = "safety"


class Notice(Struct, frozen=True):
    """One thing to look at before hanging."""

    kind: NoticeKind
    what: Wording


def notices_of(setting_out: SettingOut) -> tuple[Notice, ...]:
    """Return what to look at before hanging: joints, narrow strips, motifs, closing joint, reveals, safety."""
    return (
        *_near_joints(setting_out),
        *_narrow_strips(setting_out),
        *_cut_motifs(setting_out),
        *_closing(setting_out),
        *_reveals(setting_out),
        *_fittings(setting_out),
        *_access(setting_out),
        *_old_house(setting_out),
    )


def _notice(kind: NoticeKind, text: str, *values: Value) -> Notice:
    return Notice(kind, Wording(text, values))


def _near_joints(setting_out: SettingOut) -> Iterator[Notice]:
    for joint in setting_out.joints:
        wall = setting_out.room.walls[joint.wall].name
        place = (signed(joint.left_column), signed(joint.right_column), wall, joint.at)
        text = "the joint between columns {} and {} on {}, {} from its left, is only {} from {}"
        if joint.to_opening is not None and joint.to_opening < NEAR:
            yield _notice(NoticeKind.JOINT, text, *place, joint.to_opening, _nearest_opening(setting_out, joint))
        if joint.to_corner is not None and joint.to_corner < NEAR:
            if joint.to_corner:
                yield _notice(NoticeKind.JOINT, text, *place, joint.to_corner, "the corner")
            else:
                yield _in_corner(setting_out, joint, place[:3])


def _in_corner(setting_out: SettingOut, joint: Joint, place: Sequence[Value]) -> Notice:
    text = "the joint between columns {} and {} lies in the corner at the left of {}"
    width = setting_out.paper.wet_width
    columns = (setting_out.column(joint.left_column), setting_out.column(joint.right_column))
    for column in columns:
        for turn in column.turns:
            if turn.paper_right == width if column is columns[0] else turn.paper_left == 0:
                text += ": column {} is turned {} round it"
                return _notice(
                    NoticeKind.JOINT, text, *place, signed(column.number), turn.paper_right - turn.paper_left
                )
    text += ", and nothing is turned round it: move the start, for the corner may be out of plumb"
    return _notice(NoticeKind.JOINT, text, *place)


def _nearest_opening(setting_out: SettingOut, joint: Joint) -> str:
    openings = setting_out.room.walls[joint.wall].openings
    return min(openings, key=lambda opening: min(abs(joint.at - opening.left), abs(joint.at - opening.right))).name


def _narrow_strips(setting_out: SettingOut) -> Iterator[Notice]:
    for column in setting_out.columns:
        for part, width in column.part_widths.items():
            if width < NARROW:
                walls = _walls_of_part(setting_out, column, part)
                text = "column {} shows only {} on {}: a narrow strip is hard to hang straight"
                yield _notice(NoticeKind.NARROW, text, signed(column.number), width, walls)


def _walls_of_part(setting_out: SettingOut, column: Column, part: int) -> str:
    walls = dict.fromkeys(panel.wall for panel in column.panels if panel.part == part)
    return " and ".join(setting_out.room.walls[wall].name for wall in walls)


def _cut_motifs(setting_out: SettingOut) -> Iterator[Notice]:
    classes: dict[CutMotif, list[int]] = {}
    for piece, cut in motifs_cut_in(setting_out.room, setting_out.paper, setting_out.pieces):
        classes.setdefault(cut, []).append(piece.column)
    for cut, columns in sorted(classes.items(), key=lambda item: (item[0].edge is Edge.FOOT, item[0].cut_off)):
        edge = "ceiling" if cut.edge is Edge.TOP else "foot"
        text = f"the {{}} cuts {cut.up_to}{{}} off a motif, of which {cut.up_to}{{}} shows, in {{}}"
        yield _notice(NoticeKind.MOTIF, text, edge, cut.cut_off, cut.shown, _listed(columns))


def _listed(columns: Sequence[int]) -> str:
    numbers = sorted(set(columns))
    if len(numbers) == 1:
        return f"column {signed(numbers[0])}"
    return f"columns {', '.join(map(signed, numbers[:-1]))} and {signed(numbers[-1])}"


def _closing(setting_out: SettingOut) -> Iterator[Notice]:
    closing = setting_out.closing
    if closing is None:
        return
    wall = setting_out.room.walls[closing.joint.wall]
    over = [opening.name for opening in wall.openings if opening.left <= closing.joint.at <= opening.right]
    where = f"at {over[0]}" if over else "clear of openings" if closing.joint.at else "in the corner"
    place = (signed(closing.joint.left_column), signed(closing.joint.right_column), wall.name, closing.joint.at, where)
    text = "the closing joint, between columns {} and {}, falls on {}, {} from its left, {}; "
    out: list[str] = []
    by: list[Length] = []
    if abs(closing.height) >= SEEN:
        out.append(sits(closing.height).text)
        by.append(abs(closing.height))
    if abs(closing.sideways) >= SEEN:
        share = "{} of it is" if out else "has {}"
        out.append(f"{share} {'missing' if closing.sideways > 0 else 'repeated'} sideways")
        by.append(abs(closing.sideways))
    text += f"the print on its right {', and '.join(out)}" if out else "the print meets there"
    yield _notice(NoticeKind.CLOSING, text, *place, *by)


def _reveals(setting_out: SettingOut) -> Iterator[Notice]:
    for reveal in setting_out.reveals:
        side, opening = reveal.side.value, reveal.opening
        wall = setting_out.room.walls[reveal.wall].name
        yield from _turned_in(reveal, side, wall)
        # Where the rolls are too few, the last piece of a column may stay bare, and its patches with it.
        for patch in (patch for patch in setting_out.patches if patch.panels == (reveal.patch,)):
            text = "at the {} end of the head of {} on {}, column {} is turned in and cannot go under: "
            text += "{}, {} wide and {} deep, goes there"
            values = (opening, wall, signed(patch.column), patch.label, reveal.patch_width, reveal.depth)
            yield _notice(NoticeKind.REVEAL, text, side, *values)


def _turned_in(reveal: Reveal, side: str, wall: str) -> Iterator[Notice]:
    if reveal.turned_in >= reveal.depth:
        return
    text = "the {} side of the reveal of {} on {} is {} deep, and {}"
    if reveal.column is None:
        lies = "the corner" if reveal.is_at_end else "a joint"
        found = f"{lies} lies on it, so that no strip can be turned in: cut a strip for it"
        yield _notice(NoticeKind.REVEAL, text, side, reveal.opening, wall, reveal.depth, found)
    else:
        text = "the {} side of the reveal of {} on {} is {} deep, but column {} can turn in only {}"
        yield _notice(
            NoticeKind.REVEAL, text, side, reveal.opening, wall, reveal.depth, signed(reveal.column), reveal.turned_in
        )


def _fittings(setting_out: SettingOut) -> Iterator[Notice]:
    for wall in setting_out.room.walls:
        for fitting in wall.fittings:
            if fitting.is_beside(wall):
                continue
            if not fitting.kind.is_electric:
                text = "{} on {}, {} from its left, is in the way of columns there: "
                text += "let a radiator cool, and take down what comes down before pasting"
                yield _notice(NoticeKind.SAFETY, text, fitting.name, wall.name, fitting.left)
                continue
            text = "{} on {}, {} from its left: isolate the supply and prove it dead before loosening it or "
            text += "working round bare wires; no wet paste near it live; leave wiring to a licensed person"
            if setting_out.paper.is_foil:
                text += "; foil paper conducts: trim it short of the fitting"
            yield _notice(NoticeKind.SAFETY, text, fitting.name, wall.name, fitting.left)


def _access(setting_out: SettingOut) -> Iterator[Notice]:
    tallest = max((piece.height for piece in setting_out.pieces), default=ZERO)
    stairs = [
        wall.name
        for wall in setting_out.room.walls
        if wall.foot.highest(ZERO, wall.width) > wall.foot.lowest(ZERO, wall.width)
    ]
    if stairs:
        text = "the foot of {} rises: over stairs work from a proper platform, not from a ladder"
        if setting_out.pieces and setting_out.pieces[0].height == tallest:
            text += ", and the longest length is hung first"
        yield _notice(NoticeKind.SAFETY, text, " and ".join(stairs))
    if tallest > TALL:
        text = "the longest length hangs {} high: two people to it, and a working platform"
        yield _notice(NoticeKind.SAFETY, text, tallest)


def _old_house(setting_out: SettingOut) -> Iterator[Notice]:
    built = setting_out.room.built
    if built is not None and built < LEAD_FREE_FROM:
        text = "a house of {} may have lead in its old paint: do not sand it dry or burn it off; test first, "
        text += "and follow the local rules"
        yield _notice(NoticeKind.SAFETY, text, str(built))
    if setting_out.room.textured and (built is None or built < ASBESTOS_FREE_FROM):
        text = "a textured coating put up before {} may hold asbestos: do not sand or scrape it until it is "
        text += "tested, and leave it to licensed people if it does"
        yield _notice(NoticeKind.SAFETY, text, str(ASBESTOS_FREE_FROM))
