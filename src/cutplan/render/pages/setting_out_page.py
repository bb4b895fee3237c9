"""The setting out of a surveyed room in tables: what each drop measures, and where the joints fall."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from cutplan.job.drops import Drop
from cutplan.lengths import Length, Rounding, show
from cutplan.render.pages.layout_of_page import section, table, wrapped
from cutplan.setting_out import Joint, SettingOut
from cutplan.setting_out.notices import NEAR
from cutplan.wording import signed


def lengths_section(drops: Iterable[Drop], units: str = "mm", *, is_free: bool = False) -> str:
    """Return the section that says what the drops measure, those alike together, in hanging order of the first.

    Parameters
    ----------
    drops
        In hanging order.
    units
        ``mm``, ``cm``, ``m``, or ``in`` for feet and inches, as the user's tape reads.
    is_free
        True for a free match, of which no motif need be found.

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
