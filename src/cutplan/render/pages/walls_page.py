"""A surveyed room in tables: where its drops hang, from the first plumb line on, what they measure, and its joints."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from cutplan.job.drops import Drop
from cutplan.lengths import Length, Rounding, show
from cutplan.render.pages.layout_of_page import section, table, wrapped, wrapped_lines
from cutplan.render.words.names import PLAIN, Script, listed_with_and
from cutplan.render.words.sheet_words import equal_lines
from cutplan.room.walls import Wall
from cutplan.scenario.read import Scenario
from cutplan.setting_out import Joint, Piece, PieceKind, SettingOut, Way
from cutplan.setting_out.notices import NEAR
from cutplan.wording import counted, signed

_ONWARDS: Final = {
    Way.RIGHT_THEN_LEFT: "Go on to the right, then from drop {} to the left.",
    Way.LEFT_THEN_RIGHT: "Go on to the left, then from drop {} to the right.",
    Way.RIGHT: "Go on to the right.",
    Way.LEFT: "Go on to the left.",
}


def walls_section(setting_out: SettingOut, units: str = "mm", band: str = "") -> str:
    """Return the section of the page that says where each drop hangs, in hanging order, of a band with its name.

    Distances run along each wall from its left edge, as one faces it.
    """
    rows = [row for piece in setting_out.hung for row in _rows(setting_out, piece, units)]
    lines = [*equal_lines(setting_out, units), _beginning(setting_out, units)]
    if any(panel.part for piece in setting_out.pieces for panel in piece.panels):
        lines.append("What is slit off at a corner is hung to a plumb line of its own.")
    heads = ("drop", "column" if setting_out.paper.sheets is None else "sheet", "what", "wall", "from its left")
    title = f"Where the drops of the {band} hang" if band else "Where the drops hang"
    return section(title, wrapped_lines(lines), table(heads, rows, wrapped=3))


def _beginning(setting_out: SettingOut, units: str) -> str:
    first = setting_out.pieces[0]
    panel = next((panel for panel in first.panels if not panel.part), first.panels[0])
    wall = setting_out.room.walls[panel.wall].name
    onwards = _ONWARDS[setting_out.way].format(first.label)
    edge, at, paper = "left", panel.left, setting_out.paper
    is_set = paper.sheets is not None and setting_out.way is Way.LEFT_THEN_RIGHT
    if (is_set or paper.edge_trim is not None) and first.column == setting_out.columns[0].number:
        edge, at, onwards = "right", panel.right, "Go on to the right."
    return (
        f"Hang drop {first.label} first, on {wall}, to a plumb line for its {edge} edge "
        f"{show(at, units)} from the left of that wall. {onwards}"
    )


def _rows(setting_out: SettingOut, piece: Piece, units: str) -> Iterator[tuple[str, ...]]:
    """Yield a line for each wall, or part of a strip, that a drop covers; the part hung first with its label."""
    label, column = piece.label, signed(setting_out.sheet_of(piece.column) or piece.column)
    for panel in sorted(piece.panels, key=lambda panel: abs(panel.part)):
        what = "slit off" if panel.part else what_hangs(piece) if label else ""
        place = f"{show(panel.left, units)} to {show(panel.right, units)}"
        yield label, column, what, setting_out.room.walls[panel.wall].name, place
        label = column = ""


def what_hangs(piece: Piece, script: Script = PLAIN) -> str:
    """Return what a piece is: ``full``, ``over door``, ``under the head of window``."""
    if piece.kind is PieceKind.FULL:
        return "full"
    where = "under the head of" if piece.kind is PieceKind.PATCH else piece.kind.value
    return f"{where} {listed_with_and([script.label(name) for name in piece.openings])}"


def survey_summary(scenario: Scenario) -> list[str]:
    """Return the lines that sum up a room and its paper, in the scenario's own units; none for a list of drops."""
    setting_out, units = scenario.setting_out, scenario.units
    if setting_out is None:
        return []
    paper, room, start = setting_out.paper, setting_out.room, setting_out.start
    pattern = paper.pattern
    match = "free match" if pattern.is_free else f"repeat {show(pattern.repeat, units)}"
    if pattern.offset:
        match += f", {show(pattern.offset, units)} lower to the right"
    width = "" if paper.width_as_sold is None else f" x {show(paper.width_as_sold, units)}"
    in_hand = sum(lot.count or 0 for lot in scenario.job.lots)
    strips, drops = counted(len(setting_out.columns), "strip"), counted(len(scenario.job.drops), "drop")
    way = f"{setting_out.way.value}; {'all round' if room.closes else 'one end to the other'}"
    return [
        f"  {paper.name}: rolls {show(paper.roll_length, units)}{width}, {match}",
        *(f"  {wall.name}: {', '.join(_of_wall(wall, units))}" for wall in room.walls),
        f"  start: {start.puts.value} at {show(start.at, units)} on {room.walls[start.wall].name}, {way}",
        f"  {strips}, {drops} to cut; {counted(in_hand, 'roll') if in_hand else 'no rolls'} in hand",
        *(f"  ? {doubt}" for doubt in scenario.doubts),
    ]


def _of_wall(wall: Wall, units: str) -> Iterator[str]:
    yield f"{show(wall.width, units)} wide"
    heights = [height for _, height in wall.top.points]
    yield f"{' to '.join(show(height, units) for height in sorted({min(heights), max(heights)}))} high"
    for opening in wall.openings:
        size = f"{show(opening.width, units)} x {show(opening.height, units)}"
        yield f"{opening.name} {size} at {show(opening.left, units)}"
    yield from (f"{fitting.name} at {show(fitting.left, units)}" for fitting in wall.fittings)


def lengths_section(drops: Iterable[Drop], units: str = "mm", *, is_free: bool = False) -> str:
    """Return the section that says what the drops measure, those alike together, in hanging order of the first.

    Of a free match no motif need be found.
    """
    alike: dict[tuple[Length, Length, Length], list[str]] = {}
    for drop in drops:
        alike.setdefault((drop.height, drop.cut_length, drop.first_motif), []).append(drop.label)
    rows = [
        (
            ", ".join(labels),
            show(height, units, Rounding.UP),
            show(cut_length, units, Rounding.UP),
            show(first_motif, units),
        )
        for (height, cut_length, first_motif), labels in alike.items()
    ]
    line = "The first motif is measured down from the finished top."
    measures = table(("drops", "height", "cut length", "first motif"), rows, wrapped=0)
    if is_free:
        line = "The cut length is the height and both trims."
        measures = table(("drops", "height", "cut length"), [row[:-1] for row in rows], wrapped=0)
    return section("What the drops measure", wrapped(line), measures)


def joints_section(setting_out: SettingOut, units: str = "mm", band: str = "") -> str:
    """Return the section on joints, of a band with its name, by column; nothing where one strip covers all.

    Distances run along each wall from its left edge, as one faces it.
    """
    joints = [(joint, _between(joint)) for joint in setting_out.joints]
    if setting_out.closing is not None:
        joints.append((setting_out.closing.joint, f"{_between(setting_out.closing.joint)}, closing"))
    if not joints:
        return ""
    rows = [
        (
            between,
            setting_out.room.walls[joint.wall].name,
            show(joint.at, units),
            _distance(joint.to_opening, units),
            _distance(joint.to_corner, units),
        )
        for joint, between in joints
    ]
    heads = ("columns", "wall", "from its left", "to opening", "to corner")
    lines = [wrapped(line) for line in _words(setting_out, units)]
    return section(f"Joints of the {band}" if band else "Joints", "\n".join(lines), table(heads, rows, wrapped=1))


def _between(joint: Joint) -> str:
    return f"{signed(joint.left_column)} and {signed(joint.right_column)}"


def _distance(distance: Length | None, units: str) -> str:
    """Return a distance as a tape reads it, marked when it is less than the trade advises."""
    if distance is None:
        return "-"
    return show(distance, units) + (" !" if distance < NEAR else "")


def _words(setting_out: SettingOut, units: str) -> Iterator[str]:
    nearest = setting_out.nearest_joint
    if nearest is None:
        yield "There is no opening and no corner to keep clear of."
    elif nearest < NEAR:
        yield f"A joint less than {show(NEAR, units)} from an opening or a corner is marked with an exclamation mark."
    else:
        yield f"No joint is less than {show(NEAR, units)} from an opening or a corner."
    yield f"The narrowest strip shows {show(setting_out.narrowest_strip, units, Rounding.DOWN)}."
