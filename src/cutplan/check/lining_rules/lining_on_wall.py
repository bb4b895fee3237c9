"""Judging a lining: its lengths cover the walls once, are broken where they may be, and name every clash of joints."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import combinations, pairwise
from typing import TypeAlias

from cutplan.check.lining_rules.lined_room import LinedRoom, ToLine, openings_near
from cutplan.check.lining_rules.stated_lining import Lined, StatedLength, StatedLining
from cutplan.check.report import Report, Violation, counted, mm
from cutplan.check.roll_rules.what_fits_where import WantedDrop
from cutplan.check.stated.echo import Wanted
from cutplan.check.stated.fields import NOTHING
from cutplan.check.survey.wall_line import TAKEN, covers_across, slices_of, uncovered

PaperJoint: TypeAlias = "tuple[Fraction, Fraction, Fraction]"
"""An edge of the paper's strips: its place along the run, and the heights of its foot and its top."""
Butt: TypeAlias = "tuple[Fraction, Fraction, Fraction, str, str]"
"""Where two lengths butt side by side: place along the run, heights of foot and top, and the two lengths."""


def judge_lining(
    name: str, room: LinedRoom, lining: StatedLining, wanted: Wanted, paper: Sequence[PaperJoint]
) -> Report:
    """Return the judgement of one lining; ``wanted`` is what its plan is for, ``paper`` joints of what goes over it."""
    joints = list(_joints(room, lining))
    broken = [
        *_asked_rule(lining, wanted),
        *_drops_rule(room, lining, wanted),
        *_width_rule(room, lining),
        *_once_rule(lining),
        *_cover_rule(room, lining),
        *_course_rule(room, lining),
        *_end_joint_rule(room, lining, joints),
        *_reveal_rule(room, lining, wanted),
        *_clash_rule(room, lining, joints, paper),
    ]
    courses = max((length.course for length in lining.lengths), default=0)
    what = counted(courses, "course" if lining.is_horizontal else "strip")
    facts = [f"{counted(len(lining.lengths), 'length')} in up to {what} line every bit of wall once, and butt"]
    if paper:
        named = set(lining.clashes)
        said = f"{counted(len(named), 'joint')} of the lining, named," if named else "no joint of the lining"
        facts.append(f"{said} within {mm(lining.clear)} of the paper's")
    return Report(tuple(broken), () if broken else tuple(facts)).within(name)


def _asked_rule(lining: StatedLining, wanted: Wanted) -> Iterator[Violation]:
    """Require the plan to be for paper without a match, every length cut as much longer as is asked for."""
    if wanted.match.repeat:
        yield Violation("lining", "", "its plan is for a paper with a match")
    for drop in wanted.drops.values():
        if (drop.trim_top, drop.trim_bottom) != (lining.end, lining.end):
            yield Violation("lining", f"length {drop.label}", f"is not cut {mm(lining.end)} longer at either end")


def _drops_rule(room: LinedRoom, lining: StatedLining, wanted: Wanted) -> Iterator[Violation]:
    """Require one length to hang for every drop, as long as the drop, from as much of the roll's width as it needs."""
    hung = Counter(length.drop for length in lining.lengths)
    for label in {**hung, **wanted.drops}:
        if hung[label] != 1 or label not in wanted.drops or wanted.drops[label].count != 1:
            yield Violation("lining", f"length {label}", "does not hang once for one drop")
    if set(hung) == set(wanted.drops) and list(hung) != list(wanted.drops):
        yield Violation("lining", "", "its lengths are not told in the order of its drops, in which they hang")
    for length in lining.lengths:
        drop = wanted.drops.get(length.drop)
        if drop is None:
            continue
        yield from _rest_rule(lining, drop)
        wall = length.panels[0].wall if length.panels else None if length.reveal is None else length.reveal[0]
        if wall is not None and drop.wall != room.walls[wall].name:
            yield Violation("lining", f"length {length.drop}", f"is cut for {drop.wall!r}, and hangs elsewhere")
        if not length.panels:
            continue
        along, across = _size(room, lining, length)
        if drop.height != along:
            message = f"is {mm(drop.height)} long, and covers {mm(along)}"
            yield Violation("lining", f"length {length.drop}", message, abs(drop.height - along))
        if _width(lining, drop) < across:
            message = f"is ripped to {mm(_width(lining, drop))}, and covers {mm(across)}"
            yield Violation("lining", f"length {length.drop}", message, across - _width(lining, drop))


def _rest_rule(lining: StatedLining, drop: WantedDrop) -> Iterator[Violation]:
    """Require what is ripped off a length, to its left and to its right, to be told once each, as long as it is cut."""
    left, right = drop.left or NOTHING, lining.roll[1] if drop.right is None else drop.right
    sides = ((f"left of {drop.label}", NOTHING, left), (f"right of {drop.label}", right, lining.roll[1]))
    due = [(label, drop.cut_length, begin, end) for label, begin, end in sides if begin < end]
    if [(rest.label, rest.length, rest.left, rest.right) for rest in drop.cut_outs] != due:
        ripped = " and ".join(f"{label}, {mm(end - begin)} wide" for label, _, begin, end in due) or "nothing"
        yield Violation(
            "lining", f"length {drop.label}", f"what is ripped off it is {ripped}, {mm(drop.cut_length)} long"
        )


def _width(lining: StatedLining, drop: WantedDrop) -> Fraction:
    return (lining.roll[1] if drop.right is None else drop.right) - (drop.left or NOTHING)


def _size(room: LinedRoom, lining: StatedLining, length: StatedLength) -> tuple[Fraction, Fraction]:
    """Return what a length covers along itself and across itself."""
    wide = sum((panel.right - panel.left for panel in length.panels), NOTHING)
    gaps = [room.walls[one.wall].width - one.right + other.left for one, other in pairwise(length.panels)]
    wide += sum(gaps, NOTHING)
    tall = max(panel.top for panel in length.panels) - min(panel.foot for panel in length.panels)
    return (wide, tall) if lining.is_horizontal else (tall, wide)


def _width_rule(room: LinedRoom, lining: StatedLining) -> Iterator[Violation]:
    """Require a length to be no wider than the roll, and to cross no corner that lengths are not carried round."""
    groups = {part.wall: part.group for part in room.to_line(lining)}
    for length in lining.lengths:
        if not length.panels:
            continue
        across = _size(room, lining, length)[1]
        if across > lining.roll[1]:
            message = f"covers {mm(across)}, and the roll is {mm(lining.roll[1])} wide"
            yield Violation("lining", f"length {length.drop}", message, across - lining.roll[1])
        walls = [panel.wall for panel in length.panels]
        follow = all((one + 1) % len(room.walls) == other for one, other in pairwise(walls))
        if not follow or len({groups.get(wall) for wall in walls}) > 1:
            yield Violation("lining", f"length {length.drop}", "goes round a corner where lengths are to be broken")


def _panels(lining: StatedLining) -> Iterator[tuple[StatedLength, Lined]]:
    yield from ((length, panel) for length in lining.lengths for panel in length.panels)


def _once_rule(lining: StatedLining) -> Iterator[Violation]:
    """Require no two lengths to lie on one another."""
    for (one, panel), (other, beside) in combinations(_panels(lining), 2):
        wide = min(panel.right, beside.right) - max(panel.left, beside.left)
        tall = min(panel.top, beside.top) - max(panel.foot, beside.foot)
        if panel.wall == beside.wall and wide > 0 and tall > 0:
            message = f"and length {other.drop} lie on one another, {mm(wide)} by {mm(tall)}"
            yield Violation("lining", f"length {one.drop}", message, min(wide, tall))


def _cover_rule(room: LinedRoom, lining: StatedLining) -> Iterator[Violation]:
    """Require all that is to be lined to lie under some length."""
    for part in room.to_line(lining):
        wall, worst = room.walls[part.wall], (NOTHING, part.left)
        boxes = list(openings_near(wall, lining.short))
        boxes += [panel[1:] for _, panel in _panels(lining) if panel.wall == part.wall]
        lines = wall.foot.raised(lining.short), wall.top.raised(-lining.short)
        for left, right in slices_of(lines, [*boxes, part[1:5]]):
            if left < part.left or right > part.right:
                continue
            covers = covers_across(boxes, left, right)
            for foot, top in zip(*(line.ends(left, right) for line in lines), strict=True):
                bare = uncovered(max(foot, part.foot), min(top, part.top), covers)
                worst = max(worst, (sum((high - low for low, high in bare), NOTHING), left))
        if worst[0] > 0:
            message = f"up to {mm(worst[0])} of its height lie bare at {mm(worst[1])} along it"
            yield Violation("lining", f"wall {wall.name!r}", message, worst[0])


def _course_rule(room: LinedRoom, lining: StatedLining) -> Iterator[Violation]:
    """Require courses to hang one below the other from the highest that their walls are lined, each a roll wide."""
    if not lining.is_horizontal:
        return
    parts = room.to_line(lining)
    for length in lining.lengths:
        for panel in length.panels:
            near = [part for part in parts if part.wall == panel.wall and part.left <= panel.left < part.right]
            group = {part.group for part in near}
            highest = max((_highest(room, lining, part) for part in parts if part.group in group), default=NOTHING)
            top = highest - (length.course - 1) * lining.roll[1]
            if panel.top > top + TAKEN or panel.foot < top - lining.roll[1]:
                message = f"lies outside course {length.course}, which hangs from {mm(top)} above the floor line"
                yield Violation("lining", f"length {length.drop}", message)


def _highest(room: LinedRoom, lining: StatedLining, part: ToLine) -> Fraction:
    return min(room.walls[part.wall].top.span(part.left, part.right)[1] - lining.short, part.top)


def _joints(room: LinedRoom, lining: StatedLining) -> Iterator[Butt]:
    """Yield where two lengths butt side by side: place along the run, heights, and the two lengths."""
    *lefts, length = room.lefts
    ends: dict[Fraction, list[tuple[StatedLength, Lined]]] = defaultdict(list)
    for stated, panel in _panels(lining):
        place = lefts[panel.wall] + panel.right
        ends[place % length if room.closes else place].append((stated, panel))
    corners = {lefts[wall] for wall in range(len(lefts)) if room.is_internal(wall)}
    for stated, panel in _panels(lining):
        place = lefts[panel.wall] + panel.left
        for other, beside in ends.get(place, ()):
            foot, top = max(panel.foot, beside.foot), min(panel.top, beside.top)
            if other is not stated and foot < top and place not in corners:
                yield place, foot, top, other.drop, stated.drop


def _end_joint_rule(room: LinedRoom, lining: StatedLining, joints: Sequence[Butt]) -> Iterator[Violation]:
    """Require lengths of a course to meet at corners or openings, or where the roll does not reach further."""
    if not lining.is_horizontal:
        return
    *lefts, _ = room.lefts
    allowed = {
        left + side
        for left, wall in zip(lefts, room.walls, strict=True)
        for begin, end, _, _ in openings_near(wall, lining.short)
        for side in (max(begin, NOTHING), min(end, wall.width))
    }
    allowed |= set() if lining.patches else {lefts[part.group] for part in room.to_line(lining)}
    lengths = {length.drop: length for length in lining.lengths}
    for place, _, _, one, other in joints:
        together = sum(_size(room, lining, lengths[drop])[0] for drop in (one, other))
        if place not in allowed and together + 2 * lining.end <= lining.roll[0]:
            message = f"and length {other} meet at {mm(place)} along the run, where one length would have reached on"
            yield Violation("lining", f"length {one}", message)


def _reveal_rule(room: LinedRoom, lining: StatedLining, wanted: Wanted) -> Iterator[Violation]:
    """Require every side and head of a reveal to be lined, as deep and as long as it is."""
    deep: dict[tuple[int, str, str], Fraction] = defaultdict(Fraction)
    for length in lining.lengths:
        drop = wanted.drops.get(length.drop)
        if length.reveal is not None and drop is not None:
            deep[length.reveal] += _width(lining, drop)
            thing = next((one for one in room.walls[length.reveal[0]].openings if one.name == length.reveal[1]), None)
            along = None if thing is None else thing.right - thing.left
            if thing is not None and length.reveal[2] != "head":
                along = thing.head - thing.foot
            if drop.height != along:
                yield Violation("lining", f"length {length.drop}", "is not as long as the side of the reveal")
    for number, wall in enumerate(() if lining.patches else room.walls):
        for thing in wall.openings:
            for side in ("left", "head", "right") if thing.reveal else ():
                if deep[number, thing.name, side] < thing.reveal:
                    message = (
                        f"{mm(thing.reveal - deep[number, thing.name, side])} of the {side} of its reveal lie bare"
                    )
                    yield Violation("lining", f"{thing.name!r} on {wall.name!r}", message)


def _clash_rule(
    room: LinedRoom,
    lining: StatedLining,
    joints: Sequence[Butt],
    paper: Sequence[PaperJoint],
) -> Iterator[Violation]:
    """Require every joint that comes too near one of the paper's to be named, and none that does not."""
    *lefts, length = room.lefts
    near = set()
    for place, foot, top, _, _ in joints:
        for other, low, high in paper:
            by = room.from_to(place, other, lining.clear)
            if by is not None and max(foot, low) < min(top, high):
                near.add((place, place + by))
    named = set()
    for clash in lining.clashes:
        at = lefts[clash.wall] + clash.at
        named.add((at % length if room.closes else at, lefts[clash.wall] + clash.paper_at))
    for place, other in sorted(near - named):
        message = f"comes within {mm(abs(other - place))} of the paper's, and is not named"
        yield Violation("lining", f"joint at {mm(place)} along the run", message, lining.clear - abs(other - place))
    for place, _ in sorted(named - near):
        yield Violation("lining", f"joint at {mm(place)} along the run", "is said to be near the paper's, and is not")
